package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sync"

	"saywatt/extract/transcript"
	"saywatt/internal/export"
	"saywatt/internal/pipeline"
	"saywatt/schema"
	"saywatt/validate"
)

type checkCmd struct {
	reportFormat
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
%s%s      --max-bytes N  refuse larger files; %d where not given

Exit status: 0 no finding of severity error; 1 there is one; 2 a file could not
be read, or the command line is wrong. A file that cannot be read does not stop
the others.

A finding that rests on an open value, one that wants a person's ear, is a note
and names the value: settle it, and the finding stands or goes. Nothing found
is no proof that a product is safe or complies with anything.

Example:
  saywatt check --format json station.jsonl
`, reportHelp, knownHelp, int64(transcript.DefaultMaxBytes))
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
	known := sync.OnceValues(func() (pipeline.Options, error) { return c.known(e) })
	var all []export.Checked
	failed, grave := false, false
	for _, name := range names {
		checked, err := c.file(e, name, known)
		if err != nil {
			failed = true
			e.complain(err)
		}
		for i := range checked {
			grave = grave || worst(checked[i].Findings) == schema.SeverityError
		}
		if c.json() {
			all = append(all, checked...)
			continue
		}
		for i := range checked {
			if len(all) > 0 {
				fmt.Fprintln(e.stdout)
			}
			all = append(all, export.Checked{})
			if err := c.sheet(e).WriteFindings(e.stdout, &checked[i]); err != nil {
				return err
			}
		}
	}
	if c.json() {
		if err := export.WriteFindingsJSON(e.stdout, all); err != nil {
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

// worst is the gravest severity found.
func worst(fs []schema.Finding) schema.Severity {
	s := schema.SeverityUnknown
	for i := range fs {
		s = max(s, fs[i].Severity)
	}
	return s
}

// file checks one file, captions with what is known. What it could check before an error comes with it.
func (c *checkCmd) file(e *env, name string, known func() (pipeline.Options, error)) ([]export.Checked, error) {
	text, err := c.read(e, name)
	if err != nil {
		return nil, err
	}
	if export.IsRecords(text) {
		return checkRecords(name, text)
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
	return []export.Checked{{File: name, Findings: validate.Check(r), Of: r}}, nil
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
func checkRecords(name string, text []byte) ([]export.Checked, error) {
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
		found, r, err := validate.CheckDocument(document)
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
