package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// task is captions to be read, as JSON tells them.
type task struct {
	Name      string            `json:"name"`
	Captions  *string           `json:"captions"`
	Threshold float64           `json:"threshold"`
	Answers   []json.RawMessage `json:"answers"` // lines of a decisions file
}

// read answers captions with their record. Captions come as they are, any
// text type, with name and threshold in the query, or as a task.
func (s *service) read(w http.ResponseWriter, q *http.Request) error {
	kind, err := contentType(q)
	if err != nil {
		return err
	}
	var t task
	switch {
	case kind == "application/json":
		if t, err = decode(q.Body); err != nil {
			return s.bodyError(err)
		}
	case kind == "", strings.HasPrefix(kind, "text/"), kind == "application/octet-stream", kind == "application/x-subrip", kind == "application/ttml+xml",
		kind == "application/x-www-form-urlencoded": // what clients put down that were told of none
		if t, err = plain(q); err != nil {
			return s.bodyError(err)
		}
	default:
		return NewProblem(http.StatusUnsupportedMediaType, fmt.Sprintf("captions do not come as %s; send them as text, or in application/json", kind))
	}
	rec, err := s.run(q.Context(), &t)
	if err != nil {
		return err
	}
	return answer(w, rec.Write)
}

// plain makes a task of a body that is the captions.
func plain(q *http.Request) (task, error) {
	t := task{Name: q.URL.Query().Get("name")}
	if given := q.URL.Query().Get("threshold"); given != "" {
		v, err := strconv.ParseFloat(given, 64)
		if err != nil {
			return t, fmt.Errorf("threshold %q is not a number", given)
		}
		t.Threshold = v
	}
	text, err := io.ReadAll(q.Body)
	if err != nil {
		return t, err
	}
	captions := string(text)
	t.Captions = &captions
	return t, nil
}

// decode reads one task and nothing behind it.
func decode(r io.Reader) (task, error) {
	var t task
	d := json.NewDecoder(r)
	d.DisallowUnknownFields()
	if err := d.Decode(&t); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return t, err
		}
		return t, fmt.Errorf("the captions' JSON: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return t, errors.New("the captions' JSON: something follows the object")
	}
	if t.Captions == nil {
		return t, errors.New(`the captions' JSON: no "captions"`)
	}
	return t, nil
}

// run reads the captions of a task.
func (s *service) run(ctx context.Context, t *task) (*schema.Record, error) {
	if !(t.Threshold >= 0 && t.Threshold <= 1) {
		return nil, fmt.Errorf("threshold %v is not a probability, 0 to 1", t.Threshold)
	}
	if t.Name == "" {
		t.Name = "captions"
	}
	if int64(len(*t.Captions)) > s.MaxBytes {
		return nil, tooLarge(s.MaxBytes)
	}
	o := s.Pipeline
	if t.Threshold != 0 {
		o.Threshold = t.Threshold
	}
	var err error
	if o.Answers, err = answers(t.Answers); err != nil {
		return nil, err
	}
	end, err := s.turn(ctx)
	if err != nil {
		return nil, err
	}
	defer end()
	tr, err := transcript.Read(strings.NewReader(*t.Captions), transcript.Options{Name: t.Name, MaxBytes: s.MaxBytes})
	if err != nil {
		return nil, err
	}
	rec, err := pipeline.Run(tr, o)
	if errors.Is(err, pipeline.ErrTooMany) {
		return nil, NewProblem(http.StatusRequestEntityTooLarge, err.Error())
	}
	return rec, err
}

// answers reads decisions as the lines of a file of them.
func answers(lines []json.RawMessage) ([]normalize.Answer, error) {
	if len(lines) == 0 {
		return nil, nil
	}
	var b bytes.Buffer
	for _, l := range lines {
		if err := json.Compact(&b, l); err != nil {
			return nil, err
		}
		b.WriteByte('\n')
	}
	return normalize.ReadAnswers(&b, "answers")
}
