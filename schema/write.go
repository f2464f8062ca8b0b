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
func (r *Record) Write(w io.Writer) error { return new(RecordWriter).document(w, r) }

// WriteLine writes the record as one line of JSON Lines.
func (r *Record) WriteLine(w io.Writer) error { return new(RecordWriter).WriteLine(w, r) }

// A RecordWriter writes records one after the other in the same memory. The zero
// value is ready.
type RecordWriter struct {
	bare bytes.Buffer // the record without its quantities
	line line
	out  []byte // what is not written yet
	one  []byte // a quantity before it is indented
}

// WriteLine writes a record as Record.WriteLine does.
func (rw *RecordWriter) WriteLine(w io.Writer, r *Record) error {
	if file := strings.ToValidUTF8(r.Source.File, "\uFFFD"); file != r.Source.File {
		c := *r
		c.Source.File = file
		r = &c
	}
	var broken error
	l := &rw.line
	l.b, l.bad = l.b[:0], false
	l.record(r, func() {
		l.b = append(l.b, `,"quantities":[`...)
		for i := range r.Quantities {
			var ok bool
			l.b, ok = r.Quantities[i].append(appendComma(l.b, i))
			if l.bad = l.bad || !ok; l.bad || broken != nil {
				return
			}
			if len(l.b) >= writeAt {
				_, broken = w.Write(l.b)
				l.b = l.b[:0]
			}
		}
		l.b = append(l.b, ']')
	})
	if l.bad {
		_, err := json.Marshal(r) // which says what is wrong
		return err
	}
	if broken != nil {
		return broken
	}
	_, err := w.Write(l.b)
	return err
}

// writeAt is the size of the pieces in which a long record is written.
const writeAt = 1 << 16

// sizeOfSaid is about how long a quantity said is on a line.
const sizeOfSaid = 2000

// document writes what encoding/json makes of the record, indented. Quantities are
// nearly all of it: they are appended one by one, and the whole is never in memory.
func (rw *RecordWriter) document(w io.Writer, r *Record) error {
	const (
		indent = "  "
		name   = `"quantities": `
		empty  = name + "[]" // a quote inside a text is escaped, so that this stands nowhere else
	)
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
	head, tail, _ := bytes.Cut(rw.bare.Bytes(), []byte(empty))
	b := slices.Grow(rw.out[:0], min(len(head)+len(tail)+sizeOfSaid*len(r.Quantities), writeAt+writeAt/4))
	b = append(append(append(b, head...), name...), '[')
	for i := range r.Quantities {
		b = append(appendComma(b, i), "\n"+indent+indent...)
		var ok bool
		if rw.one, ok = r.Quantities[i].append(rw.one[:0]); !ok {
			_, err := json.Marshal(&r.Quantities[i]) // which says what is wrong
			return err
		}
		to := bytes.NewBuffer(b)
		if err := json.Indent(to, rw.one, indent+indent, indent); err != nil {
			return err
		}
		if b = to.Bytes(); len(b) >= writeAt {
			if _, err := w.Write(b); err != nil {
				return err
			}
			b = b[:0]
		}
	}
	b = append(append(b, "\n"+indent+"]"...), tail...)
	_, err := w.Write(b)
	rw.out = b
	return err
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
