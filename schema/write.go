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
const writeAt = 1 << 16

// sizeOfSaid is about how long a quantity said is on a line.
const sizeOfSaid = 2000

// write writes what encoding/json makes of the record. Quantities are nearly all
// of it: they are appended one by one, and the whole is never in memory.
func (r *Record) write(w io.Writer, indent string) error {
	const name = `"quantities":`
	space, line, inner := "", "", ""
	if indent != "" {
		space, line, inner = " ", "\n"+indent, "\n"+indent+indent
	}
	// a quote inside a text is escaped, so that this stands nowhere else
	empty := []byte(name + space + "[]")
	var bare bytes.Buffer
	e := json.NewEncoder(&bare)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(r.bare()); err != nil {
		return err
	}
	if len(r.Quantities) == 0 {
		_, err := w.Write(bare.Bytes())
		return err
	}
	head, tail, _ := bytes.Cut(bare.Bytes(), empty)
	var b bytes.Buffer
	b.Grow(min(len(head)+len(tail)+sizeOfSaid*len(r.Quantities), writeAt+writeAt/4))
	b.Write(head)
	b.WriteString(name + space + "[")
	var one []byte
	for i := range r.Quantities {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(inner)
		var ok bool
		if one, ok = r.Quantities[i].append(one[:0]); !ok {
			_, err := json.Marshal(&r.Quantities[i]) // which says what is wrong
			return err
		}
		if indent == "" {
			b.Write(one)
		} else if err := json.Indent(&b, one, indent+indent, indent); err != nil {
			return err
		}
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
