package normalize

import (
	"slices"

	"saywatt/schema"
)

// say writes one quantity.
func (e *engine) say(i int, best *candidate, threshold float64, s *schema.Said) {
	d := e.doc
	n := &e.nodes[i]
	m := e.mention(n.last - 1)
	first := e.mention(best.firstMention).First
	if best.firstMention > n.first && n.share == 0 {
		// the first mention turned out to be stray: the words are the second's alone
		first = e.mention(best.firstMention).First
	}
	first = e.lead(first, best)
	spoken := e.spoken(first, m.Last)
	spans := spoken.spans
	s.Heard = spoken.words
	s.Kind = best.kind
	s.Quantity = e.quantity(best, m)
	s.Qualifier = m.Qualifier
	s.Withdrawn = m.Withdrawn
	if len(spans) > 0 {
		s.Span = spans[0]
	}
	if len(spans) > 1 {
		s.Spans = slices.Clone(spans)
	}
	if d.Transcript.Timed {
		if c := d.Transcript.CueAt(int(d.Tokens[first].Start)); c >= 0 && c < len(d.Transcript.Cues) {
			s.At, s.Media = e.moment(c)
		}
	}
	s.Context = e.around(first, m.Last)
	s.Readings = e.readings(i)
	s.Nothing = e.nothing(i, best)
	s.Confidence = s.Readings[0].Confidence
	for i := range s.Readings {
		// of the same kind too: a watt converts to a volt-ampere
		if q := &s.Readings[i].Quantity; q.Unit.Kind() == best.kind && q.Same(s.Quantity) {
			s.Confidence = s.Readings[i].Confidence
			break
		}
	}
	switch {
	case n.settled:
		s.Status, s.Confidence = schema.StatusSettled, 1
		s.Readings[0].Confidence = 1
	case s.Confidence < threshold, e.unweighed != nil && e.unweighed[i], best.literal && e.beyond(best):
		s.Status = schema.StatusOpen
	case best.literal:
		s.Status = schema.StatusHeard
	default:
		s.Status = schema.StatusRepaired
	}
	s.Why = e.why(i, best)
	if s.Status == schema.StatusOpen {
		s.Information = e.information(i)
	}
}

// slabs hold the small slices of the record's quantities, many to a block.
type slabs struct {
	readings block[schema.Reading]
	terms    block[schema.Term]
	strings  block[string]
	cue      int // the cue whose moment was written last, from 1
	at       *schema.Seconds
	media    string
}

// block is memory that many small slices share.
type block[T any] struct {
	left []T
	made int // how many it had when it was made
}

// take cuts n zero values off. They are the caller's alone: appending to them
// moves them elsewhere.
func (b *block[T]) take(n int) []T {
	if n > len(b.left) {
		const least, most = 64, 1 << 12
		b.made = max(n, min(2*b.made, most), least)
		b.left = make([]T, b.made)
	}
	s := b.left[:n:n]
	b.left = b.left[n:]
	return s
}

// moment returns when a cue begins and its Media Fragment. The quantities of
// one cue share them.
func (e *engine) moment(cue int) (*schema.Seconds, string) {
	l := &e.slabs
	if l.cue != cue+1 {
		c := &e.doc.Transcript.Cues[cue]
		at := schema.SecondsOf(c.Start)
		l.cue, l.at, l.media = cue+1, &at, schema.MediaFragment(at, schema.SecondsOf(c.End))
	}
	return l.at, l.media
}
