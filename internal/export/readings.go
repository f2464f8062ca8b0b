package export

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"io"
	"strings"
	"unicode/utf16"

	"saywatt/schema"
)

// maxReadings bounds the readings shown of one quantity.
const maxReadings = 5

// A readingLine is one line of the readings format: JSON Lines, one object for
// every physical quantity said, in the order said, withdrawn ones included.
// The keys stand in this order; those marked omitempty are left out where
// there is nothing to say.
type readingLine struct {
	File  string          `json:"file"` // name as given
	At    *schema.Seconds `json:"at"`   // start of the cue in seconds, null where untimed
	Span  schema.Span     `json:"span"` // [start,end) bytes of the source file, the first occurrence
	Spans []schema.Span   `json:"spans,omitempty"`
	Heard string          `json:"heard"` // those bytes
	Kind  schema.Kind     `json:"kind"`
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

func writeReadings(w io.Writer, r *schema.Record, source []byte) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	for i := range r.Quantities {
		s := &r.Quantities[i]
		line := readingLine{
			File: r.Source.File, At: s.At, Span: s.Span, Spans: s.Spans, Heard: heard(s, source),
			Kind: s.Kind, choice: choiceOf(&s.Quantity), Status: s.Status, Confidence: s.Confidence,
			Readings: make([]readingChoice, 0, maxReadings), Nothing: s.Nothing, Place: s.Place, Belongs: s.Belongs,
			BelongsSettled: s.BelongsSettled, Aside: s.Aside, Qualifier: s.Qualifier, Why: s.Why,
		}
		for j := range s.Readings[:min(len(s.Readings), maxReadings)] {
			q := &s.Readings[j]
			line.Readings = append(line.Readings, readingChoice{choiceOf(&q.Quantity), q.Confidence})
		}
		if line.Why == nil {
			line.Why = []string{}
		}
		if err := e.Encode(line); err != nil {
			return err
		}
	}
	return nil
}

// heard returns the bytes of the source that the span covers, decoded where
// the file is UTF-16; the words of the record where there is no source.
func heard(s *schema.Said, source []byte) string {
	if s.Span.Start < 0 || s.Span.Empty() || s.Span.End > len(source) {
		return s.Heard
	}
	b := source[s.Span.Start:s.Span.End]
	switch {
	case bytes.HasPrefix(source, []byte{0xFF, 0xFE}):
		return decode16(b, binary.LittleEndian)
	case bytes.HasPrefix(source, []byte{0xFE, 0xFF}):
		return decode16(b, binary.BigEndian)
	}
	return strings.ToValidUTF8(string(b), "\uFFFD")
}

func decode16(b []byte, order binary.ByteOrder) string {
	u := make([]uint16, len(b)/2)
	for i := range u {
		u[i] = order.Uint16(b[2*i:])
	}
	return string(utf16.Decode(u))
}
