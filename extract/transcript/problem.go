package transcript

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
)

// Causes. A ParseError wraps one of them; use errors.Is.
var (
	// Fatal: nothing can be read, Parse and Read return the error.
	ErrEmpty    = errors.New("the file is empty")
	ErrNotText  = errors.New("not text")
	ErrEncoding = errors.New("neither UTF-8 nor UTF-16 with a byte order mark")
	ErrTooBig   = errors.New("too big")
	ErrDTD      = errors.New("a document type declaration is not read")
	ErrNotTTML  = errors.New("XML, but not a timed text document")
	ErrForm     = errors.New("this form is not read")
	ErrJSON     = errors.New("malformed JSON")
	ErrNotTimed = errors.New("JSON, but without segments that have times and words")
	ErrRecord   = errors.New("a record or feed of this program, not captions")
	ErrDocument = errors.New("the Word document cannot be read")

	// Not fatal: listed in Transcript.Problems, the rest is read.
	ErrSignature = errors.New("the WEBVTT signature is not as the standard wants it")
	ErrTiming    = errors.New("unreadable or irregular cue time")
	ErrTimeOrder = errors.New("the cue ends before it starts")
	ErrUnsorted  = errors.New("the cue starts before the one ahead of it")
	ErrOverlap   = errors.New("the cue starts before the one ahead of it ends")
	ErrStamp     = errors.New("word time outside its cue or out of order")
	ErrTag       = errors.New("stray < or tag never closed")
	ErrIndex     = errors.New("cue number missing or stray")
	ErrBlankLine = errors.New("blank line inside a cue or missing between two cues")
	ErrStrayText = errors.New("text outside any cue")
	ErrSpike     = errors.New("a time out of line with its neighbours, read as words")
	ErrXML       = errors.New("malformed XML, nothing after it can be read")
	ErrNoCues    = errors.New("no cue in the file")
	ErrNoWords   = errors.New("no words in the file")
	ErrTwice     = errors.New("given twice")
	ErrCells     = errors.New("a row with more or fewer cells than the head of the table")
	ErrLanguage  = errors.New("not English, and only English is read")
	ErrMore      = errors.New("further problems are not listed")
)

// maxProblems bounds the list, so that a hostile file cannot make it larger
// than itself; what was left out is counted in a last entry.
const maxProblems = 1000

// A ParseError is something that could not be read, or was read leniently.
// Line and Col count from 1, Col in bytes of the line's UTF-8 form; both are 0
// where the complaint is about the file as a whole.
type ParseError struct {
	Name string
	Line int
	Col  int
	Err  error
}

// Error returns "name:line:col: message".
func (e *ParseError) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %v", e.Name, e.Err)
	}
	return fmt.Sprintf("%s:%d:%d: %v", e.Name, e.Line, e.Col, e.Err)
}

// Unwrap returns the cause.
func (e *ParseError) Unwrap() error { return e.Err }

// problems collects ParseErrors up to a bound.
type problems struct {
	src  *source
	list []*ParseError
	more int
}

// add records cause at an offset of the decoded text. detail may be empty.
func (p *problems) add(offset int, cause error, detail string) {
	if len(p.list) >= maxProblems {
		p.more++
		return
	}
	line, col := p.src.position(offset)
	p.list = append(p.list, p.src.failAt(line, col, cause, detail))
}

// whole records cause for the file as a whole.
func (p *problems) whole(cause error) {
	p.list = append(p.list, &ParseError{Name: p.src.name, Err: cause})
}

// sorted returns the list in file order, whole-file complaints last.
func (p *problems) sorted() []*ParseError {
	place := func(e *ParseError) int {
		if e.Line == 0 {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(p.list, func(a, b *ParseError) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	if p.more > 0 {
		p.list = append(p.list, &ParseError{Name: p.src.name, Err: fmt.Errorf("%w: %d", ErrMore, p.more)})
	}
	return p.list
}
