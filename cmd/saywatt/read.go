package main

import (
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"saywatt/extract/transcript"
	"saywatt/internal/export"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// stdinName is how the command line and the records call standard input.
const stdinName = "-"

type readCmd struct {
	output
	knownFlags
	Threshold float64  `help:"Probability from which a reading stands."`
	MaxBytes  int64    `help:"Largest file read, in bytes."`
	Answers   string   `help:"File of decisions, JSON Lines."`
	File      []string `arg:"" optional:"" help:"Files to read; - is standard input."`
}

func (readCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt read [FLAG ...] [FILE ...]

Reads captions, transcripts or notes in English, and writes what was said of the
product. The form of a file is told by its content; one that is known and not
read is refused by its name. "-" or no file is standard input. Output goes to
standard output, everything else to standard error.

Forms:
  WebVTT, SubRip, TTML and IMSC text, SBV and SubViewer, SSA and ASS (text)
  JSON: a list of timed segments, or events with segments of words
  CSV or TSV with a column of times and one of words
  transcripts: "[1:02] words"; "Speaker 1  00:12", or a time alone, above words
  Word documents (.docx) with any of the plain forms; notes, Markdown

Flags:
%s      --threshold P  probability, 0 to 1, from which a reading stands as
                     heard or repaired; one less sure is left open for a person
      --answers FILE  a person's decisions, which stand: JSON Lines such as
                     {"span":[715,723],"quantity":{"value":3.25,"unit":"A"}}
                     {"span":[40,44],"nothing":true}
                     {"span":[88,96],"place":{"to":"part","part":"fuse"}}
                     span being that of the quantity in the record, place what
                     it belongs to, as its key belongs has it; the rest of
                     the review is read anew with them; for one FILE only. An
                     answer at no quantity of the file is an error; with "file"
                     or "heard" as in the readings, so is one for another name
                     or other words
%s      --max-bytes N  refuse larger files; %d where not given

Without --format, a terminal gets a sheet and anything else a record. Several
files are read at once and written in the order given: sheets with blank lines
between, records one document after another, tables under one header line.

Exit status: 0 nothing to look at; 1 something needs a person, that is an open
reading or a finding of severity error; 2 a file could not be read, or the
command line is wrong. A file that cannot be read does not stop the others.

A record is a transcript of what was said, not a certification.

Example:
  saywatt read --format components station.vtt > parts.csv
`, outputHelp, knownHelp, int64(transcript.DefaultMaxBytes))
}

func (c *readCmd) Run(e *env) error {
	if err := c.check(); err != nil {
		return &usageError{err, "saywatt read"}
	}
	names := c.File
	if len(names) == 0 {
		names = []string{stdinName}
	}
	otherwise := export.FormatRecord
	if e.terminal {
		otherwise = export.FormatSheet
	}
	if e.stdinTerminal && slices.Contains(names, stdinName) {
		fmt.Fprintln(e.stderr, "Reading captions from the terminal; end them with Ctrl-D.")
	}
	o, err := c.known(e)
	if err != nil {
		return err
	}
	o.Threshold = c.Threshold
	r := reader{env: e, most: c.MaxBytes, pipeline: o}
	if c.Answers != "" {
		answers, err := e.answers(c.Answers)
		if err != nil {
			return err
		}
		r.pipeline.Answers = answers
	}
	return r.all(names, c.writer(e, otherwise), c.format(otherwise))
}

// check refuses what flags alone cannot.
func (c *readCmd) check() error {
	if !(c.Threshold >= 0 && c.Threshold <= 1) {
		return fmt.Errorf("--threshold %v is not a probability, 0 to 1", c.Threshold)
	}
	if c.MaxBytes < 0 {
		return fmt.Errorf("--max-bytes %d is negative", c.MaxBytes)
	}
	if err := c.checkKnown(); err != nil {
		return err
	}
	if c.Answers != "" && len(c.File) > 1 {
		return errors.New("--answers goes with one file")
	}
	times := 0
	for _, f := range c.File {
		if f == stdinName {
			times++
		}
	}
	if times > 1 {
		return errors.New("standard input is named more than once")
	}
	return nil
}

// answers reads a file of decisions.
func (e *env) answers(name string) ([]normalize.Answer, error) {
	f, err := e.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return normalize.ReadAnswers(f, name)
}

// A reader makes records of files.
type reader struct {
	env      *env
	most     int64 // bytes of a file
	pipeline pipeline.Options
}

// A reading is the record of one file, or why there is none.
type reading struct {
	record *schema.Record
	source []byte
	err    error
}

// all reads the files, some at a time, and writes their records in the order
// of the names. A file that cannot be read is told of and passed over.
func (r *reader) all(names []string, w *export.Writer, f export.Format) error {
	workers := runtime.GOMAXPROCS(0)
	// ahead bounds how many readings wait for their turn, so that one slow
	// file does not make all others pile up in memory.
	ahead := make(chan struct{}, 4*workers)
	turns := make(chan chan reading, cap(ahead))
	go func() {
		defer close(turns)
		var g errgroup.Group
		g.SetLimit(workers)
		for _, name := range names {
			ahead <- struct{}{}
			turn := make(chan reading, 1)
			turns <- turn
			g.Go(func() error {
				turn <- r.file(name)
				return nil
			})
		}
	}()
	progress := progress{env: r.env, total: len(names)}
	attention, failed := false, false
	var broken error // of the output; the rest is read off, not written
	for _, name := range names {
		progress.show(name)
		got := <-(<-turns)
		<-ahead
		progress.clear()
		switch {
		case broken != nil:
		case got.err != nil:
			failed = true
			r.env.complainAll(got.err)
		default:
			if f == export.FormatReadings || f == export.FormatLevels || f == export.FormatComponents {
				r.tellProblems(got.record)
			}
			attention = attention || export.NeedsPerson(got.record)
			broken = w.Write(got.record, got.source)
		}
	}
	switch {
	case broken != nil:
		return broken
	case failed:
		return errReported
	case attention:
		return errAttention
	}
	return nil
}

// file reads one file into a record.
func (r *reader) file(name string) reading {
	if name == stdinName {
		return r.stream(name, r.env.stdin)
	}
	f, err := r.env.open(name)
	if err != nil {
		return reading{err: err}
	}
	defer f.Close()
	return r.stream(name, f)
}

func (r *reader) stream(name string, in io.Reader) reading {
	t, err := pipeline.ReadFrom(in, name, r.most)
	if err != nil {
		return reading{err: err}
	}
	rec, err := pipeline.Run(t, r.pipeline)
	if stray := (normalize.StrayAnswers)(nil); errors.As(err, &stray) {
		return reading{err: stray} // it names its own file and line
	}
	if err != nil {
		return reading{err: fmt.Errorf("%s: %w", name, err)}
	}
	return reading{record: rec, source: t.Source}
}

// maxProblems bounds the problems told of one file on standard error.
const maxProblems = 5

// tellProblems tells what of a file was not read as it should, for formats
// that do not carry it.
func (r *reader) tellProblems(rec *schema.Record) {
	for i, p := range rec.Source.Problems {
		if i == maxProblems {
			fmt.Fprintf(r.env.stderr, "saywatt: %s: %d more; --format record lists them all\n", export.Printable(rec.Source.File), len(rec.Source.Problems)-i)
			return
		}
		fmt.Fprintf(r.env.stderr, "saywatt: %s\n", export.Printable(p))
	}
}
