package desk

import (
	"cmp"
	"slices"
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
	return r.sentenceOf(s, said, sentenceReach)
}

// lookReach is sentenceReach where several sentences are in view together.
const lookReach = 70

// sentenceOf is sentence with so many bytes before and behind.
func (r *review) sentenceOf(s *state, said *schema.Said, reach int) []part {
	if r.transcript == nil {
		return fromContext(said)
	}
	text := r.transcript.Text
	own := edit.TextSpan(r.transcript, said.Span)
	shown := around(text, own, reach, reach)
	for _, m := range s.marks(r) { // marks are shown whole
		if m.words.Start < shown.Start && shown.Start < m.words.End {
			shown.Start = m.words.Start
		}
		if m.words.Start < shown.End && shown.End < m.words.End {
			shown.End = m.words.End
		}
	}
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
	return []part{{Text: clip(before, sentenceReach)},
		{Text: clip(words, maxMarked), Class: classOf(said.Status), Word: wordOf(said.Status), Now: true},
		{Text: clip(after, sentenceReach)}}
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
	for _, m := range s.marks(r) {
		w := m.words
		// Words that began before the stretch go on in it.
		if w.End <= at || w.Start < at && at > shown.Start || w.Start >= shown.End || w.Empty() {
			continue
		}
		plain(w.Start)
		from := at
		at = min(w.End, shown.End)
		text := clip(string(r.transcript.Text[from:at]), maxMarked)
		if m.other != "" {
			if w.End <= shown.End {
				text += " → " + clip(m.other, maxMarked)
			}
			parts = append(parts, part{Text: text, Class: "reworded", Word: "reworded by a person"})
			continue
		}
		if t := m.term; t != nil {
			link := "/replace?" + queryOf("find", strings.Join(strings.Fields(t.Heard), " "), "with", t.Meant)
			if t.Status == schema.StatusSettled {
				link = "/names?" + queryOf("of", t.Kind.String(), "heard", t.Read())
			}
			parts = append(parts, part{Text: text, Class: classOf(t.Status),
				Word: wordOf(t.Status) + ": " + clip(t.Meant, 80), Link: "/r/" + r.id + link})
			continue
		}
		q := m.said
		begin, end := r.moment(q)
		parts = append(parts, part{Text: text, Class: classOf(q.Status), Word: wordOf(q.Status),
			Link: "/r/" + r.id + "/question/" + addressOf(s.record, q), From: begin, To: end, Now: q.Span == now})
	}
	plain(shown.End)
	return parts
}

// A markedPlace is where the words of a quantity, or of a name, or words that a
// person gave others for, stand in the text.
type markedPlace struct {
	words schema.Span
	said  *schema.Said     // a quantity, or nil
	other string           // what a person said that they should be; "" nothing
	term  *schema.SaidTerm // a name read from other words than its own, or nil
}

// marks lists the marks of the text in order, found once. Of two quantities that
// share their words the first is there; words that were reworded come before
// what is read of them.
func (s *state) marks(r *review) []markedPlace {
	s.once.Do(func() {
		wordings, _ := s.wordings() // what is wrong with them is said where they are written out
		for _, w := range wordings {
			s.marked = append(s.marked, markedPlace{edit.TextSpan(r.transcript, w.Span), nil, w.Words, nil})
		}
		for i := range s.record.Quantities {
			if q := &s.record.Quantities[i]; i == 0 || s.record.Quantities[i-1].Span != q.Span {
				s.marked = append(s.marked, markedPlace{edit.TextSpan(r.transcript, q.Span), q, "", nil})
			}
		}
		for i := range s.record.Terms {
			if t := &s.record.Terms[i]; t.Status != schema.StatusHeard {
				s.marked = append(s.marked, markedPlace{edit.TextSpan(r.transcript, t.Span), nil, "", t})
			}
		}
		slices.SortStableFunc(s.marked, func(a, b markedPlace) int {
			return cmp.Or(cmp.Compare(a.words.Start, b.words.Start), cmp.Compare(a.words.End, b.words.End))
		})
	})
	return s.marked
}

// classOf names the style of a status.
func classOf(s schema.Status) string { return s.String() }
