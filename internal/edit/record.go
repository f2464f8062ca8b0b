package edit

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// errOtherFile is returned where a record was made from another file.
var errOtherFile = errors.New("the record was made from another file")

// Left is a place that is left to a person: what is open, a correction that
// is not sure enough, or one that could not be made.
type Left struct {
	Said       int             // number of the quantity, 0 for a term
	At         *schema.Seconds // nil where untimed
	Media      string          // as in Change
	Span       schema.Span     // of the words in the source: their first showing
	Before     string
	After      string // what it would read by the likeliest reading
	Note       string // what was heard and what it may be, for a person
	Why        string // reasons of the reading
	Kinds      []string
	Confidence float64
	Err        error // why it is left
}

func (l Left) Error() string {
	return fmt.Sprintf("%q stays, though it was %s: %v", l.Before, l.After, l.Err)
}

// Unmade reports whether a correction was to be made and could not be.
func (l *Left) Unmade() bool {
	switch {
	case errors.Is(l.Err, ErrOpen), errors.Is(l.Err, errWords), errors.Is(l.Err, ErrRun), errors.Is(l.Err, errUnsure):
		return false
	}
	return true
}

// ForRecord lists the corrections that a record makes to the file it was read
// from, and the places that it leaves to a person, both in the order of the
// file. The errors are errOtherFile and those of Style.Check.
func ForRecord(r *schema.Record, t *transcript.Transcript, s Style) ([]Change, []Left, error) {
	if err := s.Check(); err != nil {
		return nil, nil, err
	}
	if r.Source.SHA256 != t.Hash {
		return nil, nil, errOtherFile
	}
	c := collector{record: r, t: t, style: s, manner: mannerOf(r)}
	for i := 0; i < len(r.Quantities); {
		n := 1
		for i+n < len(r.Quantities) && r.Quantities[i+n].Span == r.Quantities[i].Span {
			n++
		}
		c.quantity(i, r.Quantities[i:i+n])
		i += n
	}
	c.names()
	if t.Foreign() == "" {
		c.terms()
	}
	slices.SortStableFunc(c.changes, func(a, b Change) int { return cmp.Compare(a.Span.Start, b.Span.Start) })
	slices.SortStableFunc(c.left, func(a, b Left) int { return cmp.Compare(a.Span.Start, b.Span.Start) })
	return c.changes, c.left, nil
}

// collector gathers changes that do not touch each other.
type collector struct {
	record  *schema.Record
	t       *transcript.Transcript
	style   Style
	manner  manner
	tokens  []extract.Token // of Transcript.Text, scanned once they are needed
	changes []Change
	left    []Left
	taken   []schema.Span // of Transcript.Text
	named   []schema.Span // of Transcript.Text: names that a person put right
}

// quantity corrects the words of one quantity, or of several that captions ran
// into the same words ("25 amps" for 20 V, 5 A).
func (c *collector) quantity(first int, shared []schema.Said) {
	s := &shared[0]
	ch := Change{Said: s.Number, At: s.At, Media: s.Media, Span: s.Span, Before: s.Heard, Confidence: s.Confidence}
	var names, why []string
	open, heard := false, false
	for i := range shared {
		q := &shared[i]
		open = open || q.Status == schema.StatusOpen
		heard = heard || q.Status != schema.StatusRepaired && q.Status != schema.StatusSettled
		if q.Status == schema.StatusRepaired && c.t.Foreign() != "" {
			return // only a person knows what was said there
		}
		names = append(names, q.Quantity.String())
		why = append(why, q.Why...)
		ch.Confidence = min(ch.Confidence, q.Confidence)
	}
	if heard && !open {
		return
	}
	ch.After, ch.Why = strings.Join(names, " "), strings.Join(why, "; ")
	text := textSpan(c.t, s.Span)
	before := wordsOf(c.t.Text[text.Start:text.End], text.Start)
	if len(before) == 0 || !sameWords(join(before), s.Heard) {
		c.leave(ch, noteOf(shared), errStale)
		return
	}
	if insideNumber(c.t.Text, text) {
		if open {
			c.leave(ch, noteOf(shared), ErrOpen)
		}
		return
	}
	m := c.manner
	m.one = c.describes(text)
	after, differs := corrected(before, &s.Quantity, c.style, m)
	if len(shared) > 1 {
		after, differs = apart(before, shared, c.style, c.manner), true
	}
	if open { // in part is open
		ch.Before, ch.After = join(before), join(after)
		c.leave(ch, noteOf(shared), ErrOpen)
		return
	}
	if !differs {
		return
	}
	kinds, err := c.sure(first, shared, before, text, ch.Confidence)
	for _, k := range kinds {
		ch.Kinds = append(ch.Kinds, k.String())
	}
	if err != nil {
		ch.Before, ch.After = join(before), join(after)
		c.leave(ch, noteOf(shared), err)
		return
	}
	c.add(before, after, ch, noteOf(shared))
}

