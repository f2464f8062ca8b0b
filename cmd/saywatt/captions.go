package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/edit"
	"saywatt/internal/intake"
)

type captionsCmd struct {
	formFlag
	failFlag
	sourceFlags
	Style     edit.Units     `help:"How corrected units are written."`
	Decimal   edit.Decimal   `help:"Decimal sign."`
	Thousands edit.Thousands `help:"Grouping of digits."`
	Mark      bool           `help:"Note what is left for your ear."`
	MarkList  string         `help:"Write these notes to this file instead."`
	Changes   string         `help:"Write the list of changes instead."`
	Link      string         `help:"Address of a moment, with {s}."`
	Accept    string         `help:"Apply this list of changes."`
	Record    string         `help:"Take the corrections from these records."`
	Out       string         `short:"o" help:"Write to this file."`
	Into      string         `help:"Write each file into this folder."`
}

func (captionsCmd) Help() string {
	return `Usage: saywatt captions [FLAG ...] [FILE ...]

Writes the captions again with what was misheard corrected, in the format they
came in: only the corrected words differ; times, settings, styling, comments,
line ends and encoding stay as they are. Settled quantities are corrected, and
repaired ones where such corrections were right 99 times of 100; and garbled
names of terms that the record holds. The rest stays as heard and is left to
you: what is open, and where a correction would lose a number that was said. A
text that is not English stays as heard too. Into a Word document
nothing is written back; --changes lists what would be. A FILE is captions, a
folder or a pattern; "-" or none is standard input. Each is written by itself,
so that --join does not go with this command.

Flags:
      --into DIR     write each file into this folder, made where there is none,
                     by its name and the folders in which the FILEs differ;
                     wanted for several. What lies in it is no input, unless
                     it is named; what was written there for captions elsewhere
                     is not replaced. With --changes it has the lists,
                     NAME.changes.csv for each NAME
      --style S      own      as the speaker's captions have them (default)
                     symbols  3.25 A
                     words    3.25 amps
      --decimal D    decimal sign: point (default) or comma
      --thousands T  grouping: own (default), none, space or comma
      --mark         note what is left before its cue, "Needs your ear" of what
                     is open and "Left as heard" of the rest, where the format
                     has notes, WebVTT and TTML; for any other, such as SubRip,
                     the notes are a list on standard error
      --mark-list F  write these notes to file F instead, a line each, with the
                     time in front; for any format. Of several FILEs F is a
                     folder, with NAME.notes.txt for each NAME
      --changes F    write the list of changes instead, for an editor to
                     approve or undo: csv, md or jsonl; what is left for your
                     ear is in it as rows that say no
      --json         the same as --changes jsonl
      --link URL     in the list, the address of each moment: {s} stands for
                     its seconds; a W3C Media Fragment where not given
      --accept LIST  apply the rows of this list that say yes, and nothing else;
                     of several FILEs LIST is the folder of their lists
      --record FILE  take the corrections from records of the same captions, as
                     decided by people, instead of reading anew: a record, JSON
                     Lines or a feed, of which each file takes its own
  -o, --out PATH     write to this file, which appears whole or not at all
` + sourceHelp + failHelp("nothing") + `
Corrected words follow the style; words that were right stay as spoken. Standard
error has the corrections that could not be made, the captions that grew past
what people read in time, and at the end how many values were changed and how
much is left for your ear, as every command counts it of a record, and how many
places of the captions were corrected: values, names, and what a person
reworded. The values and the changes left as heard are those that were changed
and those that a person settled. A correction needs a probability of 0.95 at
least, whatever --threshold says.

Exit status: 0 written; 1 what --fail-on asks for; 2 a file could not be read or
written, or the command line is wrong.

Example:
  saywatt captions --changes csv review.vtt > changes.csv
`
}

// changeForms are the forms of the list of changes.
var changeForms = []string{"csv", "md", "jsonl"}

func (c *captionsCmd) Run(e *env) error {
	style := edit.Style{Units: c.Style, Decimal: c.Decimal, Thousands: c.Thousands}
	if err := c.check(style); err != nil {
		return &usageError{err, "saywatt captions"}
	}
	if c.JSON {
		c.Changes = "jsonl"
	}
	c.Without = c.Into
	files, err := c.files(e)
	if err != nil {
		return err
	}
	if err := c.checkFiles(files); err != nil {
		return &usageError{err, "saywatt captions"}
	}
	e.askForInput(c.File)
	r, err := c.reader(e, files)
	if err != nil {
		return err
	}
	k := corrector{env: e, cmd: c, style: style, base: commonFolder(files), several: c.several()}
	if c.Into != "" {
		if k.written, err = e.writtenIn(c.Into); err != nil {
			return err
		}
	}
	failed, err := k.run(r, files)
	if err != nil {
		return err
	}
	if k.tally.records > 1 {
		fmt.Fprintf(e.stderr, "saywatt: %d files: %s\n", k.tally.records, k.summary(&k.tally))
	}
	return c.outcome(&k.tally, failed || k.unwritten > 0)
}

// check refuses what flags alone cannot.
func (c *captionsCmd) check(s edit.Style) error {
	switch {
	case c.Accept != "" && (c.Record != "" || c.Mark || c.MarkList != "" || c.Changes != "" || len(c.Answers) > 0):
		return errors.New("--accept applies a list as it is; --record, --answers, --mark, --mark-list, --changes " +
			"do not go with it")
	case c.Record != "" && len(c.Answers) > 0:
		return errors.New("--record takes the corrections from records, and --answers reads the captions anew")
	case c.MarkList == stdinName || c.MarkList != "" && c.MarkList == c.Out:
		return fmt.Errorf("--mark-list %s: the notes go to a file of their own", c.MarkList)
	case c.Join:
		return errors.New("captions are written file by file; --join does not go with that")
	case c.Record == stdinName && (len(c.File) == 0 || slices.Contains(c.File, stdinName)):
		return errors.New("standard input is named more than once")
	case c.Into != "" && c.Out != "":
		return errors.New("--out names one file and --into a folder for many")
	}
	if err := c.checkList(); err != nil {
		return err
	}
	if err := c.checkFail(); err != nil {
		return err
	}
	if err := c.sourceFlags.check(); err != nil {
		return err
	}
	return s.Check()
}

// checkList refuses what cannot be a list of changes.
func (c *captionsCmd) checkList() error {
	switch {
	case c.JSON && c.Changes != "" && c.Changes != "jsonl":
		return fmt.Errorf("--json and --changes %s do not go together", c.Changes)
	case c.JSON && c.Accept != "":
		return errors.New("--json writes a list of changes, and --accept applies one")
	case c.Changes != "" && !slices.Contains(changeForms, c.Changes):
		return fmt.Errorf("list of changes %q is not known%s; there are %s", c.Changes,
			didYouMean(c.Changes, changeForms), strings.Join(changeForms, ", "))
	}
	return nil
}

// checkFiles refuses several files where one is meant.
func (c *captionsCmd) checkFiles(files []intake.File) error {
	if len(files) == 1 {
		return nil
	}
	for _, f := range []struct{ flag, value string }{
		{"--accept", c.Accept}, {"--out", c.Out},
	} {
		if f.value != "" && !(f.value == c.Accept && isDir(c.Accept)) {
			return fmt.Errorf("%s is of one file, and %d are given", f.flag, len(files))
		}
	}
	if c.Into == "" {
		return fmt.Errorf("%d files are given; --into names a folder to write them into", len(files))
	}
	return nil
}
