package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"saywatt/internal/glossary"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// captions are a file to read, and what to read it with.
type captions struct {
	name    string
	text    []byte
	options pipeline.Options
}

// The names that errors have for the parts of a body that are files elsewhere.
const (
	answersName  = "answers"
	glossaryName = "glossary"
)

// maxName bounds the name of captions, in bytes.
const maxName = 4096

// read makes a record of captions, the same bytes as "saywatt read -f record".
func (a *api) read(c *call) error {
	in, err := a.captionsOf(c)
	if err != nil {
		return err
	}
	rec, err := work(c.r.Context(), a, func() (*schema.Record, error) { return in.read(a.MaxBytes) })
	if err != nil {
		return err
	}
	c.body, in.text = nil, nil
	c.w.Header().Set("Content-Type", c.gives)
	return rec.Write(c.w)
}

// captionsOf takes captions from a request: as the body, or as members of a
// JSON object.
func (a *api) captionsOf(c *call) (*captions, error) {
	if c.takes == typeJSON {
		for name := range c.query {
			return nil, badParameter(name, "with a JSON body this is a member of it")
		}
		return a.decode(c.body)
	}
	in := &captions{name: nameOf(c.takes), text: c.body, options: a.options()}
	if c.query.Has("name") {
		in.name = c.query.Get("name")
		if err := checkName(in.name); err != nil {
			return nil, badParameter("name", err.Error())
		}
	}
	if c.query.Has("threshold") {
		var err error
		if in.options.Threshold, err = threshold(c.query.Get("threshold")); err != nil {
			return nil, badParameter("threshold", err.Error())
		}
	}
	return in, nil
}

// decode reads the JSON form of captions.
func (a *api) decode(body []byte) (*captions, error) {
	in := &captions{name: nameOf(""), options: a.options()}
	given := false
	err := object(body, func(name string, v value) error {
		switch name {
		case "name":
			var err error
			if in.name, err = v.text(); err != nil {
				return err
			}
			return checkName(in.name)
		case "captions":
			given = true
			s, err := v.text()
			in.text = []byte(s)
			return err
		case "threshold":
			var err error
			in.options.Threshold, err = threshold(string(v.raw))
			return err
		case "answers":
			var err error
			in.options.Answers, err = answers(v)
			return err
		case "glossary":
			s, err := v.text()
			if err != nil {
				return err
			}
			in.options.Glossary, err = a.names(s)
			return err
		}
		return errUnknown("name", "captions", "threshold", "answers", "glossary")
	})
	switch {
	case err != nil:
		return nil, err
	case !given:
		return nil, bodyError(body, 0, "/captions", errMissing)
	}
	return in, nil
}

func checkName(name string) error {
	switch {
	case name == "":
		return errors.New("a name is not empty")
	case len(name) > maxName:
		return fmt.Errorf("a name has at most %d bytes", maxName)
	}
	return nil
}

// threshold reads a probability.
func threshold(s string) (float64, error) {
	p, err := strconv.ParseFloat(s, 64)
	if err != nil || !(p >= 0 && p <= 1) {
		return 0, fmt.Errorf("%s is not a probability, 0 to 1", clip(s))
	}
	return p, nil
}

// answers reads decisions as a file of them is read, one a line.
func answers(v value) ([]normalize.Answer, error) {
	all, err := v.list()
	if err != nil {
		return nil, err
	}
	var lines bytes.Buffer
	for _, a := range all {
		if err := json.Compact(&lines, a); err != nil {
			return nil, err
		}
		lines.WriteByte('\n')
	}
	return normalize.ReadAnswers(&lines, answersName)
}

// names reads a glossary file, which wins over the server's.
func (a *api) names(file string) (*glossary.Book, error) {
	entries, err := glossary.Read(strings.NewReader(file), glossaryName)
	if err != nil {
		return nil, err
	}
	if a.Pipeline.Glossary == nil {
		return glossary.New(entries), nil
	}
	return glossary.New(a.Pipeline.Glossary.Entries(), entries), nil
}

// read makes the record.
func (in *captions) read(most int64) (*schema.Record, error) {
	t, err := pipeline.Read(in.name, in.text, most)
	if err != nil {
		return nil, err
	}
	return pipeline.Run(t, in.options)
}
