package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"

	"saywatt/extract/transcript"
	"saywatt/internal/edit"
	"saywatt/internal/export"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

type captionsCmd struct {
	knownFlags
	Style     edit.Units     `help:"How corrected units are written."`
	Decimal   edit.Decimal   `help:"Decimal sign."`
	Thousands edit.Thousands `help:"Grouping of digits."`
	Mark      bool           `help:"Note what is left for your ear."`
	MarkList  string         `help:"Write these notes to this file instead."`
	Changes   string         `help:"Write the list of changes instead."`
	Link      string         `help:"Address of a moment, with {s}."`
	Accept    string         `help:"Apply this list of changes."`
	Record    string         `help:"Take the corrections from this record."`
	Threshold float64        `help:"Probability from which a reading stands."`
	MaxBytes  int64          `help:"Largest file read, in bytes."`
	Out       string         `short:"o" help:"Write to this file."`
	File      string         `arg:"" optional:"" help:"Captions; - is standard input."`
}

func (captionsCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt captions [FLAG ...] [FILE]

Writes the captions again with what was misheard corrected, in the format they
came in: only the corrected words differ; times, settings, styling, comments,
line ends and encoding stay as they are. Settled quantities are corrected, and
repaired ones where such corrections were right 99 times of 100; and garbled
names of terms that the record holds. The rest stays as heard and is left for
your ear: what is open, and where a correction would lose a number that was
said. "-" or no file is standard input.

Flags:
      --style S      own      as the speaker's captions have them (default)
                     symbols  3.25 A
                     words    3.25 amps
      --decimal D    decimal sign: point (default) or comma
      --thousands T  grouping: own (default), none, space or comma
      --mark         note what is left for your ear before its cue, where the
                     format has notes, WebVTT and TTML; for any other, such as
                     SubRip, the notes are a list on standard error
      --mark-list F  write these notes to file F instead, a line each, with the
                     time in front; for any format
      --changes F    write the list of changes instead, for an editor to
                     approve or undo: csv or md; what is left for your ear is
                     in it as rows that say no
      --link URL     in the list, the address of each moment: {s} stands for
                     its seconds; a W3C Media Fragment where not given
      --accept LIST  apply the rows of this list that say yes, and nothing else
      --record FILE  take the corrections from this record of the same file, as
                     decided by people, instead of reading it anew
      --threshold P  probability, 0 to 1, from which a reading stands; a
                     correction needs 0.95 at least
%s      --max-bytes N  refuse larger files; %d where not given
  -o, --out PATH     write to this file, which appears whole or not at all

Corrected words follow the style; words that were right stay as spoken. Standard
error has the corrections that could not be made, the captions that grew past
what people read in time, and at the end how many places were changed and how
many are left for your ear.

Exit status: 0 nothing is left for your ear; 1 something is, or a correction
could not be made; 2 the file could not be read, or the command line is wrong.

Example:
  saywatt captions --changes csv review.vtt > changes.csv
`, knownHelp, int64(transcript.DefaultMaxBytes))
}

func (c *captionsCmd) Run(e *env) error {
	style := edit.Style{Units: c.Style, Decimal: c.Decimal, Thousands: c.Thousands}
	if err := c.check(style); err != nil {
		return &usageError{err, "saywatt captions"}
	}
	name := c.File
	if name == "" {
		name = stdinName
	}
	t, err := c.read(e, name)
	if err != nil {
		return err
	}
	changes, left, err := c.changes(e, t, style)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	var out bytes.Buffer
	told := "changed"
	switch c.Changes {
	case "csv":
		told, err = "to change", edit.WriteCSV(&out, changes, left, c.Link)
	case "md":
		told, err = "to change", edit.WriteMarkdown(&out, changes, left, c.Link)
	default:
		err = c.correct(e, t, changes, left, &out)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	for _, l := range left {
		if l.Unmade() {
			e.remark(name, l.At, l.Error())
		}
	}
	inputs := []string{name, c.Record, c.Accept}
	if err := e.output(c.Out, inputs, func(w io.Writer) error { _, err := out.WriteTo(w); return err }); err != nil {
		return err
	}
	if c.MarkList != "" {
		marks := func(w io.Writer) error { return edit.WriteMarks(w, left, t) }
		if err := export.WriteFile(c.MarkList, inputs, marks); err != nil {
			return err
		}
	}
	e.remark(name, nil, fmt.Sprintf("%d %s, %d left for your ear", len(changes), told, len(left)))
	if len(left) > 0 {
		return errAttention
	}
	return nil
}

// correct writes the corrected file, with marks if they are wanted in it.
func (c *captionsCmd) correct(e *env, t *transcript.Transcript, changes []edit.Change, left []edit.Left,
	out *bytes.Buffer) error {
	if c.Mark && c.MarkList == "" {
		marks, unmarked, err := edit.Marks(left, t)
		if errors.Is(err, edit.ErrNoNotes) {
			unmarked = left
		} else if err != nil {
			return err
		}
		changes = slices.Concat(changes, marks)
		for _, l := range unmarked {
			if l.Note != "" {
				e.remark(t.Name, l.At, l.Note)
			}
		}
	}
	corrected, err := edit.Apply(t.Source, changes)
	if err != nil {
		return err
	}
	after, err := edit.Reread(t, corrected)
	if err != nil {
		return err
	}
	out.Write(corrected)
	for _, w := range edit.Warn(t, after) {
		e.remark(t.Name, w.At, w.What)
	}
	return nil
}

// check refuses what flags alone cannot.
func (c *captionsCmd) check(s edit.Style) error {
	switch {
	case !(c.Threshold >= 0 && c.Threshold <= 1):
		return fmt.Errorf("--threshold %v is not a probability, 0 to 1", c.Threshold)
	case c.MaxBytes < 0:
		return fmt.Errorf("--max-bytes %d is negative", c.MaxBytes)
	case c.Changes != "" && c.Changes != "csv" && c.Changes != "md":
		return fmt.Errorf("list of changes %q is not known; there are csv, md", c.Changes)
	case c.Accept != "" && (c.Record != "" || c.Mark || c.MarkList != "" || c.Changes != ""):
		return errors.New("--accept applies a list as it is; --record, --mark, --mark-list, --changes do not go with it")
	case c.MarkList == stdinName || c.MarkList != "" && c.MarkList == c.Out:
		return fmt.Errorf("--mark-list %s: the notes go to a file of their own", c.MarkList)
	case c.Record == stdinName && (c.File == "" || c.File == stdinName):
		return errors.New("standard input is named more than once")
	}
	if err := c.checkKnown(); err != nil {
		return err
	}
	return s.Check()
}

func (c *captionsCmd) read(e *env, name string) (*transcript.Transcript, error) {
	o := transcript.Options{Name: name, MaxBytes: c.MaxBytes}
	if name == stdinName {
		return transcript.Read(e.stdin, o)
	}
	f, err := e.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return transcript.Read(f, o)
}

// changes lists the corrections to make, and the places left to a person.
func (c *captionsCmd) changes(e *env, t *transcript.Transcript, s edit.Style) ([]edit.Change, []edit.Left, error) {
	if c.Accept == "" {
		rec, err := c.record(e, t)
		if err != nil {
			return nil, nil, err
		}
		return edit.ForRecord(rec, t, s)
	}
	f, err := e.open(c.Accept)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	items, err := edit.ReadList(f)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", c.Accept, err)
	}
	changes, left, err := edit.ForList(items, t)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", c.Accept, err)
	}
	return changes, left, nil
}

func (c *captionsCmd) record(e *env, t *transcript.Transcript) (*schema.Record, error) {
	if c.Record == "" {
		o, err := c.known(e)
		if err != nil {
			return nil, err
		}
		o.Threshold = c.Threshold
		r, err := pipeline.Run(t, o)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", t.Name, err)
		}
		return r, nil
	}
	r, err := e.readRecord(c.Record)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Record, err)
	}
	return r, nil
}

// remark tells on standard error of a moment of a file.
func (e *env) remark(name string, at *schema.Seconds, text string) {
	when := ""
	if at != nil {
		when = " " + at.Clock()
	}
	fmt.Fprintf(e.stderr, "saywatt: %s%s: %s\n", export.Printable(name), when, export.Printable(text))
}

// output writes to a file, whole or not at all, or to standard output for ""
// and "-". inputs are the files read, which are never written over.
func (e *env) output(path string, inputs []string, write func(io.Writer) error) error {
	if path == "" || path == stdinName {
		return write(e.stdout)
	}
	return export.WriteFile(path, inputs, write)
}
