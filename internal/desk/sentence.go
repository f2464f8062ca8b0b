package desk

import (
	"strings"

	"saywatt/internal/edit"
	"saywatt/schema"
)

// sentenceReach is how many bytes of the words around a quantity are shown
// before and behind it.
const sentenceReach = 150

// sentence is the words around a quantity, its own marked, and those of the
// quantities near it leading to theirs.
func (r *review) sentence(s *state, said *schema.Said) []part {
	if r.transcript == nil {
		return fromContext(said)
	}
	text := r.transcript.Text
	own := edit.TextSpan(r.transcript, said.Span)
	shown := around(text, own, sentenceReach, sentenceReach)
	var parts []part
	if shown.Start > 0 {
		parts = append(parts, part{Text: "… "})
	}
	parts = append(parts, r.marked(s, shown, said.Span)...)
	if shown.End < len(text) {
		parts = append(parts, part{Text: " …"})
	}
	return parts
}

// fromContext is a sentence where only the record is at hand.
func fromContext(said *schema.Said) []part {
	words := strings.Join(strings.Fields(said.Heard), " ")
	before, after, ok := strings.Cut(said.Context, words)
	if !ok || words == "" {
		before, after = said.Context+" — ", ""
	}
	return []part{{Text: clip(before, sentenceReach)}, {Text: clip(words, maxMarked), Class: classOf(said.Status), Word: wordOf(said.Status), Now: true}, {Text: clip(after, sentenceReach)}}
}

// maxMarked bounds the words of one mark, in characters.
const maxMarked = 300

// marked cuts a stretch of the text into parts, at the quantities in it. now is
// the place in the source of the one that the page is about.
func (r *review) marked(s *state, shown schema.Span, now schema.Span) []part {
	var parts []part
	at := shown.Start
	plain := func(to int) {
		if to > at {
			parts = append(parts, part{Text: clip(string(r.transcript.Text[at:to]), 1<<16)})
			at = to
		}
	}
	for i := range s.record.Quantities {
		q := &s.record.Quantities[i]
		if i > 0 && s.record.Quantities[i-1].Span == q.Span {
			continue
		}
		w := s.words(r, i)
		if w.End <= at || w.Start < at || w.Start >= shown.End || w.Empty() {
			continue
		}
		plain(w.Start)
		at = min(w.End, shown.End)
		from, to := moment(q)
		parts = append(parts, part{Text: clip(string(r.transcript.Text[w.Start:at]), maxMarked), Class: classOf(q.Status), Word: wordOf(q.Status),
			Link: "/r/" + r.id + "/question/" + addressOf(s.record, q), From: from, To: to, Now: q.Span == now})
	}
	plain(shown.End)
	return parts
}

// words is where the words of a quantity stand in the text, found once.
func (s *state) words(r *review, i int) schema.Span {
	s.once.Do(func() {
		s.spans = make([]schema.Span, len(s.record.Quantities))
		for k := range s.record.Quantities {
			s.spans[k] = edit.TextSpan(r.transcript, s.record.Quantities[k].Span)
		}
	})
	return s.spans[i]
}

// classOf names the style of a status.
func classOf(s schema.Status) string { return s.String() }
