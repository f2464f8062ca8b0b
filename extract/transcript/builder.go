package transcript

import (
	"bytes"
	"fmt"
	"time"
	"unicode/utf8"

	"saywatt/schema"
)

// A builder puts a Transcript together in file order. A reader opens a cue,
// gives it text by spans of the decoded source, and opens the next.
type builder struct {
	problems
	t     *Transcript
	text  []byte // of src
	rolls bool   // the format can hold rolling captions
	// windows says that a cue is how long its words are shown, well into the
	// next one, so overlaps are no irregularity.
	windows bool
	traits  []trait
	cue     *Cue // open, or nil

	para       bool // a paragraph break is due before the next words
	lineOpen   bool // something was written to the current line
	lineText   int  // where its text starts, after the break
	lineFrom   saved
	cueStamps  int // len(t.stamps) when the cue was opened
	pending    []time.Duration
	worded     bool // the cue has words
	overlaps   int
	overlapAt  int
	unsorted   int
	unsortedAt int
}

// A trait is what the rolling rule must know of a cue beyond its words.
type trait struct {
	lines   uint8 // lines with words, saturated
	stamped uint8 // bit i: line i with words holds a word time
	blank   bool  // a line of it holds nothing or white space only
}

// saved is where to go back to when a line turns out to hold no words.
type saved struct {
	text, pieces, stamps int
}

func newBuilder(s *source) *builder {
	t := &Transcript{
		Name: s.name, Encoding: s.encoding, Source: s.raw, src: s, Timed: true,
		Text: make([]byte, 0, len(s.text)*3/4),
	}
	return &builder{problems: problems{src: s}, t: t, text: s.text}
}

// open ends the cue before and begins one. from is where it stands in the
// decoded text, line (from 0) the line of its times.
func (b *builder) open(id string, start, end time.Duration, line, from int) {
	b.closeCue()
	t := b.t
	t.Cues = append(t.Cues, Cue{
		Index: len(t.Cues), ID: id, Start: start, End: end, Line: line + 1,
		Source: schema.Span{Start: from, End: from},
	})
	b.traits = append(b.traits, trait{})
	b.cue = &t.Cues[len(t.Cues)-1]
	b.cueStamps, b.worded, b.para = len(t.stamps), false, false
}

// extend notes that the open cue reaches to an offset of the decoded text.
func (b *builder) extend(to int) { b.cue.Source.End = max(b.cue.Source.End, to) }

// literal adds words that read in the source as they are said.
func (b *builder) literal(from, to int) {
	if from >= to {
		return
	}
	b.startLine()
	b.flush()
	t := b.t
	at := int32(len(t.Text))
	t.Text = append(t.Text, b.text[from:to]...)
	n := int32(to - from)
	if k := len(t.pieces) - 1; k >= b.lineFrom.pieces && k >= 0 {
		if p := &t.pieces[k]; p.literal() && p.src+p.m == int32(from) && p.text+p.n == at {
			p.n += n
			p.m += n
			return
		}
	}
	t.pieces = append(t.pieces, piece{at, int32(from), n, n})
}

// replace adds words that the source spells differently, such as a character
// reference.
func (b *builder) replace(from, to int, words string) {
	switch words {
	case "":
		return
	case "\n", "\r": // "&#10;": breaks are those of the format alone
		words = " "
	}
	b.startLine()
	b.flush()
	t := b.t
	t.pieces = append(t.pieces, piece{int32(len(t.Text)), int32(from), int32(len(words)), int32(to - from)})
	t.Text = append(t.Text, words...)
}

// at notes a word time: the next words are said from then on.
func (b *builder) at(d time.Duration) { b.pending = append(b.pending, d) }

// newline ends a line of the cue.
func (b *builder) newline() {
	if !b.lineOpen {
		b.traits[len(b.traits)-1].blank = true
		return
	}
	b.endLine()
}

// paragraph asks for a paragraph break before the next words.
func (b *builder) paragraph() {
	b.endLine()
	b.para = true
}

func (b *builder) startLine() {
	if b.lineOpen {
		return
	}
	t := b.t
	b.lineOpen = true
	b.lineFrom = saved{text: len(t.Text), pieces: len(t.pieces), stamps: len(t.stamps)}
	if len(t.Text) > 0 {
		t.Text = append(t.Text, '\n')
		if b.para {
			t.Text = append(t.Text, '\n')
		}
	}
	b.lineText = len(t.Text)
}

