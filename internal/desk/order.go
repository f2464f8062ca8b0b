package desk

import (
	"cmp"
	"slices"
	"time"

	"saywatt/schema"
)

// An agenda is what of a state waits for a person, worked out once.
type agenda struct {
	puts    int            // how often something had been put off
	values  []*schema.Said // what was said is open: see review.questions
	asked   int            // how many of values are put to a person one after another
	likely  []*schema.Said // of those the ones with a likely first reading
	places  []*schema.Said // what they belong to is in doubt: see review.placeDoubts
	unclear int            // of values, those that somebody could not tell
	quiet   int            // of values, those that are left alone
}

// asking says how many questions there are, and of what.
type asking struct {
	Values, Places int // put to a person: what was said, and what it belongs to
	Unclear, Quiet int // not put to anybody any more
}

// All is how many are put to a person.
func (a asking) All() int { return a.Values + a.Places }

func (a *agenda) asking() asking { return asking{a.asked, len(a.places), a.unclear, a.quiet} }

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

func agendaOf(s *state, off map[spot]int) *agenda {
	a := &agenda{}
	type rank struct {
		said       *schema.Said
		asked, off int
		worth      float64
	}
	var values, places []rank
	for i := range s.record.Quantities {
		q := &s.record.Quantities[i]
		put := 0
		if len(off) > 0 {
			put = off[spotOf(s.record, q)]
		}
		if q.Status == schema.StatusOpen {
			values = append(values, rank{q, s.later(q), put, worth(q)})
		}
		if len(q.Belongs) > 0 && !q.BelongsSettled && !q.Withdrawn {
			places = append(places, rank{q, askedNow, put, weightOf(q.Place) * (1 - q.Belongs[0].Confidence)})
		}
	}
	inOrder := func(all []rank) (said []*schema.Said) {
		slices.SortStableFunc(all, func(a, b rank) int {
			return cmp.Or(cmp.Compare(a.asked, b.asked), cmp.Compare(a.off, b.off), cmp.Compare(b.worth, a.worth))
		})
		for i := range all {
			said = append(said, all[i].said)
		}
		return said
	}
	a.values, a.places = inOrder(values), inOrder(places)
	for i := range values {
		switch q := values[i].said; values[i].asked {
		case askedUnclear:
			a.unclear++
		case askedQuiet:
			a.quiet++
		default:
			a.asked++
			if len(q.Readings) > 0 && q.Readings[0].Confidence >= likely {
				a.likely = append(a.likely, q)
			}
		}
	}
	return a
}

// questions lists of what was said what waits for a person: what is worth most
// first, what was left for later after it, those that somebody could not tell
// after them, and last those of which a person found the like right as heard.
func (r *review) questions(s *state) []*schema.Said { return r.agenda(s).values }

// asked are the questions on what was said that are put to a person one after
// another.
func (r *review) asked(s *state) []*schema.Said {
	a := r.agenda(s)
	return a.values[:a.asked]
}

// placeDoubts lists the quantities that may belong elsewhere, by what it
// matters; what was left for later is last.
func (r *review) placeDoubts(s *state) []*schema.Said { return r.agenda(s).places }

// worth is what an answer is worth: how much the field matters, times how open
// the question is, times what the answer would tell of it and of others.
func worth(q *schema.Said) float64 {
	return weightOf(q.Place) * (1 - q.Confidence) * q.Information
}

// putOff says of questions left for later in which order, from 1, and how often
// one was.
func (r *review) putOff() (order map[spot]int, puts int) {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	order = make(map[spot]int, len(r.deferred))
	for i, p := range r.deferred {
		order[p] = i + 1
	}
	return order, r.puts
}

// leave puts a question behind all others until the desk ends.
func (r *review) leave(p spot) {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	r.puts++
	r.deferred = append(slices.DeleteFunc(r.deferred, func(o spot) bool { return o == p }), p)
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
			if e := s.stands[spotOf(s.record, q)]; e != nil && e.How == HowAsHeard {
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
