package desk

import (
	"cmp"
	"io"
	"slices"
	"time"

	"saywatt/extract"
	"saywatt/internal/export/plainjson"
	"saywatt/normalize"
	"saywatt/schema"
)

// An entry is one line of a log: what was decided of one place. Of Quantity,
// Nothing, Reopened, Unclear, Words and Meant one is set; Place or PlaceUnclear stands
// beside Quantity or Unclear, or alone. With Names it is on a name and no place. The
// last entry of a place says all that stands there. As JSON it is a line of an answer file (normalize.ReadAnswers).
type entry struct {
	File         string            `json:"file,omitempty"`
	Span         schema.Span       `json:"span,omitzero"` // none of a name
	Heard        string            `json:"heard,omitempty"`
	Kind         *schema.Kind      `json:"kind,omitempty"`          // which of two quantities that share the place
	Quantity     *schema.Quantity  `json:"quantity,omitempty"`      // what was said
	Sure         bool              `json:"sure,omitempty"`          // it is of another kind than was heard, and meant
	Place        *schema.BelongsTo `json:"place,omitempty"`         // what it belongs to, alone or beside the quantity
	Nothing      bool              `json:"nothing,omitempty"`       // no quantity was said
	Reopened     bool              `json:"reopened,omitempty"`      // what was decided before does not stand
	Unclear      bool              `json:"unclear,omitempty"`       // somebody listened and cannot tell
	PlaceUnclear bool              `json:"place_unclear,omitempty"` // the same of what it belongs to
	Words        string            `json:"words,omitempty"`         // what captions should say
	Names        string            `json:"names,omitempty"`         // what a name is of: one of schema.Nameables
	Meant        string            `json:"meant,omitempty"`         // the name
	Note         string            `json:"note,omitempty"`
	When         time.Time         `json:"when"`
	Who          string            `json:"who,omitempty"`
	Act          int               `json:"act"` // from 1, the same for all entries of one act
	How          how               `json:"how"`
}

// how is the way in which something was decided.
type how string

// The ways.
const (
	howReading  how = "reading"  // one of the readings was chosen
	howTyped    how = "typed"    // a value was typed
	howAsHeard  how = "as heard" // the words heard are right
	howPlace    how = "place"    // it was said what it belongs to
	howNothing  how = "nothing"  // no quantity was said
	howUnclear  how = "unclear"  // cannot tell
	howEdited   how = "edited"   // a value of the sheet was changed
	howReplaced how = "replaced" // found and replaced
	howUndo     how = "undo"     // an act was taken back
)

// A spot is what an entry is about: a place of the captions, of two quantities
// that share it the one of a kind, or the wording of it; or a name.
type spot struct {
	span  schema.Span
	kind  schema.Kind // KindUnknown where nothing shares the place
	words bool
	name  string // of a name: see spotOfName
}

func (e *entry) spot() spot {
	if e.Names != "" {
		s := spotOfName(e.Names, e.Heard)
		if _, ofProduct := schema.ProductField(e.Names); !ofProduct {
			s.span = e.Span // a line made elsewhere may be of one place
		}
		return s
	}
	s := spot{span: e.Span, words: normalize.OnWords(e.Words, e.Reopened, e.Note)}
	if e.Kind != nil {
		s.kind = *e.Kind
	}
	return s
}

// standing maps each spot to the entry that stands for it; those taken back are
// left out.
func standing(entries []entry) map[spot]*entry {
	m := map[spot]*entry{}
	for i := range entries {
		e := &entries[i]
		if e.Reopened {
			delete(m, e.spot())
			continue
		}
		m[e.spot()] = e
	}
	return m
}

// answers are the decisions that stand, for the engine, in the order of their
// places.
func answers(entries []entry) []normalize.Answer {
	var all []normalize.Answer
	for s, e := range standing(entries) {
		if s.name == "" && !s.words && (e.Quantity != nil || e.Place != nil || e.Nothing) {
			all = append(all, normalize.Answer{Span: e.Span, Quantity: e.Quantity, Place: e.Place, Heard: e.Heard})
		}
	}
	slices.SortFunc(all, func(a, b normalize.Answer) int {
		return cmp.Or(cmp.Compare(a.Span.Start, b.Span.Start), cmp.Compare(a.Span.End, b.Span.End),
			cmp.Compare(kindOf(a.Quantity), kindOf(b.Quantity)))
	})
	return append(all, nameAnswers(entries)...)
}

// nameAnswers are the decisions on names that stand, in the order in which they were
// made: of two on one name the last counts.
func nameAnswers(entries []entry) []normalize.Answer {
	var all []normalize.Answer
	stands := standing(entries)
	for i := range entries {
		e := &entries[i]
		if e.Names == "" || stands[e.spot()] != e || e.Meant == "" && !e.Nothing {
			continue
		}
		all = append(all, normalize.Answer{Span: e.Span, Heard: e.Heard,
			Name: &extract.Naming{Of: e.Names, Heard: e.Heard, Span: e.Span, Meant: e.Meant}})
	}
	return all
}

func kindOf(q *schema.Quantity) schema.Kind {
	if q == nil {
		return schema.KindUnknown
	}
	return q.Unit.Kind()
}

// undo makes the entries that take an act back: at each of its places what
// stood before it.
func undo(entries []entry, act int) []entry {
	var back []entry
	first := slices.IndexFunc(entries, func(e entry) bool { return e.Act == act })
	if first < 0 {
		return nil
	}
	before := standing(entries[:first])
	how := howUndo
	if entries[first].How == howUndo { // what was taken back stands again
		how = howRedo
	}
	seen := map[spot]bool{}
	for i := first; i < len(entries) && entries[i].Act == act; i++ {
		e := entries[i]
		s := e.spot()
		if seen[s] {
			continue
		}
		seen[s] = true
		b := entry{File: e.File, Span: e.Span, Heard: e.Heard, Kind: e.Kind, Names: e.Names, How: how,
			Reopened: true}
		if old := before[s]; old != nil {
			b.Reopened = false
			b.decidesAs(old)
			b.Words, b.Meant, b.Note = old.Words, old.Meant, old.Note
		} else if s.words {
			b.Note = normalize.RewordedNote
		}
		back = append(back, b)
	}
	return back
}

// decidesAs takes over what another entry decides of a quantity.
func (e *entry) decidesAs(o *entry) {
	e.Quantity, e.Sure, e.Place, e.Nothing, e.Unclear, e.PlaceUnclear = o.Quantity, o.Sure, o.Place, o.Nothing,
		o.Unclear, o.PlaceUnclear
}

// ofPlace reports whether an entry says something of what a quantity belongs to.
func (e *entry) ofPlace() bool { return e.Place != nil || e.PlaceUnclear }

// ofValue reports whether an entry says something of what was said.
func (e *entry) ofValue() bool { return e.Quantity != nil || e.Nothing || e.Unclear }

// writeLog writes entries as JSON Lines.
func writeLog(w io.Writer, entries []entry) error {
	for i := range entries {
		if err := plainjson.WriteLine(w, &entries[i]); err != nil {
			return err
		}
	}
	return nil
}
