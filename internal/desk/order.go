package desk

import (
	"cmp"
	"slices"
	"time"

	"saywatt/schema"
)

// A question is what a person is asked of a quantity: what was said, or what that
// belongs to.
type question struct {
	said  *schema.Said
	place bool
}

// An agenda is what of a state waits for a person, worked out once.
type agenda struct {
	puts    int            // how often something had been put off
	order   []question     // what is put to a person, one after another
	values  []*schema.Said // what was said is open: see review.questions
	asked   int            // how many of values are put to a person
	likely  []*schema.Said // of those the ones with a likely first reading
	places  []*schema.Said // what they belong to is in doubt and put to a person
	lost    []*schema.Said // what they belong to nobody could tell
	unclear int            // of values, those that somebody could not tell
	quiet   int            // of values, those that are left alone
}

// asking says how many questions there are, and of what.
type asking struct {
	Values, Places       int // put to a person: what was said, and what it belongs to
	Unclear, Quiet, Lost int // not put to anybody any more
}

// All is how many are put to a person.
func (a asking) All() int { return a.Values + a.Places }

func (a *agenda) asking() asking {
	return asking{a.asked, len(a.places), a.unclear, a.quiet, len(a.lost)}
}

// agenda of a state.
func (r *review) agenda(s *state) *agenda {
	off, puts := r.putOff()
	s.agendaMu.Lock()
	defer s.agendaMu.Unlock()
	if s.agenda == nil || s.agenda.puts != puts {
		s.agenda = agendaOf(s, off)
		s.agenda.puts = puts
	}
	return s.agenda
}

// A rank says where a question stands among the others: by when it is asked, then
// those that were put off, then what an answer is worth.
type rank struct {
	question
	asked, off int
	worth      float64
}

// behind puts a question behind another: nobody can say what something belongs to
// before it is said what it was, if anything.
func (r *rank) behind(first rank) {
	r.asked, r.off = max(r.asked, first.asked), max(r.off, first.off)
	if r.off == first.off {
		r.worth = min(r.worth, first.worth)
	}
}

func agendaOf(s *state, off map[put]int) *agenda {
	a := &agenda{}
	var all []rank
	bits := placeBits(s.record.Quantities)
	for i := range s.record.Quantities {
		q := &s.record.Quantities[i]
		open, doubt := q.Status == schema.StatusOpen, placeInDoubt(q)
		if !open && !doubt {
			continue
		}
		at := spotOf(s.record, q)
		said := rank{question{q, false}, s.later(q), off[put{at, false}], worth(q)}
		if open {
			all = append(all, said)
		}
		if doubt {
			place := rank{question{q, true}, askedNow, off[put{at, true}], placeWorth(q, bits[i])}
			if e := s.stands[at]; e != nil && e.PlaceUnclear {
				place.asked = askedUnclear
			}
			if open && said.asked == askedNow {
				place.behind(said)
			}
			all = append(all, place)
		}
	}
	slices.SortStableFunc(all, func(a, b rank) int {
		return cmp.Or(cmp.Compare(a.asked, b.asked), cmp.Compare(a.off, b.off), cmp.Compare(b.worth, a.worth))
	})
	for i := range all {
		a.add(&all[i])
	}
	return a
}

// add puts a question behind those that are asked before it.
func (a *agenda) add(r *rank) {
	switch {
	case r.place && r.asked == askedUnclear:
		a.lost = append(a.lost, r.said)
		return
	case r.place:
		a.places = append(a.places, r.said)
	default:
		a.values = append(a.values, r.said)
	}
	switch r.asked {
	case askedUnclear:
		a.unclear++
		return
	case askedQuiet:
		a.quiet++
		return
	}
	a.order = append(a.order, r.question)
	if r.place {
		return
	}
	a.asked++
	if len(r.said.Readings) > 0 && r.said.Readings[0].Confidence >= likely {
		a.likely = append(a.likely, r.said)
	}
}

// questions lists of what was said what waits for a person: what is worth most
// first, what was left for later after it, those that somebody could not tell
// after them, and last those of which a person found the like right as heard.
func (r *review) questions(s *state) []*schema.Said { return r.agenda(s).values }

// placeDoubts lists the quantities of which is asked what they belong to: what is
// worth most first, what was left for later last.
func (r *review) placeDoubts(s *state) []*schema.Said { return r.agenda(s).places }

// A put is a question that was left for later.
type put struct {
	at    spot
	place bool
}

// putOff says of questions left for later in which order, from 1, and how often
// one was.
func (r *review) putOff() (order map[put]int, puts int) {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	order = make(map[put]int, len(r.deferred))
	for i, p := range r.deferred {
		order[p] = i + 1
	}
	return order, r.puts
}

// leave puts a question behind all others until the desk ends.
func (r *review) leave(p put) {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	r.puts++
	r.deferred = append(slices.DeleteFunc(r.deferred, func(o put) bool { return o == p }), p)
}

// When a question is asked.
const (
	askedNow     = iota
	askedUnclear // after all others
	askedQuiet   // where somebody looks for it
)

func (s *state) later(q *schema.Said) int {
	switch {
	case s.unclear(q):
		return askedUnclear
	case len(s.quieted()) > 0 && s.quieted()[likeOf(q)]:
		return askedQuiet
	}
	return askedNow
}

// A like is what quantities have in common that are doubted for one reason: the
// words heard, and what they were read for.
type like struct{ words, role string }

func likeOf(q *schema.Said) like { return like{foldWords(q.Heard), q.Role} }

// quieted are the likes that a person found right as heard. They stay open, and
// are not asked about again.
func (s *state) quieted() map[like]bool {
	s.quietOnce.Do(func() {
		s.quiet = map[like]bool{}
		for i := range s.record.Quantities {
			q := &s.record.Quantities[i]
			if e := s.stands[spotOf(s.record, q)]; e != nil && e.How == howAsHeard {
				s.quiet[likeOf(q)] = true
			}
		}
	})
	return s.quiet
}

// unclear reports whether somebody listened and could not tell.
func (s *state) unclear(q *schema.Said) bool {
	e := s.stands[spotOf(s.record, q)]
	return e != nil && e.Unclear
}

// Bounds on the time that a decision is taken to need.
const (
	usualDecision = 12 * time.Second // until this session has shown its own pace
	longDecision  = 2 * time.Minute  // somebody went for a walk
	paceOf        = 3                // decisions that show a pace
)

// pace is how long a decision takes: half of those of this log took less.
func (s *state) pace() time.Duration {
	var all []time.Duration
	for i := 1; i < len(s.entries); i++ {
		a, b := &s.entries[i-1], &s.entries[i]
		if d := b.When.Sub(a.When); a.Act != b.Act && d > 0 && d < longDecision {
			all = append(all, d)
		}
	}
	if len(all) < paceOf {
		return usualDecision
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// minutes is how many of them so many questions take, rounded up.
func (s *state) minutes(questions int) int {
	return int((time.Duration(questions)*s.pace() + time.Minute - 1) / time.Minute)
}
