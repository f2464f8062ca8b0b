package main

import (
	"fmt"
	"slices"

	"saywatt/internal/export"
	"saywatt/internal/export/word"
	"saywatt/internal/intake"
	"saywatt/schema"
)

type readCmd struct {
	output
	failFlag
	sourceFlags
}

func (readCmd) Help() string {
	return `Usage: saywatt read [FLAG ...] [FILE ...]

Reads captions, transcripts or notes in English, and writes what was said of the
product. The form of a file is recognised by its content; one that is known and
not read is refused by its name. Output goes to standard output, everything else
to standard error.

` + filesHelp + `
Forms:
  WebVTT, SubRip, TTML and IMSC text, SBV and SubViewer, SSA and ASS (text)
  JSON: a list of table segments, or events with segments of words
  CSV or TSV with a column of times and one of words
  transcripts: "[1:02] words"; "Speaker 1  00:12", or a time alone, above words
  Word documents (.docx) with any of the plain forms; notes, Markdown

Flags:
` + outputHelp + sourceHelp + failHelp("open,error") + `
Answers, one JSON object a line; span is that of the quantity in the record, and
"file" or "heard", where they stand, must fit:
  {"span":[715,723],"quantity":{"value":3.25,"unit":"A"}}
  {"span":[40,44],"nothing":true}
  {"names":"maker","heard":"tar nell","meant":"Tarnel"}

Without --format, a terminal gets a sheet and anything else a record. Several
files are read at once and written in the order given: sheets with blank lines
between, records one document after another, tables under one header line with
two columns in front, review and file; so are several records of one file, JSON
Lines and a feed. A joined review is one file in which each
part begins when the one before it ends.

Exit status: 0 nothing to look at; 1 something needs a person, that is an open
reading or a finding of severity error, or what --fail-on asks for; 2 a file
could not be read, or the command line is wrong. A file that cannot be read does
not stop the others.

A record is a transcript of what was said, not a certification.

Example:
  saywatt read --format components station.vtt > parts.csv
`
}

func (c *readCmd) Run(e *env) error {
	if err := c.check(); err != nil {
		return &usageError{err, "saywatt read"}
	}
	otherwise := export.FormatRecord
	if e.terminal {
		otherwise = export.FormatSheet
	}
	e.askForInput(c.File)
	f := c.format(otherwise)
	w := reviewsWriter{make: func(several bool) *export.Writer { return c.writer(e, f, several) }, several: c.several()}
	var t tally
	name := ""
	failed, err := c.each(e, func(i *intake.Item) error {
		switch {
		case f.Rows():
			e.tellProblems(i.Record)
		case f != export.FormatSheet && i.Transcript != nil: // a sheet says it
			e.tellLanguage(i.Transcript, "")
		}
		t.add(i.Record)
		name = i.File.Name
		return w.write(i)
	})
	if err == nil {
		err = w.end()
	}
	if err != nil {
		return err
	}
	if f != export.FormatSheet || t.records > 1 {
		e.report(&t, name)
	}
	return c.outcome(&t, failed, "open", "error")
}

// reviewsWriter writes records, those of several reviews with columns in front
// that say of which a row is. Captions are several where the command line may name
// several; records where they are lines, and else where a second follows.
type reviewsWriter struct {
	make    func(several bool) *export.Writer
	several bool
	w       *export.Writer // nil before anything is written
	first   *schema.Record // waits for a second
}

func (w *reviewsWriter) write(i *intake.Item) error {
	if w.w == nil && !w.several && w.first == nil {
		switch {
		case i.Lined:
			w.several = true
		case i.Number > 0:
			w.first = i.Record
			return nil
		}
	}
	if w.first != nil {
		w.several = true
		if err := w.end(); err != nil {
			return err
		}
	}
	if w.w == nil {
		w.w = w.make(w.several)
	}
	return w.w.Write(i.Record)
}

// end writes what waits.
func (w *reviewsWriter) end() error {
	if w.first == nil {
		return nil
	}
	first := w.first
	w.first, w.w = nil, w.make(w.several)
	return w.w.Write(first)
}

// check refuses what flags alone cannot.
func (c *readCmd) check() error {
	if err := c.checkOutput(); err != nil {
		return err
	}
	if err := c.checkFail(); err != nil {
		return err
	}
	return c.sourceFlags.check()
}

// askForInput says who sits at a terminal that captions are waited for.
func (e *env) askForInput(names []string) {
	if e.stdinTerminal && (len(names) == 0 || slices.Contains(names, stdinName)) {
		fmt.Fprintln(e.stderr, "Reading captions from the terminal; end them with Ctrl-D.")
	}
}

// maxProblems bounds the problems printed for one file on standard error.
const maxProblems = 5

// tellProblems says what of a file was not read as it should, for formats
// that do not carry it.
func (e *env) tellProblems(rec *schema.Record) {
	for i, p := range rec.Source.Problems {
		if i == maxProblems {
			fmt.Fprintf(e.stderr, "saywatt: %s: %d more; --format record lists them all\n",
				word.Printable(rec.Source.File), len(rec.Source.Problems)-i)
			return
		}
		fmt.Fprintf(e.stderr, "saywatt: %s\n", word.Printable(p))
	}
}
