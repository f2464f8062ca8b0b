package extract

import (
	"slices"
	"sort"

	"saywatt/extract/part"
	"saywatt/schema"
)

// topologySpan is a topology named at a token.
type topologySpan struct {
	token int32
	name  string
}

// assign gives ratings, makers and terms the subjects of their elements.
func (s *placer) assign(of []int32) {
	s.assignRatings(of)
	at := func(token int32) int32 {
		k := sort.Search(len(s.seen), func(k int) bool { return s.seen[k].last > token })
		if k < len(s.seen) && s.seen[k].first <= token {
			return of[k]
		}
		return -1
	}
	for i := range s.makerSeen {
		if m := &s.makerSeen[i]; m.subject < 0 {
			m.subject = at(m.last - 1)
		}
	}
	for i := range s.d.Terms {
		switch t := &s.d.Terms[i]; t.Kind {
		case schema.TermPart, schema.TermPackage, schema.TermComponent:
			if t.Subject < 0 {
				t.Subject = at(t.First)
			}
			if t.Kind == schema.TermPart && t.Subject >= 0 && s.d.Subjects[t.Subject].Kind == "transformer" {
				t.Kind = schema.TermPackage
			}
		}
	}
	for _, t := range s.topologies {
		if best := s.nearestNoun(of, t.token); best >= 0 {
			s.d.Subjects[best].Topology = t.name
		}
	}
}

// assignRatings gives ratings their subjects.
func (s *placer) assignRatings(of []int32) {
	for i := range s.seen {
		n, j := &s.seen[i], of[i]
		if n.what != part.Rating || j < 0 {
			continue
		}
		m := &s.d.Mentions[n.mention]
		c := &m.Context
		if n.cell && s.special4(j) {
			continue // its class has said so
		}
		if !n.planned {
			*c = m.asPart(n.sure)
		}
		c.Subject = j
		s.ratingOf(m, &s.d.Subjects[j])
		for k := range m.Places {
			if p := &m.Places[k].Context; p.Section == SectionTeardown && p.Subject < 0 {
				*p = *c
			}
		}
	}
}

// nearestNoun returns the subject of the noun that stands nearest to a token, -1
// where none is near.
func (s *placer) nearestNoun(of []int32, token int32) int32 {
	best, most := int32(-1), int32(s.x.reach.topology)
	far := most
	from := sort.Search(len(s.seen), func(k int) bool { return s.seen[k].last > token-most })
	for i := from; i < len(s.seen) && s.seen[i].first < token+most; i++ {
		n := &s.seen[i]
		if n.what != part.Noun || of[i] < 0 {
			continue
		}
		if d := max(n.first-token, token-n.last); d < far {
			best, far = of[i], d
		}
	}
	return best
}

// asPart returns the context of a mention as the rating of a part, which it is
// with probability p, and puts that place before the others it has.
func (m *Mention) asPart(p float64) Context {
	c := m.Context
	c.Section, c.Mode, c.Port, c.Protocol, c.Spot, c.Subject = SectionTeardown, "", "", "", "", -1
	c.Class = ratingClass()
	rest := m.Places
	if rest == nil {
		rest = []Place{{m.Context, 1 - p}}
	}
	m.Places = []Place{{c, p}}
	for _, o := range rest {
		if o.Context.Section != SectionTeardown || o.Context.Subject >= 0 {
			m.Places = append(m.Places, o)
		}
	}
	return c
}

// ratingOf names the property of a rating of a part.
func (s *placer) ratingOf(m *Mention, sub *Subject) {
	c := &m.Context
	phys := schema.KindUnknown
	if m.HasUnit() {
		phys = m.Unit.Unit.Kind()
	}
	k := s.c.kindID(sub.Kind)
	ratings := &s.c.kinds[k].ratings
	if phys == schema.KindAngle && ratings[phys] == "" {
		phys = schema.KindTemperature // "77 degrees"
	}
	any := &s.c.kinds[s.c.kindID(AnyPart)].ratings
	if c.Named && (slices.Contains(ratings[:], c.Property) || slices.Contains(any[:], c.Property)) {
		return
	}
	c.Named = false
	if c.Property = ratings[phys]; c.Property == "" {
		c.Property = any[phys]
	}
}
