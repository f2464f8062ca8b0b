package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract/transcript"
	"saywatt/internal/edit"
	"saywatt/internal/export"
	"saywatt/internal/picture"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

type emitCmd struct {
	knownFlags
	To        string   `required:"" help:"Format."`
	Out       string   `short:"o" help:"Write to this file."`
	Table     string   `help:"Which table, of csv and jsonl."`
	Picture   string   `default:"levels" help:"Which picture, of svg and png."`
	Link      string   `help:"Address of a moment, with {s}."`
	Threshold float64  `help:"Probability from which a reading stands."`
	MaxBytes  int64    `help:"Largest file or record read, in bytes."`
	File      []string `arg:"" optional:"" help:"Records or captions; - is standard input."`
}

// emitFormats are the names of the formats, in the order help lists them.
var emitFormats = []string{"json", "jsonl", "csv", "xlsx", "md", "html", "svg", "png"}

func (emitCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt emit --to FORMAT [FLAG ...] [FILE ...]

Writes records for other programs and for print. A FILE is a record as "saywatt
read -f record" or "-f jsonl" writes it, a feed of "saywatt emit --to jsonl", or
captions, which are read first; its content tells which. "-" or no file is
standard input.

Flags:
      --to FORMAT    json   the record, one JSON document
                     jsonl  feed: a record a line, with its id, a hash of its
                            content; with --table a row a line, with its own
                     csv    a table, RFC 4180; see --table
                     xlsx   workbook, a sheet a table
                     md     sheet in Markdown
                     html   sheet in HTML, whole in one file, to read and print
                     svg    a picture; see --picture
                     png    the same as pixels
  -o, --out PATH     write to this file, which appears whole or not at all, and
                     is never one of the inputs; "-" is standard output
      --table T      %s (default for csv: quantities)
      --picture P    levels (default): current over voltage, one mark a level
                     powers: what each port gives in each mode
                     evidence-N: the readings of quantity number N, and why
      --link URL     address of each moment in md and html: {s} stands for its
                     seconds; a W3C Media Fragment where not given
      --threshold P  probability, 0 to 1, from which a reading stands
%s      --max-bytes N  refuse larger captions and records; %d
                     where not given

json, jsonl and csv are written record by record as they come, so a feed on
standard input may be endless. The other formats take all records first.

Exit status: 0 nothing to look at; 1 something needs a person; 2 a file could
not be read or written, or the command line is wrong. With --out, or in a format
that takes all records first, nothing is written then.

Example:
  saywatt emit --to xlsx --out station.xlsx station.vtt
`, wrapNames(export.TableNames, 21, 79), knownHelp, int64(transcript.DefaultMaxBytes))
}

// wrapNames joins names with commas in lines that hang behind a column.
func wrapNames(names []string, column, width int) string {
	var b strings.Builder
	at := column
	for i, n := range names {
		if i > 0 {
			b.WriteByte(',')
			if at+2+len(n) > width-2 {
				b.WriteString("\n" + strings.Repeat(" ", column))
				at = column
			} else {
				b.WriteByte(' ')
				at += 2
			}
		}
		b.WriteString(n)
		at += len(n)
	}
	return b.String()
}

func (c *emitCmd) Run(e *env) error {
	if err := c.check(e); err != nil {
		return &usageError{err, "saywatt emit"}
	}
	names := c.File
	if len(names) == 0 {
		names = []string{stdinName}
	}
	run := emitter{env: e, cmd: c, known: sync.OnceValues(func() (pipeline.Options, error) { return c.knownFlags.known(e) })}
	err := e.output(c.Out, names, func(w io.Writer) error { return run.write(w, names) })
	switch {
	case err != nil:
		return err
	case run.failed:
		return errReported
	case run.attention:
		return errAttention
	}
	return nil
}

// check refuses what flags alone cannot.
func (c *emitCmd) check(e *env) error {
	toTerminal := e.terminal && (c.Out == "" || c.Out == stdinName)
	switch {
	case !slices.Contains(emitFormats, c.To):
		return fmt.Errorf("format %q is not known; there are %s", c.To, strings.Join(emitFormats, ", "))
	case c.Table != "" && c.To != "csv" && c.To != "jsonl":
		return fmt.Errorf("--table goes with csv and jsonl, not with %s", c.To)
	case c.Table != "" && !slices.Contains(export.TableNames, c.Table):
		return fmt.Errorf("table %q is not known; there are %s", c.Table, strings.Join(export.TableNames, ", "))
	case toTerminal && (c.To == "xlsx" || c.To == "png"):
		return fmt.Errorf("%s is nothing to read on a terminal; --out names a file", c.To)
	case !(c.Threshold >= 0 && c.Threshold <= 1):
		return fmt.Errorf("--threshold %v is not a probability, 0 to 1", c.Threshold)
	case c.MaxBytes < 0:
		return fmt.Errorf("--max-bytes %d is negative", c.MaxBytes)
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
	if err := c.checkKnown(); err != nil {
		return err
	}
	_, err := pictureNumber(c.Picture)
	return err
}

// emitter writes the records of the inputs in one format.
type emitter struct {
	env       *env
	cmd       *emitCmd
	known     func() (pipeline.Options, error) // read when the first captions come
	failed    bool                             // an input could not be read
	attention bool                             // something needs a person
	written   int
}

// write reads the inputs in order and writes their records: at once where the
// format allows, else when all are there.
func (m *emitter) write(w io.Writer, names []string) error {
	out := bufio.NewWriter(w)
	var all []export.Sourced
	streaming := m.streaming()
	for _, name := range names {
		err := m.input(name, func(s export.Sourced) error {
			m.attention = m.attention || export.NeedsPerson(s.Record)
			if !streaming {
				all = append(all, s)
				return nil
			}
			if err := m.one(out, s); err != nil {
				return &outputError{err}
			}
			if err := out.Flush(); err != nil {
				return &outputError{err}
			}
			return nil
		})
		var broken *outputError
		switch {
		case errors.As(err, &broken):
			return broken.err
		case err != nil:
			m.failed = true
			m.env.complain(err)
		}
	}
	if m.failed && !m.piped() {
		return errReported // a file is whole or not at all
	}
	if !streaming {
		if err := m.together(out, all); err != nil {
			return err
		}
	}
	return out.Flush()
}

// outputError tells an error of writing from those of reading.
type outputError struct{ err error }

func (e *outputError) Error() string { return e.err.Error() }

// streaming reports whether records are written as they come.
func (m *emitter) streaming() bool {
	return m.cmd.To == "json" || m.cmd.To == "jsonl" || m.cmd.To == "csv"
}

// piped reports whether what was written already cannot be taken back.
func (m *emitter) piped() bool {
	return m.streaming() && (m.cmd.Out == "" || m.cmd.Out == stdinName)
}

// one writes one record of a format that takes them one by one.
func (m *emitter) one(w io.Writer, s export.Sourced) error {
	m.written++
	table := m.cmd.Table
	switch {
	case m.cmd.To == "json":
		return s.Record.Write(w)
	case m.cmd.To == "jsonl" && table == "":
		return export.WriteFeed(w, s.Record)
	case table == "":
		table = "quantities"
	}
	t, _ := export.TableNamed(s.Record, s.Changes, table)
	if m.cmd.To == "jsonl" {
		return export.WriteFeedRows(w, s.Record, t)
	}
	return t.WriteCSV(w, m.written == 1)
}

// together writes the records of a format that takes them all.
func (m *emitter) together(w io.Writer, all []export.Sourced) error {
	records := make([]*schema.Record, len(all))
	for i := range all {
		records[i] = all[i].Record
	}
	article := export.Article{Link: m.cmd.Link}
	switch m.cmd.To {
	case "xlsx":
		return export.WriteWorkbook(w, all)
	case "md":
		return article.WriteMarkdown(w, records)
	case "html":
		return article.WriteHTML(w, records)
	}
	if len(records) != 1 {
		return fmt.Errorf("a picture shows one record; there are %d", len(records))
	}
	p, err := pictureOf(records[0], m.cmd.Picture)
	if err != nil {
		return err
	}
	if m.cmd.To == "png" {
		return p.WritePNG(w)
	}
	return p.WriteSVG(w)
}

// pictureNumber checks the name of a picture; of evidence-N it returns N.
func pictureNumber(name string) (int, error) {
	if name == "levels" || name == "powers" {
		return 0, nil
	}
	digits, ok := strings.CutPrefix(name, "evidence-")
	n, err := strconv.Atoi(digits)
	if !ok || err != nil || n < 1 {
		return 0, fmt.Errorf("picture %q is not known; there are levels, powers, evidence-N", name)
	}
	return n, nil
}

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
		return nil, fmt.Errorf("%s: there is no quantity number %d; %d were said", r.Source.File, n, len(r.Quantities))
	default:
		p, ok = picture.Evidence(r.Quantity(n))
	}
	if !ok {
		return nil, fmt.Errorf("%s: nothing to draw for %s", r.Source.File, name)
	}
	return p, nil
}

// input reads one input, records or captions, and hands on what it holds.
func (m *emitter) input(name string, do func(export.Sourced) error) error {
	in := m.env.stdin
	if name != stdinName {
		f, err := m.env.open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		in = f
	}
	limit := m.cmd.MaxBytes
	if limit == 0 {
		limit = transcript.DefaultMaxBytes
	}
	head := bufio.NewReader(in)
	if start, err := beginning(head); err != nil && err != io.EOF {
		return fmt.Errorf("%s: %w", name, err)
	} else if export.IsRecords(start) {
		err := export.ReadRecords(head, limit, func(r *schema.Record) error { return do(export.Sourced{Record: r}) })
		var broken *outputError
		if err != nil && !errors.As(err, &broken) {
			return fmt.Errorf("%s: %w", name, err)
		}
		return err
	}
	t, err := pipeline.ReadFrom(head, name, limit)
	if err != nil {
		return err
	}
	m.env.tellLanguage(t, "")
	o, err := m.known()
	if err != nil {
		return err
	}
	o.Threshold = m.cmd.Threshold
	r, err := pipeline.Run(t, o)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	changes, _, err := edit.ForRecord(r, t, edit.Style{})
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return do(export.Sourced{Record: r, Changes: changes})
}

// beginning looks at an input as far as it takes to tell records from captions,
// without waiting for more and without taking it away.
func beginning(r *bufio.Reader) ([]byte, error) {
	for n := 1; ; n++ {
		start, err := r.Peek(n)
		if _, known := export.TellRecords(start); err != nil || n == r.Size() || known {
			return start, err
		}
	}
}
