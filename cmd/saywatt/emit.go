package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"saywatt/internal/edit"
	"saywatt/internal/export"
	"saywatt/internal/export/table"
	"saywatt/internal/intake"
	"saywatt/internal/picture"
	"saywatt/internal/wrap"
)

type emitCmd struct {
	failFlag
	sourceFlags
	To      string `help:"Format."`
	JSON    bool   `name:"json" help:"The record as JSON."`
	Out     string `short:"o" help:"Write to this file."`
	Into    string `help:"Write a file for each review into this folder."`
	Table   string `help:"Which table, of csv, jsonl, parquet and xlsx."`
	Picture string `default:"levels" help:"Which picture, of svg and png."`
	Link    string `help:"Address of a moment, with {s}."`

	Describe bool `help:"Write what the columns mean beside the CSV file."`
}

func (emitCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt emit --to FORMAT [FLAG ...] [FILE ...]

Writes records for other programs and for print. Captions are read first.

`+filesHelp+`
Flags:
      --to FORMAT    json   the record, one JSON document
                     jsonl  feed: a record a line, with its id, a hash of its
                            content; with --table a row a line, with its own
                     csv    a table, RFC 4180; see --table
                     parquet  the same, with types, for data frames
                     xlsx   workbook: a sheet to print, and behind it a sheet a
                            table for the screen; with --table that one alone,
                            to print
                     md     sheet in Markdown
                     html   sheet in HTML, whole in one file, to read and print
                     svg    a picture; see --picture
                     png    the same as pixels
      --json         the same as --to json
  -o, --out PATH     write to this file, which appears whole or not at all, and
                     is never one that was read; "-" is standard output. What is
                     no text, parquet, xlsx and png, is not written to a
                     terminal, nor to a pipe where only a standing option asks
                     for it
      --into DIR     write a file for each review into this folder, made where
                     there is none: DIR/NAME.FORMAT by the name of the review.
                     What lies in it is no input, unless it is named; what was
                     written there for captions elsewhere is not replaced
      --table T      %s
                     (default for csv: quantities). Each row begins with the
                     name of the review and its file; "saywatt schema --tables"
                     says what each column holds
      --describe     with csv and --out or --into, write the meaning and type
                     of each column beside each file, PATH-metadata.json (W3C
                     CSVW)
      --picture P    levels (default): current over voltage, one mark a level
                     powers: what each port gives in each mode
                     evidence-N: the readings of quantity number N, and why
                     With --into, a review that has nothing to draw is named,
                     and the others are drawn
      --link URL     address of each moment in md, html and xlsx, {s} standing
                     for its seconds; times are no links where not given
%s%s
json, jsonl and csv are written record by record as they come, so a feed on
standard input may be endless. The other formats take all records first.

Exit status: 0 written; 1 what --fail-on asks for; 2 a file could not be read or
written, or the command line is wrong. With --out, or in a format that takes all
records first, nothing is written then.

Example:
  saywatt emit --to xlsx --out station.xlsx station.vtt
`, wrapNames(table.Names, 21, 79), sourceHelp, failHelp("nothing"))
}

// wrapNames joins names with commas in lines that hang behind a column.
func wrapNames(names []string, column, width int) string {
	lines := wrap.Lines(strings.Join(names, ", "), width-column-1, func(line string) int { return len(line) })
	return strings.Join(lines, "\n"+strings.Repeat(" ", column))
}

func (c *emitCmd) Run(e *env) error {
	if c.JSON && c.To == "" {
		c.To = "json"
	}
	if err := c.check(e); err != nil {
		return &usageError{err, "saywatt emit"}
	}
	e.askForInput(c.File)
	c.Without = c.Into
	run := emitter{env: e, cmd: c}
	var err error
	if c.Into != "" {
		err = run.into(c.Into)
	} else {
		err = e.output(c.Out, run.write)
	}
	if err == nil && c.Describe && c.Into == "" {
		err = c.describe(e, c.Out)
	}
	if err != nil {
		return err
	}
	e.report(&run.tally, run.last)
	return c.outcome(&run.tally, run.failed)
}

// check refuses what flags alone cannot.
func (c *emitCmd) check(e *env) error {
	toStdout := c.Into == "" && (c.Out == "" || c.Out == stdinName)
	f := c.format()
	switch {
	case c.To == "":
		return fmt.Errorf("--to is missing; there are %s", strings.Join(export.EmitNames(), ", "))
	case f == export.FormatUnknown:
		return fmt.Errorf("format %q is not known%s; there are %s", c.To, didYouMean(c.To, export.EmitNames()),
			strings.Join(export.EmitNames(), ", "))
	case c.JSON && c.To != "json":
		return fmt.Errorf("--json is --to json, and --to %s is asked for", c.To)
	case c.Table != "" && !f.TakesTable():
		return fmt.Errorf("--table goes with %s, not with %s", strings.Join(export.TableNames(), ", "), c.To)
	case c.Table != "" && !slices.Contains(table.Names, c.Table):
		return fmt.Errorf("table %q is not known%s; there are %s", c.Table, didYouMean(c.Table, table.Names),
			strings.Join(table.Names, ", "))
	case toStdout && f.Binary() && e.terminal:
		return fmt.Errorf("%s is nothing to read on a terminal; --out names a file", c.To)
	case toStdout && f.Binary() && !e.asked("--to"):
		return fmt.Errorf("%s is written to a pipe only where the command line says --to %s; --out names a file", c.To,
			c.To)
	case c.Into != "" && c.Out != "":
		return errors.New("--out names one file and --into a folder for many")
	}
	if err := c.checkFail(); err != nil {
		return err
	}
	if err := c.sourceFlags.check(); err != nil {
		return err
	}
	if err := c.checkDescribe(); err != nil {
		return err
	}
	return picture.CheckName(c.Picture)
}

// format is the one asked for.
func (c *emitCmd) format() export.Format { return export.EmitFormat(c.To) }

// emitter writes the records of the inputs in one format.
type emitter struct {
	env    *env
	cmd    *emitCmd
	failed bool // an input could not be read
	tally  tally
	last   string       // name of the file read last
	item   *intake.Item // that is written
}

// each hands on what is read, with the changes to its captions.
func (m *emitter) each(do func(table.Sourced) error) (err error) {
	m.failed, err = m.cmd.each(m.env, func(i *intake.Item) error {
		m.tally.add(i.Record)
		m.last, m.item = i.File.Name, i
		s := table.Sourced{Record: i.Record}
		if i.Transcript != nil {
			m.env.tellLanguage(i.Transcript, "")
			var err error
			if s.Changes, _, err = edit.ForReworded(reworded(i.Words), i.Record, i.Transcript,
				edit.Style{}); err != nil {
				return fmt.Errorf("%s: %w", i.File.Name, err)
			}
		} else if m.cmd.Table == "changes" {
			m.env.remark(i.File.Name, nil, "a record has no captions: their changes are listed where those are read")
		}
		return do(s)
	})
	return err
}

// writer writes records in the format.
func (m *emitter) writer(w io.Writer) *export.Writer {
	return export.NewWriter(w, m.cmd.format(), export.Options{Table: m.cmd.Table, Picture: m.cmd.Picture,
		Link: m.cmd.Link, Folder: m.env.saver.Folder})
}

// write reads the inputs in order and writes their records: at once where the
// format allows, else when all are there.
func (m *emitter) write(w io.Writer) error {
	out := m.writer(w)
	err := m.each(func(s table.Sourced) error { return out.Write(s.Record, s.Changes...) })
	switch {
	case err != nil:
		return err
	case m.failed && !m.piped():
		return errReported // a file is whole or not at all
	}
	return out.Close()
}

// into writes a file for each review.
func (m *emitter) into(dir string) error {
	names := fileNames{dir: dir, ending: "." + m.cmd.To}
	log, err := m.env.writtenIn(dir)
	if err != nil {
		return err
	}
	refused := false
	drawn, blank := 0, 0
	err = m.each(func(s table.Sourced) error {
		path, err := names.of(&s.Record.Source)
		if err != nil { // of this review; the others are written
			m.env.complain(err)
			refused = true
			return nil
		}
		err = log.save(path, originOf(m.item), func() error { return m.save(path, s) })
		if errors.Is(err, errElsewhere) {
			err = fmt.Errorf("%w; --id gives the review another name", err)
			m.env.complain(err)
			refused = true
			return nil
		}
		if errors.As(err, new(*picture.BlankError)) { // it has no picture; the others have
			m.env.complain(err)
			blank++
			return nil
		}
		drawn++
		if err != nil || !m.cmd.Describe {
			return err
		}
		return m.cmd.describe(m.env, path)
	})
	m.failed = m.failed || refused || blank > 0 && drawn == 0
	return err
}

// save writes one review to a file of its own.
func (m *emitter) save(path string, s table.Sourced) error {
	if err := m.env.makeFolder(path); err != nil {
		return err
	}
	return m.env.output(path, func(w io.Writer) error {
		out := m.writer(w)
		if err := out.Write(s.Record, s.Changes...); err != nil {
			return err
		}
		return out.Close()
	})
}

// piped reports whether what was written already cannot be taken back.
func (m *emitter) piped() bool {
	return !m.cmd.format().Whole() && (m.cmd.Out == "" || m.cmd.Out == stdinName)
}
