package desk

import (
	"cmp"
	"slices"
	"time"

	"saywatt/schema"
)

// questions lists what waits for a person: what is worth most first, what was
// left for later after it, those that somebody could not tell after them, and
// last those of which a person found the like right as heard.
func (r *review) questions(s *state) []*schema.Said {
	var all []*schema.Said
	for i := range s.record.Quantities {
		if q := &s.record.Quantities[i]; q.Status == schema.StatusOpen {
			all = append(all, q)
		}
	}
	off := r.putOff()
	type rank struct {
		asked, off int
		worth      float64
	}
	ranks := make(map[*schema.Said]rank, len(all))
	for _, q := range all {
		ranks[q] = rank{s.later(q), off[spotOf(s.record, q)], worth(q)}
	}
	slices.SortStableFunc(all, func(a, b *schema.Said) int {
		x, y := ranks[a], ranks[b]
		return cmp.Or(cmp.Compare(x.asked, y.asked), cmp.Compare(x.off, y.off), cmp.Compare(y.worth, x.worth))
	})
	return all
}

// worth is what an answer is worth: how much the field matters, times how open
// the question is, times what the answer would tell of it and of others.
func worth(q *schema.Said) float64 {
	return weightOf(q.Place) * (1 - q.Confidence) * q.Information
}

// asked are the questions that are put to a person one after another.
func (r *review) asked(s *state) []*schema.Said {
	order := r.questions(s)
	if i := slices.IndexFunc(order, func(q *schema.Said) bool { return s.later(q) != askedNow }); i >= 0 {
		order = order[:i]
	}
	return order
}

// putOff says of questions left for later in which order: from 1.
func (r *review) putOff() map[spot]int {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	m := make(map[spot]int, len(r.deferred))
	for i, p := range r.deferred {
		m[p] = i + 1
	}
	return m
}

// leave puts a question behind all others until the desk ends.
func (r *review) leave(p spot) {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
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
	case s.quieted()[likeOf(q)]:
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
