package feed

import (
	"io"

	"saywatt/internal/export/account"
	"saywatt/internal/export/plainjson"
	"saywatt/schema"
)

// A readingLine is one line of the readings format: JSON Lines, one object for
// every physical quantity said, in the order said, withdrawn ones included.
// The keys stand in this order; those marked omitempty are left out where
// there is nothing to say.
type readingLine struct {
	File   string          `json:"file"`             // name as given
	Review string          `json:"review,omitempty"` // name given to the review
	At     *schema.Seconds `json:"at"`               // start of the cue in seconds, null where untimed
	Span   schema.Span     `json:"span"`             // [start,end) bytes of the source file, the first occurrence
	Spans  []schema.Span   `json:"spans,omitempty"`
	// the words of those bytes: breaks, numbers and times of cues and tags left out
	Heard string      `json:"heard"`
	Kind  schema.Kind `json:"kind"`
	choice
	Status         schema.Status      `json:"status"`
	Confidence     float64            `json:"confidence"`
	Readings       []readingChoice    `json:"readings"`          // best first, the chosen one included
	Nothing        float64            `json:"nothing,omitempty"` // probability that no quantity was said
	Place          string             `json:"place"`             // "" where it fills none
	Belongs        []schema.Belonging `json:"belongs,omitempty"` // what it may belong to, where that is in doubt
	BelongsSettled bool               `json:"belongs_settled,omitempty"`
	Aside          schema.Aside       `json:"aside,omitempty"` // why it is of nothing of the product
	Qualifier      schema.Qualifier   `json:"qualifier,omitempty"`
	Why            []string           `json:"why"`
}

// A choice is a value, or the two ends of a range, with the UCUM unit.
type choice struct {
	Value *schema.Decimal `json:"value,omitempty"`
	Low   *schema.Decimal `json:"low,omitempty"`
	High  *schema.Decimal `json:"high,omitempty"`
	Unit  schema.Unit     `json:"unit"`
}

type readingChoice struct {
	choice
	Confidence float64 `json:"confidence"`
}

func choiceOf(q *schema.Quantity) choice {
	if q.Range {
		return choice{Low: &q.Low, High: &q.High, Unit: q.Unit}
	}
	return choice{Value: &q.Low, Unit: q.Unit}
}

func WriteReadings(w io.Writer, r *schema.Record) error {
	for i := range r.Quantities {
		s := &r.Quantities[i]
		line := readingLine{
			File: r.Source.File, Review: r.Source.Review, At: s.At, Span: s.Span, Spans: s.Spans, Heard: s.Heard,
			Kind: s.Kind, choice: choiceOf(&s.Quantity), Status: s.Status, Confidence: s.Confidence,
			Readings: make([]readingChoice, 0, account.MaxReadings), Nothing: s.Nothing, Place: s.Place,
			Belongs: s.Belongs, BelongsSettled: s.BelongsSettled, Aside: s.Aside, Qualifier: s.Qualifier, Why: s.Why,
		}
		for j := range s.Readings[:min(len(s.Readings), account.MaxReadings)] {
			q := &s.Readings[j]
			line.Readings = append(line.Readings, readingChoice{choiceOf(&q.Quantity), q.Confidence})
		}
		if line.Why == nil {
			line.Why = []string{}
		}
		if err := plainjson.WriteLine(w, line); err != nil {
			return err
		}
	}
	return nil
}
