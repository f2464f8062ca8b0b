package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/edit"
	"saywatt/internal/export/article"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/table"
	"saywatt/internal/export/workbook"
	"saywatt/internal/intake"
	"saywatt/internal/picture"
	"saywatt/internal/wrap"
	"saywatt/schema"
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

// emitFormats are the names of the formats, in the order help lists them.
var emitFormats = []string{"json", "jsonl", "csv", "parquet", "xlsx", "md", "html", "svg", "png"}

// binaryFormats are those that are no text.
var binaryFormats = []string{"parquet", "xlsx", "png"}

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
	binary := slices.Contains(binaryFormats, c.To)
	switch {
	case c.To == "":
		return fmt.Errorf("--to is missing; there are %s", strings.Join(emitFormats, ", "))
	case !slices.Contains(emitFormats, c.To):
		return fmt.Errorf("format %q is not known%s; there are %s", c.To, didYouMean(c.To, emitFormats),
			strings.Join(emitFormats, ", "))
	case c.JSON && c.To != "json":
		return fmt.Errorf("--json is --to json, and --to %s is asked for", c.To)
	case c.Table != "" && !slices.Contains(tableFormats, c.To):
		return fmt.Errorf("--table goes with %s, not with %s", strings.Join(tableFormats, ", "), c.To)
	case c.Table != "" && !slices.Contains(table.Names, c.Table):
		return fmt.Errorf("table %q is not known%s; there are %s", c.Table, didYouMean(c.Table, table.Names),
			strings.Join(table.Names, ", "))
	case toStdout && binary && e.terminal:
		return fmt.Errorf("%s is nothing to read on a terminal; --out names a file", c.To)
	case toStdout && binary && !e.asked("--to"):
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
	_, err := pictureNumber(c.Picture)
	return err
}

// emitter writes the records of the inputs in one format.
type emitter struct {
	env     *env
	cmd     *emitCmd
	failed  bool // an input could not be read
	tally   tally
	last    string // name of the file read last
	written int
	item    *intake.Item // that is written
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

// write reads the inputs in order and writes their records: at once where the
// format allows, else when all are there.
func (m *emitter) write(w io.Writer) error {
	out := bufio.NewWriter(w)
	var all []table.Sourced
	err := m.each(func(s table.Sourced) error {
		if !m.streaming() {
			all = append(all, s)
			return nil
		}
		if err := m.one(out, s); err != nil {
			return err
		}
		return out.Flush()
	})
	switch {
	case err != nil:
		return err
	case m.failed && !m.piped():
		return errReported // a file is whole or not at all
	case !m.streaming():
		if err := m.together(out, all); err != nil {
			return err
		}
	}
	return out.Flush()
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
		if errors.As(err, new(*blankError)) { // it has no picture; the others have
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
		if !m.streaming() {
			return m.together(w, []table.Sourced{s})
		}
		m.written = 0
		return m.one(w, s)
	})
}

// streaming reports whether records are written as they come.
func (m *emitter) streaming() bool {
	return m.cmd.To == "json" || m.cmd.To == "jsonl" || m.cmd.To == "csv"
}

// piped reports whether what was written already cannot be taken back.
func (m *emitter) piped() bool {
	return m.streaming() && (m.cmd.Out == "" || m.cmd.Out == stdinName)
}

// one writes one record of a format that takes them one by one.
func (m *emitter) one(w io.Writer, s table.Sourced) error {
	m.written++
	table := func() table.Table {
		t, _ := table.Named(s.Record, s.Changes, m.cmd.tableName())
		return t
	}
	switch m.cmd.To {
	case "json":
		return s.Record.Write(w)
	case "jsonl":
		if m.cmd.Table == "" {
			return feed.Write(w, s.Record)
		}
		return feed.WriteRows(w, s.Record, table())
	case "csv":
		return table().OfReview(s.Record).WriteCSV(w, m.written == 1)
	}
	return m.unwritten("one")
}

// unwritten is the error of a format that a function has no case for.
func (m *emitter) unwritten(where string) error {
	return fmt.Errorf("format %s cannot be written: %s in emit.go needs a case", m.cmd.To, where)
}

// together writes the records of a format that takes them all.
func (m *emitter) together(w io.Writer, all []table.Sourced) error {
	records := make([]*schema.Record, len(all))
	for i := range all {
		records[i] = all[i].Record
	}
	article := article.Options{Link: m.cmd.Link}
	switch m.cmd.To {
	case "xlsx":
		return m.workbook(w, all)
	case "parquet":
		return writeParquet(w, all, m.cmd.tableName())
	case "md":
		return article.WriteMarkdown(w, records)
	case "html":
		return article.WriteHTML(w, records)
	case "svg":
		return m.picture(records, func(p *picture.Picture) error { return p.WriteSVG(w) })
	case "png":
		return m.picture(records, func(p *picture.Picture) error { return p.WritePNG(w) })
	}
	return m.unwritten("together")
}

// picture has a picture of the one record written.
func (m *emitter) picture(records []*schema.Record, write func(*picture.Picture) error) error {
	if len(records) != 1 {
		return fmt.Errorf("a picture shows one record; there are %d", len(records))
	}
	p, err := pictureOf(records[0], m.cmd.Picture)
	if err != nil {
		return err
	}
	return write(p)
}

// workbook writes a workbook, large sheets of it by way of a temporary file.
func (m *emitter) workbook(w io.Writer, all []table.Sourced) error {
	folder, remove, err := m.env.saver.Folder()
	if err != nil {
		return err
	}
	defer remove()
	workbook := workbook.Options{Link: m.cmd.Link, Temporary: folder}
	if m.cmd.Table != "" {
		return workbook.WriteTable(w, all, m.cmd.Table)
	}
	return workbook.Write(w, all)
}

// pictureNumber checks the name of a picture; of evidence-N it returns N.
func pictureNumber(name string) (int, error) {
	if name == "levels" || name == "powers" {
		return 0, nil
	}
	digits, ok := strings.CutPrefix(name, "evidence-")
	n, err := strconv.Atoi(digits)
	if !ok || err != nil || n < 1 {
		return 0, fmt.Errorf("picture %q is not known%s; there are levels, powers, evidence-N", name,
			didYouMean(name, []string{"levels", "powers"}))
	}
	return n, nil
}

// A blankError says that a record has nothing of which there could be a picture.
type blankError struct{ file, why string }

func (e *blankError) Error() string { return e.file + ": " + e.why }

func pictureOf(r *schema.Record, name string) (*picture.Picture, error) {
	n, err := pictureNumber(name)
	if err != nil {
		return nil, err
	}
	var p *picture.Picture
	ok := false
	switch {
	case name == "levels":
		p, ok = picture.Levels(r)
	case name == "powers":
		p, ok = picture.Powers(r)
	case r.Quantity(n) == nil:
		return nil, &blankError{r.Source.File, fmt.Sprintf("there is no quantity number %d; %d were said", n,
			len(r.Quantities))}
	default:
		p, ok = picture.Evidence(r.Quantity(n))
	}
	if !ok {
		return nil, &blankError{r.Source.File, "nothing to draw for " + name}
	}
	return p, nil
}
