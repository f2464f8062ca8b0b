package transcript

import (
	"cmp"
	"slices"
	"sort"

	"saywatt/schema"
)

// A piece ties n bytes of Text to m bytes of the decoded source. Where n = m
// they are the same bytes, and a part of one is a part of the other; where not,
// the piece is a character reference or the like and goes whole. (No such
// replacement is as long as what it replaces, but for white space of one byte.)
type piece struct {
	text, src, n, m int32
}

func (p piece) literal() bool { return p.n == p.m }

// cut returns the part of p that lies in span, as text and source offsets.
func (p piece) cut(span schema.Span) (text, src schema.Span) {
	from, to := max(span.Start-int(p.text), 0), min(span.End-int(p.text), int(p.n))
	text = schema.Span{Start: int(p.text) + from, End: int(p.text) + to}
	if !p.literal() {
		return text, schema.Span{Start: int(p.src), End: int(p.src + p.m)}
	}
	return text, schema.Span{Start: int(p.src) + from, End: int(p.src) + to}
}

// A repeat is a later showing of a line that captions carry along.
type repeat struct {
	text     schema.Span // of the first occurrence
	cue      int
	from, to int32 // in Transcript.again
}

// A Piece is a stretch of Text and the source bytes that spell it.
type Piece struct {
	Text, Source schema.Span
}

// An Occurrence is one place where words stand in the source: the first, or a
// later cue of rolling captions that shows them again.
type Occurrence struct {
	Cue    int // of its first piece
	Pieces []Piece
}

// Occurrences returns where a span of Text stands in Source. The first is
// whole. Each later one belongs to one cue, and holds those of the words that
// the cue carries over, which may be a part of them where the span crosses a
// line. A span of breaks only has no occurrence.
func (t *Transcript) Occurrences(text schema.Span) []Occurrence {
	first := t.collect(nil, t.pieces, text)
	if len(first) == 0 {
		return nil
	}
	all := []Occurrence{{Cue: t.CueAt(first[0].Text.Start), Pieces: first}}
	i := t.firstRepeat(text)
	var later []repeat
	for ; i < len(t.repeats) && t.repeats[i].text.Start < text.End; i++ {
		later = append(later, t.repeats[i])
	}
	slices.SortStableFunc(later, func(a, b repeat) int { return cmp.Compare(a.cue, b.cue) })
	for _, r := range later {
		last := &all[len(all)-1]
		if len(all) == 1 || last.Cue != r.cue {
			all = append(all, Occurrence{Cue: r.cue})
			last = &all[len(all)-1]
		}
		last.Pieces = t.collect(last.Pieces, t.again[r.from:r.to], text)
		if len(last.Pieces) == 0 {
			all = all[:len(all)-1]
		}
	}
	return all
}

// firstRepeat is the first of the repeats that ends behind the begin of a span.
func (t *Transcript) firstRepeat(text schema.Span) int {
	return sort.Search(len(t.repeats), func(i int) bool { return t.repeats[i].text.End > text.Start })
}

// collect appends the parts of the pieces, which are in text order, that lie
// in span.
func (t *Transcript) collect(to []Piece, pieces []piece, span schema.Span) []Piece {
	i := sort.Search(len(pieces), func(i int) bool { return int(pieces[i].text+pieces[i].n) > span.Start })
	for ; i < len(pieces) && int(pieces[i].text) < span.End; i++ {
		text, src := pieces[i].cut(span)
		to = append(to, Piece{text, schema.Span{Start: t.src.toRaw(src.Start), End: t.src.toRaw(src.End)}})
	}
	return to
}

// SourceSpans returns where a span of Text stands in Source: first the hull of
// the first occurrence, then of every later one where captions roll. A hull may
// take in what stands between two words, such as a tag or a cue's times.
func (t *Transcript) SourceSpans(text schema.Span) []schema.Span {
	// it is there once, as nearly everything is
	if i := t.firstRepeat(text); i == len(t.repeats) || t.repeats[i].text.Start >= text.End {
		var room [8]Piece
		pieces := t.collect(room[:0], t.pieces, text)
		if len(pieces) == 0 {
			return nil
		}
		return []schema.Span{pieces[0].Source.Hull(pieces[len(pieces)-1].Source)}
	}
	var spans []schema.Span
	for _, o := range t.Occurrences(text) {
		spans = append(spans, o.Pieces[0].Source.Hull(o.Pieces[len(o.Pieces)-1].Source))
	}
	return spans
}

// SourcePieces returns, for each occurrence, the separate source spans that
// spell a span of Text, for editing in place: breaks, tags and character
// references cut them. Occurrences says which text each one spells.
func (t *Transcript) SourcePieces(text schema.Span) [][]schema.Span {
	var all [][]schema.Span
	for _, o := range t.Occurrences(text) {
		spans := make([]schema.Span, len(o.Pieces))
		for i, p := range o.Pieces {
			spans[i] = p.Source
		}
		all = append(all, spans)
	}
	return all
}
