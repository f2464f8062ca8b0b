package feed

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// A Document is one JSON document of several that follow each other.
type Document struct {
	Text   []byte
	Number int // from 1
	Line   int // on which it begins, from 1
}

// OneLine reports whether the document is one of JSON Lines.
func (d *Document) OneLine() bool { return bytes.IndexByte(d.Text, '\n') < 0 }

// A DocumentError says what is wrong with one document of several.
type DocumentError struct {
	Number int // of the document, from 1
	Line   int // from 1
	Col    int // from 1, in bytes; 0 where Err says it or nobody does
	Rest   bool
	Err    error
}

func (e *DocumentError) Error() string {
	rest := ""
	if e.Rest {
		rest = "; what follows it was not read"
	}
	column := ""
	if e.Col > 0 {
		column = fmt.Sprintf(", column %d", e.Col)
	}
	return fmt.Sprintf("record %d, line %d%s: %v%s", e.Number, e.Line, column, e.Err, rest)
}

func (e *DocumentError) Unwrap() error { return e.Err }

// errSyntax says that something is no JSON.
var errSyntax = errors.New("this is no JSON")

// EachDocument reads JSON documents one after another, or one a line, and hands
// each to do before the next is read: the input may be endless, and takes the
// memory of one document. What is no JSON, and what is larger than limit bytes,
// goes to broken. An error of either ends the reading and is returned as it is.
//
// Behind a broken document the next is looked for where a line begins with a
// brace: in JSON Lines that is the next line, and nothing else is lost.
func EachDocument(r io.Reader, limit int64, do func(*Document) error, broken func(*DocumentError) error) error {
	s := &documents{budget: &budget{r: r, limit: limit, left: limit}}
	s.counted = &lineCounter{r: s.budget, line: 1}
	in := bufio.NewReader(s.counted)
	if mark, _ := in.Peek(len(byteOrderMark)); string(mark) == byteOrderMark {
		in.Discard(len(byteOrderMark))
		s.base = int64(len(byteOrderMark))
	}
	s.begin(in, s.base)
	for n := 1; ; n++ {
		doc, err := s.next()
		switch {
		case err == nil:
			doc.Number = n
			if err := do(doc); err != nil {
				return err
			}
			continue
		case err == io.EOF:
			return nil
		}
		wrong, text := s.wrong(err)
		wrong.Number = n
		if err := broken(wrong); err != nil || wrong.Rest || !s.skip(text) {
			return err
		}
	}
}

const byteOrderMark = "\ufeff"

// documents cuts an input into documents.
type documents struct {
	budget  *budget
	counted *lineCounter
	in      io.Reader // of d, behind what is given back
	d       *json.Decoder
	base    int64 // bytes of the input before that of d
}

// begin begins to decode what r gives, at that byte of the input.
func (s *documents) begin(r io.Reader, base int64) {
	s.in, s.d, s.base = r, json.NewDecoder(r), base
}

// next cuts out a document. io.EOF is the end.
func (s *documents) next() (*Document, error) {
	s.budget.left = s.budget.limit
	var raw json.RawMessage
	if err := s.d.Decode(&raw); err != nil {
		return nil, err
	}
	return &Document{Text: raw, Line: s.counted.lineOf(s.base + s.d.InputOffset() - int64(len(raw)))}, nil
}

// wrong says what is wrong with what comes next, and gives back what was read of it.
func (s *documents) wrong(err error) (*DocumentError, []byte) {
	before := s.d.InputOffset()
	text, _ := io.ReadAll(s.d.Buffered()) // of memory
	blank := len(text) - len(bytes.TrimLeft(text, " \t\r\n"))
	text = text[blank:]
	s.base += before + int64(blank)
	e := &DocumentError{Line: s.counted.lineOf(s.base), Err: err}
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		at := max(min(int(syntax.Offset-1-before)-blank, len(text)), 0)
		e.Line += bytes.Count(text[:at], []byte("\n"))
		e.Err = fmt.Errorf("%w from column %d on", errSyntax, at-bytes.LastIndexByte(text[:at], '\n'))
	case !errors.Is(err, io.ErrUnexpectedEOF):
		e.Rest = true
	}
	return e, text
}

// skip goes on behind a broken document, of which text was read. It reports
// false where nothing follows.
func (s *documents) skip(text []byte) bool {
	if k := bytes.Index(text, []byte("\n{")); k >= 0 {
		s.begin(io.MultiReader(bytes.NewReader(text[k+1:]), s.in), s.base+int64(k+1))
		return true
	}
	at := s.base + int64(len(text))
	in := bufio.NewReader(s.in)
	ended := bytes.HasSuffix(text, []byte("\n"))
	for {
		s.budget.left = s.budget.limit
		if first, err := in.Peek(1); err != nil {
			return false
		} else if ended && first[0] == '{' {
			s.begin(in, at)
			return true
		}
		part, err := in.ReadSlice('\n')
		at += int64(len(part))
		if ended = err == nil; err != nil && err != bufio.ErrBufferFull {
			return false
		}
	}
}

// lineCounter passes an input on and knows on which line each byte is that has
// not been passed by lineOf.
type lineCounter struct {
	r      io.Reader
	at     int64
	breaks []int64 // line breaks ahead
	line   int     // of what is before them
}

func (c *lineCounter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	for i := 0; i < n; i++ {
		k := bytes.IndexByte(p[i:n], '\n')
		if k < 0 {
			break
		}
		i += k
		c.breaks = append(c.breaks, c.at+int64(i))
	}
	c.at += int64(n)
	return n, err
}

// lineOf is the line of a byte, which is none before one asked for earlier.
func (c *lineCounter) lineOf(at int64) int {
	n := 0
	for n < len(c.breaks) && c.breaks[n] < at {
		n++
	}
	c.line += n
	c.breaks = c.breaks[:copy(c.breaks, c.breaks[n:])]
	return c.line
}
