package schema

import (
	"bytes"
	"encoding/json"
	"io"
	"slices"
	"strings"
)

// Write writes the record as one indented JSON document. A record read and
// written again is byte-identical. Texts are UTF-8; of the file's name, which
// may be any bytes, those that are not become U+FFFD.
func (r *Record) Write(w io.Writer) error { return r.write(w, "  ") }

// WriteLine writes the record as one line of JSON Lines.
func (r *Record) WriteLine(w io.Writer) error { return r.write(w, "") }

// writeAt is the size of the pieces in which a long record is written.
const writeAt = 1 << 20

// write writes what encoding/json makes of the record, the quantities one by
// one: they are nearly all of it, and the whole would be in memory twice.
func (r *Record) write(w io.Writer, indent string) error {
	const name = `"quantities":`
	space, line, inner := "", "", ""
	if indent != "" {
		space, line, inner = " ", "\n"+indent, "\n"+indent+indent
	}
	// a quote inside a text is escaped, so that this stands nowhere else
	empty := []byte(name + space + "[]")
	var b bytes.Buffer
	if err := encoder(&b, "", indent).Encode(r.bare()); err != nil {
		return err
	}
	if len(r.Quantities) == 0 {
		_, err := w.Write(b.Bytes())
		return err
	}
	head, tail, _ := bytes.Cut(bytes.Clone(b.Bytes()), empty)
	b.Reset()
	b.Write(head)
	b.WriteString(name + space + "[")
	e := encoder(&b, indent+indent, indent)
	for i := range r.Quantities {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(inner)
		q := r.Quantities[i]
		if q.Readings == nil {
			q.Readings = []Reading{}
		}
		if q.Why == nil {
			q.Why = []string{}
		}
		if err := e.Encode(&q); err != nil {
			return err
		}
		b.Truncate(b.Len() - 1) // its line end
		if b.Len() >= writeAt {
			if _, err := w.Write(b.Bytes()); err != nil {
				return err
			}
			b.Reset()
		}
	}
	b.WriteString(line + "]")
	b.Write(tail)
	_, err := w.Write(b.Bytes())
	return err
}

func encoder(w io.Writer, prefix, indent string) *json.Encoder {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if indent != "" {
		e.SetIndent(prefix, indent)
	}
	return e
}

// bare returns the record without its quantities, with empty lists in place
// of nil ones where the field is always written, since null is not a list, and
// with a file name that JSON can hold. r stays as it is.
func (r *Record) bare() *Record {
	c := *r
	c.Source.File = strings.ToValidUTF8(c.Source.File, "\uFFFD")
	c.Quantities = []Said{}
	if c.Cautions == nil {
		c.Cautions = []string{}
	}
	c.Terms = slices.Clone(r.Terms)
	for i := range c.Terms {
		t := &c.Terms[i]
		if t.Readings == nil {
			t.Readings = []TermReading{}
		}
		if t.Why == nil {
			t.Why = []string{}
		}
	}
	c.NamesToCheck = slices.Clone(r.NamesToCheck)
	for i := range c.NamesToCheck {
		if n := &c.NamesToCheck[i]; n.Heard == nil {
			n.Heard = []string{}
		}
	}
	return &c
}
