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
func (r *Record) Write(w io.Writer) error { return new(RecordWriter).write(w, r, "  ") }

// WriteLine writes the record as one line of JSON Lines.
func (r *Record) WriteLine(w io.Writer) error { return new(RecordWriter).WriteLine(w, r) }

// A RecordWriter writes records one after the other in the same memory. The zero
// value is ready.
type RecordWriter struct {
	bare bytes.Buffer // the record without its quantities
	out  []byte       // what is not written yet
	one  []byte       // a quantity before it is indented
}

// WriteLine writes a record as Record.WriteLine does.
func (rw *RecordWriter) WriteLine(w io.Writer, r *Record) error { return rw.write(w, r, "") }

// writeAt is the size of the pieces in which a long record is written.
const writeAt = 1 << 16

// sizeOfSaid is about how long a quantity said is on a line.
const sizeOfSaid = 2000

// write writes what encoding/json makes of the record. Quantities are nearly all
// of it: they are appended one by one, and the whole is never in memory.
func (rw *RecordWriter) write(w io.Writer, r *Record, indent string) error {
	const name = `"quantities":`
	space, line, inner := "", "", ""
	if indent != "" {
		space, line, inner = " ", "\n"+indent, "\n"+indent+indent
	}
	// a quote inside a text is escaped, so that this stands nowhere else
	empty := []byte(name + space + "[]")
	rw.bare.Reset()
	e := json.NewEncoder(&rw.bare)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(r.bare()); err != nil {
		return err
	}
	if len(r.Quantities) == 0 {
		_, err := w.Write(rw.bare.Bytes())
		return err
	}
	head, tail, _ := bytes.Cut(rw.bare.Bytes(), empty)
	b := slices.Grow(rw.out[:0], min(len(head)+len(tail)+sizeOfSaid*len(r.Quantities), writeAt+writeAt/4))
	b = append(append(append(b, head...), name...), space...)
	b = append(b, '[')
	for i := range r.Quantities {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, inner...)
		var ok bool
		if b, ok = rw.said(b, &r.Quantities[i], indent); !ok {
			_, err := json.Marshal(&r.Quantities[i]) // which says what is wrong
			return err
		}
		if len(b) >= writeAt {
			if _, err := w.Write(b); err != nil {
				return err
			}
			b = b[:0]
		}
	}
	b = append(append(append(b, line...), ']'), tail...)
	_, err := w.Write(b)
	rw.out = b
	return err
}

// said appends a quantity, with its fields on lines of their own where they are
// indented.
func (rw *RecordWriter) said(b []byte, s *Said, indent string) (out []byte, ok bool) {
	if indent == "" {
		return s.append(b)
	}
	if rw.one, ok = s.append(rw.one[:0]); !ok {
		return b, false
	}
	to := bytes.NewBuffer(b)
	if json.Indent(to, rw.one, indent+indent, indent) != nil {
		return b, false
	}
	return to.Bytes(), true
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