// leave leaves the place of a change to a person.
func (c *collector) leave(ch Change, note string, err error) {
	c.left = append(c.left, Left{Said: ch.Said, At: ch.At, Media: ch.Media, Span: ch.Span, Before: ch.Before,
		After: ch.After, Note: note, Why: ch.Why, Kinds: ch.Kinds, Confidence: ch.Confidence, Err: err})
}

// insideNumber reports whether a stretch is a piece of a number whose decimal
// comma or grouping blank (3,25 or 20 000, as Style may write them) was read as
// the end of one: neither piece is what was said.
func insideNumber(text []byte, s schema.Span) bool {
	digit := func(i int) bool { return i >= 0 && i < len(text) && text[i] >= '0' && text[i] <= '9' }
	for _, sep := range []string{",", nbsp} {
		n := len(sep)
		if digit(s.Start) && digit(s.Start-n-1) && string(text[s.Start-n:s.Start]) == sep {
			return true
		}
		if digit(s.End-1) && digit(s.End+n) && string(text[s.End:s.End+n]) == sep {
			return true
		}
	}
	return false
}

// add makes a change of words, unless it touches another or empties a line.
func (c *collector) add(before, after []word, ch Change, note string) {
	ch.Before, ch.After = join(before), join(after)
	ch.Span = c.t.SourceSpans(schema.Span{Start: before[0].span.Start, End: before[len(before)-1].span.End})[0]
	swaps, err := plan(c.t.Text, before, after)
	if err == nil {
		for _, s := range swaps {
			for _, o := range c.taken {
				if s.span.Overlaps(o) {
					err = errOverlap
				}
			}
		}
	}
	if err != nil {
		c.leave(ch, note, err)
		return
	}
	for _, s := range swaps {
		c.taken = append(c.taken, s.span)
	}
	if ch.Edits = edits(c.t, swaps); len(ch.Edits) > 0 {
		c.changes = append(c.changes, ch)
	}
}

// sameWords compares words without regard to blanks.
func sameWords(a, b string) bool {
	return strings.Join(strings.Fields(a), "") == strings.Join(strings.Fields(b), "")
}

// TextSpan returns the stretch of Text whose first showing is a span of the
// source: the inverse of Transcript.SourceSpans.
func TextSpan(t *transcript.Transcript, source schema.Span) schema.Span { return textSpan(t, source) }

func textSpan(t *transcript.Transcript, source schema.Span) schema.Span {
	at := func(offset int) int {
		return sort.Search(len(t.Text), func(i int) bool { return sourceOf(t, i) >= offset })
	}
	s := schema.Span{Start: at(source.Start), End: at(source.End)}
	for s.End > s.Start && t.Text[s.End-1] == '\n' { // breaks stand where the next words do
		s.End--
	}
	for s.End > s.Start && t.Text[s.Start] == '\n' {
		s.Start++
	}
	return s
}

// sourceOf returns where the byte of Text at i, or the first after it that is
// no break, stands in the source.
func sourceOf(t *transcript.Transcript, i int) int {
	for ; i < len(t.Text); i++ {
		if p := t.SourcePieces(schema.Span{Start: i, End: i + 1}); len(p) > 0 {
			return p[0][0].Start
		}
	}
	return len(t.Source)
}
