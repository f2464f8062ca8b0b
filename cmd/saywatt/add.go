package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"saywatt/extract/transcript"
	"saywatt/internal/archive"
	"saywatt/internal/export"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

type addCmd struct {
	archiveFlag
	signature
	knownFlags
	As       string   `help:"Name of the review."`
	Replace  bool     `help:"Let the name go to another product."`
	MaxBytes int64    `help:"Largest file read, in bytes."`
	File     []string `arg:"" optional:"" help:"Captions or records; - is standard input."`
}

func (addCmd) Help() string {
	return fmt.Sprintf(`Usage: saywatt add [FLAG ...] [FILE ...]

Puts reviews into the archive, which is made where there is none. A FILE is
captions, which are read first, or records as "saywatt read -f record" or
"-f jsonl" writes them; its content tells which. "-" or no file is standard
input.

A review is named after the file that was read, without folder and extension.
One read again gets a new version, and the old ones stay. A file of the same
name that tells of another product is refused: --as gives it another name.
A line for each review is printed when it is safely on disk.

Flags:
%s      --as NAME      name of the review; of one only
      --replace      make it a new version though the product is another
%s%s      --max-bytes N  refuse larger files; %d where not given

Exit status: 0 all are in; 2 one is not, or the command line is wrong. A file
that cannot be read does not stop the others.

Example:
  saywatt add station.vtt cable.srt
`, archiveHelp, signatureHelp, knownHelp, int64(transcript.DefaultMaxBytes))
}

func (c *addCmd) Run(e *env) (err error) {
	when, err := c.when()
	switch {
	case err != nil:
	case c.MaxBytes < 0:
		err = fmt.Errorf("--max-bytes %d is negative", c.MaxBytes)
	case c.As != "" && len(c.File) > 1:
		err = errors.New("--as names one review, and several files are given")
	}
	if err == nil {
		err = c.checkKnown()
	}
	if err != nil {
		return &usageError{err, "saywatt add"}
	}
	known := sync.OnceValues(func() (pipeline.Options, error) { return c.known(e) })
	names := c.File
	if len(names) == 0 {
		names = []string{stdinName}
	}
	a, err := archive.Create(c.dir(e))
	if err != nil {
		return err
	}
	w, err := a.Begin()
	if err != nil {
		return errors.Join(err, a.Close())
	}
	failed := false
	for _, name := range names {
		records, err := c.records(e, name, known)
		for _, r := range records {
			if err != nil {
				break
			}
			err = c.add(e, w, r, when)
		}
		if err != nil {
			failed = true
			e.complain(err)
		}
	}
	if err := errors.Join(w.Close(), a.Close()); err != nil {
		return err
	}
	if failed {
		return errReported
	}
	return nil
}

// add puts one record in and tells of it when it is on disk.
func (c *addCmd) add(e *env, w *archive.Writer, r *schema.Record, when time.Time) error {
	name := c.As
	if name == "" {
		name = r.Source.File
		if archive.Name(name) == "" {
			name = r.Product.Name
		}
	}
	added, err := w.Add(name, r, c.who(e), when, c.Replace)
	if errors.Is(err, archive.ErrTaken) {
		return fmt.Errorf("%w; --as gives it another name, --replace makes it a new version", err)
	}
	if err == nil {
		err = w.Commit()
	}
	if err != nil {
		return err
	}
	what := fmt.Sprintf("version %d", added.Version)
	if added.Same {
		what += ", as it was"
	}
	title := r.Product.Name
	if title == "" {
		title = "product without a name"
	}
	_, err = fmt.Fprintf(e.stdout, "%s: %s, %s\n", added.Review, export.Printable(title), what)
	return err
}

// records reads a file: captions into a record, or the records it holds.
func (c *addCmd) records(e *env, name string, known func() (pipeline.Options, error)) ([]*schema.Record, error) {
	text, err := (&checkCmd{MaxBytes: c.MaxBytes}).read(e, name)
	if err != nil {
		return nil, err
	}
	if !export.IsRecords(text) {
		o, err := known()
		if err != nil {
			return nil, err
		}
		r := reader{env: e, most: c.MaxBytes, pipeline: o}
		got := r.stream(name, bytes.NewReader(text))
		if got.err == nil {
			r.tellProblems(got.record)
		}
		return []*schema.Record{got.record}, got.err
	}
	var all []*schema.Record
	for d := json.NewDecoder(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff")))); ; {
		var raw json.RawMessage
		if err := d.Decode(&raw); err == io.EOF {
			return all, nil
		} else if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		r, err := schema.ReadRecord(bytes.NewReader(raw))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, r)
	}
}
