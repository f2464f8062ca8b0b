package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"saywatt/extract/transcript"
	"saywatt/internal/export"
	"saywatt/internal/pipeline"
	"saywatt/schema"
	"saywatt/validate"
)

type checkCmd struct {
	Format   string   `short:"f" enum:"text,json,csv" default:"text" help:"Form of the output: text, json or csv."`
	ASCII    bool     `name:"ascii" help:"Nothing beyond ASCII in text."`
	Report   string   `placeholder:"FILE" help:"Write a report of all, by its ending .txt, .json or .csv."`
	Off      []string `placeholder:"NAME" help:"Switch a rule or a family off."`
	Settings string   `placeholder:"FILE" help:"Read what is switched off from this file."`
	knownFlags
	MaxBytes int64    `help:"Largest file read, in bytes."`
	File     []string `arg:"" optional:"" help:"Captions or records; - is standard input."`
}

func (checkCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt check [FLAG ...] [FILE ...]

Checks records against the rules and tells what they object to, grave first,
with the moment, the place in the record and the source of the rule. A FILE is
a record as "saywatt read -f record" or "-f jsonl" writes it, or captions,
which are read first; its content tells which. "-" or no file is standard
input. A record is also held against its JSON Schema.

Flags:
  -f, --format F     text (default), json or csv
      --ascii        nothing beyond ASCII in text; so too where the locale is
                     not UTF-8
      --report FILE  write a report of all that was checked besides, with a
                     count a rule: text, JSON or CSV by the ending .txt, .json
                     or .csv
      --off NAME     switch off a rule or a family of "saywatt rules"; several
                     are allowed
      --settings F   read what is switched off from this file, a line "off NAME
                     REASON" each; without the flag from %s, where
                     that is there
%s      --max-bytes N  refuse larger files; %d where not given

What was switched off is said in the report. Several records end with a count a
rule. A record that contradicts itself, in which counts do not add up or a power
is negative, is told so and not checked further.

Exit status: 0 no finding of severity error; 1 there is one; 2 a file could not
be read, or the command line is wrong. A file that cannot be read does not stop
the others.

A finding that rests on an open value, one that wants a person's ear, is a note
and names the value: settle it, and the finding stands or goes. Nothing found
is no proof that a product is safe or complies with anything.

Example:
  saywatt check --format json station.jsonl
`, settingsFile, knownHelp, int64(transcript.DefaultMaxBytes))
}

func (c *checkCmd) Run(e *env) error {
	names := c.File
	if len(names) == 0 {
		names = []string{stdinName}
	}
	if c.MaxBytes < 0 {
		return &usageError{fmt.Errorf("--max-bytes %d is negative", c.MaxBytes), "saywatt check"}
	}
	if err := c.checkKnown(); err != nil {
		return &usageError{err, "saywatt check"}
	}
	report := export.Report{}
	var err error
	if report.Off, err = c.switchedOff(e); err != nil {
		return &usageError{err, "saywatt check"}
	}
	write, err := c.reportWriter(e)
	if err != nil {
		return &usageError{err, "saywatt check"}
	}
	rules := report.Off.Rules()
	known := sync.OnceValues(func() (pipeline.Options, error) { return c.known(e) })
	failed, grave := false, false
	for _, name := range names {
		checked, err := c.file(e, name, rules, known)
		if err != nil {
			failed = true
			e.complain(err)
		}
		for i := range checked {
			grave = grave || worst(checked[i].Findings) == schema.SeverityError
			if c.Format == "text" {
				if len(report.Records) > 0 || i > 0 {
					fmt.Fprintln(e.stdout)
				}
				if err := c.sheet(e).WriteFindings(e.stdout, &checked[i]); err != nil {
					return err
				}
			}
			report.Records = append(report.Records, checked[i])
		}
	}
	if err := c.finish(e, &report); err != nil {
		return err
	}
	if write != nil {
		if err := export.WriteFile(c.Report, names, func(w io.Writer) error { return write(w, &report) }); err != nil {
			return err
		}
	}
	switch {
	case failed:
		return errReported
	case grave:
		return errAttention
	}
	return nil
}

// settingsFile is read from the working directory where it is there.
const settingsFile = "saywatt.rules"

// switchedOff gathers what settings and flags switch off.
func (c *checkCmd) switchedOff(e *env) (validate.Off, error) {
	var off validate.Off
	name := c.Settings
	if name == "" {
		name = settingsFile
	}
	text, err := os.ReadFile(name)
	switch {
	case err == nil:
		if err := off.AddSettings(name, text); err != nil {
			return off, err
		}
	case c.Settings != "" || !errors.Is(err, fs.ErrNotExist):
		return off, err
	}
	for _, n := range c.Off {
		if err := off.Add(n, "--off", ""); err != nil {
			return off, err
		}
	}
	return off, nil
}

// reportWriter tells by the ending of the report's name how it is written; nil
// where none is.
func (c *checkCmd) reportWriter(e *env) (func(io.Writer, *export.Report) error, error) {
	if c.Report == "" {
		return nil, nil
	}
	switch strings.ToLower(filepath.Ext(c.Report)) {
	case ".txt":
		return export.Sheet{Width: widestSheet, ASCII: c.ASCII}.WriteReport, nil
	case ".json":
		return export.WriteReportJSON, nil
	case ".csv":
		return export.WriteReportCSV, nil
	}
	return nil, fmt.Errorf("--report %s: a report ends in .txt, .json or .csv", c.Report)
}

// finish ends the output.
func (c *checkCmd) finish(e *env, r *export.Report) error {
	switch c.Format {
	case "json":
		return export.WriteFindingsJSON(e.stdout, r.Records)
	case "csv":
		return export.WriteReportCSV(e.stdout, r)
	}
	return c.sheet(e).WriteCounts(e.stdout, r)
}

func (c *checkCmd) sheet(e *env) export.Sheet {
	o := reportFormat{ASCII: c.ASCII}
	return o.sheet(e)
}

// worst is the gravest severity found.
func worst(fs []schema.Finding) schema.Severity {
	s := schema.SeverityUnknown
	for i := range fs {
		s = max(s, fs[i].Severity)
	}
	return s
}

// file checks one file, captions with what is known. What it could check before an error comes with it.
func (c *checkCmd) file(e *env, name string, rules []*validate.Rule, known func() (pipeline.Options, error)) ([]export.Checked, error) {
	text, err := c.read(e, name)
	if err != nil {
		return nil, err
	}
	if export.IsRecords(text) {
		return checkRecords(name, text, rules)
	}
	t, err := pipeline.Read(name, text, c.MaxBytes)
	if err != nil {
		return nil, err
	}
	e.tellLanguage(t, "")
	o, err := known()
	if err != nil {
		return nil, err
	}
	r, err := pipeline.Run(t, o)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return []export.Checked{{File: name, Findings: validate.CheckWith(rules, r), Of: r}}, nil
}

// read reads a whole file, up to the limit.
func (c *checkCmd) read(e *env, name string) ([]byte, error) {
	in := e.stdin
	if name != stdinName {
		f, err := e.open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	limit := c.MaxBytes
	if limit == 0 {
		limit = transcript.DefaultMaxBytes
	}
	text, err := io.ReadAll(io.LimitReader(in, limit+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if int64(len(text)) > limit {
		return nil, fmt.Errorf("%s: larger than %d bytes; --max-bytes allows more", name, limit)
	}
	return text, nil
}

// checkRecords checks one JSON document, or as many as follow each other
// (JSON Lines). A record whose form is wrong is not checked further.
func checkRecords(name string, text []byte, rules []*validate.Rule) ([]export.Checked, error) {
	var all []export.Checked
	rest := bytes.TrimPrefix(text, []byte("\ufeff"))
	for n := 1; len(bytes.TrimSpace(rest)) > 0; n++ {
		// The lines before the document, for positions in the whole file.
		rest = rest[len(rest)-len(bytes.TrimLeft(rest, " \t\r\n")):]
		above := bytes.Count(text[:len(text)-len(rest)], []byte("\n"))
		document := rest
		d := json.NewDecoder(bytes.NewReader(rest))
		var raw json.RawMessage
		if err := d.Decode(&raw); err == nil {
			document, rest = rest[:d.InputOffset()], rest[d.InputOffset():]
		}
		found, r, err := validate.CheckDocumentWith(rules, document)
		if err != nil {
			var form *validate.FormError
			if errors.As(err, &form) {
				form.Line += above
			}
			return all, fmt.Errorf("%s: %w", name, err)
		}
		for i := range found {
			for k := range found[i].Positions {
				found[i].Positions[k].Line += above
			}
		}
		all = append(all, export.Checked{File: name, Record: n, Findings: found, Of: r})
	}
	if len(all) == 1 {
		all[0].Record = 0
	}
	return all, nil
}
