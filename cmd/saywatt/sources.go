package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"saywatt/extract/transcript"
	"saywatt/internal/export/naming"
	"saywatt/internal/intake"
	"saywatt/internal/pipeline"
)

// stdinName is how the command line and the records call standard input.
const stdinName = intake.Stdin

// sourceFlags are what every command has that reads captions and records.
type sourceFlags struct {
	knownFlags
	Answers   []string `sep:"none" help:"File or folder of decisions, JSON Lines."`
	Join      bool     `help:"Read the files as the parts of one review."`
	ID        string   `name:"id" help:"Name of the review."`
	Title     string   `help:"Title of the review."`
	Threshold float64  `help:"Probability from which a reading stands."`
	MaxBytes  positive `help:"Largest file read, in bytes."`
	File      []string `arg:"" optional:"" help:"Files, folders and patterns to read; - is standard input."`
	// Without is a folder that is written into: what a folder stands for is not
	// what was made of it the last time. "" for none.
	Without string `kong:"-"`
}

// filesHelp says what a FILE is, for the help of commands that have these flags.
const filesHelp = `A FILE is captions, a record or several (JSON Lines), or a feed of "saywatt
emit"; its content says which. A folder stands for the captions in it and below
it, the folder of an archive for its reviews, a pattern such as 'v*/en.vtt' for
the files that it fits; "-" or no FILE is standard input.
`

// sourceHelp describes the flags.
var sourceHelp = fmt.Sprintf(`      --answers F    a person's decisions, which stand, as the desk keeps them
                     or "saywatt help read" shows; the rest is read anew with
                     them. Of several FILEs each line names its own ("file");
                     a folder has NAME.decisions.jsonl for each NAME. May be
                     repeated
      --join         read the FILEs as the parts of one review, in order
      --id NAME      name of the review, in records and tables; of one only; %d
                     letters at most
      --title TEXT   title of the review, in place of the product's name; %d
                     letters at most
      --threshold P  probability, 0 to 1, from which a reading stands as heard
                     or repaired; one less sure is left open for a person
%s      --max-bytes N  refuse larger files and records; %d where not
                     given
`, longestName, longestTitle, knownHelp, int64(transcript.DefaultMaxBytes))

// check refuses what flags alone cannot.
func (c *sourceFlags) check() error {
	if err := checkNames("--id", c.ID, "--title", c.Title); err != nil {
		return err
	}
	switch {
	case !(c.Threshold >= 0 && c.Threshold <= 1):
		return fmt.Errorf("--threshold %v is not a probability, 0 to 1", c.Threshold)
	case c.ID != "" && naming.Slug(c.ID) != c.ID:
		return fmt.Errorf("--id %q: a name has letters, digits and single hyphens: %q", c.ID, naming.Slug(c.ID))
	case c.Join && slices.Contains(c.File, stdinName):
		return errors.New("--join takes files, not standard input")
	}
	return c.checkKnown()
}

// files are what the command line names, as one where they are joined.
func (c *sourceFlags) files(e *env) ([]intake.File, error) {
	files, err := intake.FilesOr(c.File, e.stored)
	if err != nil {
		return nil, err
	}
	if files = c.before(files); len(files) == 0 {
		return nil, fmt.Errorf("%s: %w but in %s, which is written into",
			strings.Join(c.File, ", "), intake.ErrNothing, c.Without)
	}
	if c.Join {
		files = []intake.File{intake.Joined(files)}
	}
	if (c.ID != "" || c.Title != "") && len(files) > 1 {
		return nil, errors.New("--id and --title name one review, and several files are given; --join makes them one")
	}
	return files, nil
}

// before takes out what lies in the folder that is written into, unless it was
// named itself.
func (c *sourceFlags) before(files []intake.File) []intake.File {
	if c.Without == "" {
		return files
	}
	within := func(name string) bool {
		way, err := filepath.Rel(filepath.Clean(c.Without), filepath.Clean(name))
		return err == nil && filepath.IsLocal(way)
	}
	if slices.ContainsFunc(c.File, within) {
		return files
	}
	return slices.DeleteFunc(files, func(f intake.File) bool { return f.Stored == nil && within(f.Name) })
}

// several reports whether the command line may name several reviews.
func (c *sourceFlags) several() bool { return !c.Join && intake.Many(c.File) }

// options are what captions are read with.
func (c *sourceFlags) options(e *env) (pipeline.Options, error) {
	o, err := c.known(e)
	o.Threshold = c.Threshold
	return o, err
}

// reader makes what reads the files.
func (c *sourceFlags) reader(e *env, files []intake.File) (*intake.Reader, error) {
	answers, err := intake.ReadAnswers(e.open, c.Answers, files)
	if err != nil {
		return nil, err
	}
	if answers != nil {
		e.complainOf(answers.Elsewhere)
	}
	return &intake.Reader{
		Open: e.open, Stdin: e.stdin, MaxBytes: int64(c.MaxBytes), Answers: answers,
		Review: c.ID, Title: c.Title, Apart: true,
		Options: sync.OnceValues(func() (pipeline.Options, error) { return c.options(e) }),
	}, nil
}

// complainOf says which answers are on files that are not read.
func (e *env) complainOf(elsewhere []*intake.ElsewhereError) {
	for _, err := range elsewhere {
		e.complain(err)
	}
}

// each reads the files and hands what they hold to do, in order. What cannot
// be read is reported; failed says that something could not.
func (c *sourceFlags) each(e *env, do func(*intake.Item) error) (failed bool, err error) {
	return c.eachNamed(e, true, do)
}

// eachNamed is each; apart says whether reviews that nobody named get names of
// their own, which is not for the archive: it has names that were given before.
func (c *sourceFlags) eachNamed(e *env, apart bool, do func(*intake.Item) error) (failed bool, err error) {
	files, err := c.files(e)
	if err != nil {
		return false, err
	}
	r, err := c.reader(e, files)
	if err != nil {
		return false, err
	}
	r.Apart = apart
	return e.each(r, files, do)
}

// each runs a reader with a line of progress on terminals.
func (e *env) each(r *intake.Reader, files []intake.File, do func(*intake.Item) error) (failed bool, err error) {
	p := progress{env: e, what: "reading", total: len(files)}
	r.Next = func(_, _ int, name string) { p.show(name) }
	var over []error
	err = r.Each(files, func(i *intake.Item) error {
		p.clear()
		for _, odd := range i.Odd {
			e.complain(odd)
		}
		e.tellUntimed(i)
		return do(i)
	}, func(err error) {
		p.clear()
		if errors.As(err, new(*intake.PassedOver)) {
			over = append(over, err)
			return
		}
		failed = true
		e.complainAll(err)
	})
	p.clear()
	e.passedOver(over, len(files))
	return failed, err
}

// tellUntimed warns of a file that is named as captions and was read as notes.
func (e *env) tellUntimed(i *intake.Item) {
	t := i.Transcript
	if t == nil || t.Format != transcript.FormatNotes || intake.Taken(filepath.Base(i.File.Name)) != intake.Yes {
		return
	}
	text := "no cue in it, so it was read as notes, without times"
	if i.Record.Counts.Said == 0 {
		text += "; no quantity was said"
	}
	e.remark(i.File.Name, nil, text)
}

// mostPassed is how many files that were passed over are named one by one.
const mostPassed = 3

// passedOver names files in folders that were neither captions nor records.
func (e *env) passedOver(over []error, of int) {
	if len(over) > mostPassed {
		fmt.Fprintf(e.stderr, "saywatt: passed over, neither captions nor records: %d of %d files\n", len(over), of)
		return
	}
	for _, err := range over {
		e.complain(err)
	}
}
