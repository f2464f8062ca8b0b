package work

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"saywatt/internal/export/feed"
	"saywatt/internal/export/naming"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// read makes a record of captions as a worker does: answers that fit nothing
// are given back, and the record is made without them. The review's name is in
// the record where it is not the one that the file gives it.
func read(review, file string, text []byte, most int64, o pipeline.Options) (*schema.Record, normalize.StrayAnswers,
	error) {
	t, err := pipeline.Read(file, text, most)
	if err != nil {
		return nil, nil, err
	}
	r, err := pipeline.Run(t, o)
	var stray normalize.StrayAnswers
	if errors.As(err, &stray) {
		o.Answers = without(o.Answers, stray)
		r, err = pipeline.Run(t, o)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", file, err)
	}
	if naming.ReviewName(&r.Source) != review {
		r.Source.Review = review
	}
	return r, stray, nil
}

// without leaves out the answers that fit nothing, known by where they stand.
func without(answers []normalize.Answer, stray normalize.StrayAnswers) []normalize.Answer {
	gone := map[string]bool{}
	for _, s := range stray {
		gone[s.Answer.From] = true
	}
	var rest []normalize.Answer
	for _, a := range answers {
		if !gone[a.From] {
			rest = append(rest, a)
		}
	}
	return rest
}

// feedLine writes a record as a line of the feed, and gives its id.
func feedLine(r *schema.Record) (id string, line []byte, err error) {
	var b bytes.Buffer
	if err := feed.Write(&b, r); err != nil {
		return "", nil, err
	}
	line = bytes.TrimSuffix(b.Bytes(), []byte("\n"))
	// The id is among the first members; the record need not be read for it.
	d := json.NewDecoder(bytes.NewReader(line))
	for key := false; ; {
		t, err := d.Token()
		if err != nil {
			return "", nil, fmt.Errorf("a line of the feed without id: %w", err)
		}
		s, _ := t.(string)
		if key {
			return s, line, nil
		}
		key = s == "id"
	}
}