// flush writes the word times that wait for words.
func (b *builder) flush() {
	for _, d := range b.pending {
		b.t.stamps = append(b.t.stamps, stamp{len(b.t.Text), d})
	}
	b.pending = b.pending[:0]
}

func (b *builder) endLine() {
	if !b.lineOpen {
		return
	}
	b.lineOpen = false
	t, tr := b.t, &b.traits[len(b.traits)-1]
	if line := t.Text[b.lineText:]; line[0] <= ' ' || line[0] >= utf8.RuneSelf {
		if len(bytes.TrimSpace(line)) == 0 {
			t.Text = t.Text[:b.lineFrom.text]
			t.pieces = t.pieces[:b.lineFrom.pieces]
			t.stamps = t.stamps[:b.lineFrom.stamps]
			tr.blank = true
			return
		}
	}
	if len(t.stamps) > b.lineFrom.stamps && tr.lines < 8 {
		tr.stamped |= 1 << tr.lines
	}
	if tr.lines < 255 {
		tr.lines++
	}
	if !b.worded {
		b.worded = true
		b.cue.Text.Start = b.lineText
	}
	b.para = false
}

// goOn puts line i of words, bytes [from, to), behind those of the open cue. Words
// ahead of all cues open one, which ends where the first starts.
func (b *builder) goOn(i, from, to int, first time.Duration) {
	if b.cue == nil {
		b.open("", 0, first, i, from)
	}
	if b.lineOpen {
		b.newline()
	}
	b.plain(from, to)
	b.extend(to)
}

func (b *builder) closeCue() {
	b.endLine()
	b.pending = b.pending[:0]
	if b.cue == nil {
		return
	}
	t, c := b.t, b.cue
	if !b.worded {
		c.Text.Start = len(t.Text)
	}
	c.Text.End = len(t.Text)
	b.keepStamps()
	b.checkOrder()
	t.Duration = max(t.Duration, c.Start, c.End)
	b.cue = nil
}

// checkOrder notes a cue that ends before it starts, and counts those that do
// not come after the one ahead.
func (b *builder) checkOrder() {
	c, from := b.cue, b.cue.Source.Start
	if c.End < c.Start {
		b.add(from, ErrTimeOrder, fmt.Sprintf("%v to %v", c.Start, c.End))
	}
	if c.Index == 0 {
		return
	}
	switch before := b.t.Cues[c.Index-1]; {
	case c.Start < before.Start:
		if b.unsorted++; b.unsorted == 1 {
			b.unsortedAt = from
		}
	case c.Start < before.End:
		if b.overlaps++; b.overlaps == 1 {
			b.overlapAt = from
		}
	}
}

// keepStamps drops the word times that lie outside their cue or go back.
func (b *builder) keepStamps() {
	t, c := b.t, b.cue
	kept, last := b.cueStamps, c.Start
	for _, s := range t.stamps[b.cueStamps:] {
		if s.at < last || s.at > c.End {
			continue
		}
		t.stamps[kept], last = s, s.at
		kept++
	}
	if n := len(t.stamps) - kept; n > 0 {
		b.add(c.Source.Start, ErrStamp, fmt.Sprintf("%d left out", n))
		t.stamps = t.stamps[:kept]
	}
}

func (b *builder) finish() *Transcript {
	b.closeCue()
	t := b.t
	if b.unsorted > 0 {
		b.add(b.unsortedAt, ErrUnsorted, fmt.Sprintf("%d such, file order kept", b.unsorted))
	}
	if b.overlaps > 0 && !b.windows {
		b.add(b.overlapAt, ErrOverlap, fmt.Sprintf("%d such, file order kept", b.overlaps))
	}
	switch {
	case len(t.Cues) == 0:
		b.whole(ErrNoCues)
	case len(t.Text) == 0:
		b.whole(ErrNoWords)
	}
	if b.rolls {
		foldRolls(t, b.traits)
	}
	for i := range t.Cues {
		c := &t.Cues[i]
		c.Source = schema.Span{Start: b.src.toRaw(c.Source.Start), End: b.src.toRaw(c.Source.End)}
	}
	t.Problems = b.sorted()
	return t
}
