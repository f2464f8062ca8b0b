package extract

import (
	"slices"

	"saywatt/extract/part"
)

// Parts has what package part is asked about: the elements of a document and
// the tokens of each.
type Parts struct {
	Elements []part.Element
	Spans    [][2]int32
}

// parts finds the parts spoken of: it makes elements of what was seen
// (partelement.go), has them grouped, makes a subject of each group
// (partsubject.go), and gives ratings and names their subjects (partrating.go).
func (s *placer) parts() {
	s.settleSeen()
	p := s.elements()
	s.d.parts = p
	groups := withCodes(p.Elements, part.Default().Groups(p.Elements))
	s.ofSubject = make([]int32, len(p.Elements))
	for i := range s.ofSubject {
		s.ofSubject[i] = -1
	}
	for _, g := range groups {
		j := s.subjectOf(g)
		for k := g.First; k < g.Last; k++ {
			s.ofSubject[k] = j
		}
	}
	s.assign(s.ofSubject)
	s.inOrder()
}

// withCodes gives a part number that makes a group of its own to the noun right
// beside it that has none: "the optocoupler is a KX1008", "a 10D471K varistor".
func withCodes(elements []part.Element, groups []part.Group) []part.Group {
	out := groups[:0]
	for i := 0; i < len(groups); i++ {
		g := groups[i]
		n := len(out)
		lone := g.Last-g.First == 1 && elements[g.First].Type == part.Code
		switch {
		case !lone:
		case n > 0 && beside(&elements[g.First]) && elements[g.First-1].Type == part.Noun &&
			!hasCode(elements[out[n-1].First:out[n-1].Last]):
			out[n-1].Last = g.Last
			continue
		case i+1 < len(groups) && beside(&elements[g.Last]) && len(elements[g.Last].Words) == 0 &&
			elements[g.Last].Type == part.Noun &&
			!hasCode(elements[groups[i+1].First:groups[i+1].Last]):
			groups[i+1].First = g.First
			continue
		}
		out = append(out, g)
	}
	return out
}

// beside reports whether an element stands right behind the one before, a comma
// or a small word or two between.
func beside(e *part.Element) bool {
	return e.Link == part.LinkTight && (e.Signs == "" || e.Signs == ",")
}

func hasCode(elements []part.Element) bool {
	return slices.ContainsFunc(elements, func(e part.Element) bool { return e.Type == part.Code })
}

// settleSeen sorts the sightings and drops those that another covers or that
// are no longer what they were seen as.
func (s *placer) settleSeen() {
	slices.SortStableFunc(s.seen, func(a, b sighting) int {
		if a.first != b.first {
			return int(a.first - b.first)
		}
		return int(b.last - a.last)
	})
	out := s.seen[:0]
	for i, n := range s.seen {
		if n.outside && !s.besideRating(i) {
			continue
		}
		if n.mention >= 0 {
			if m := &s.d.Mentions[n.mention]; m.Not != NotNothing || m.Withdrawn {
				continue
			}
		}
		if k := len(out); k > 0 && out[k-1].last > n.first {
			continue
		}
		out = append(out, n)
	}
	s.seen = out
}

// besideRating reports whether the sighting stands in one sentence with the
// rating of a part, and near it.
func (s *placer) besideRating(i int) bool {
	near := func(r *sighting, a, b int32) bool {
		if r.what != part.Rating || !r.planned || int(b-a) > s.x.reach.outside {
			return false
		}
		for k := a; k < b; k++ {
			if t := &s.tokens[k]; t.Kind == TokenPara || t.Kind == TokenSign && s.x.entries[t.Word].class == classStop {
				return false
			}
		}
		return true
	}
	n := &s.seen[i]
	return i > 0 && near(&s.seen[i-1], s.seen[i-1].last, n.first) ||
		i+1 < len(s.seen) && near(&s.seen[i+1], n.last, s.seen[i+1].first)
}

// inOrder puts the subjects in the order said.
func (s *placer) inOrder() {
	n := len(s.d.Subjects)
	order := make([]int32, n)
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return int(s.d.Subjects[a].First - s.d.Subjects[b].First) })
	now, sorted := make([]int32, n), make([]Subject, n)
	for to, from := range order {
		now[from], sorted[to] = int32(to), s.d.Subjects[from]
	}
	s.d.Subjects = sorted
	move := func(j *int32) {
		if *j >= 0 {
			*j = now[*j]
		}
	}
	for i := range s.d.Mentions {
		move(&s.d.Mentions[i].Context.Subject)
		for k := range s.d.Mentions[i].Places {
			move(&s.d.Mentions[i].Places[k].Context.Subject)
		}
	}
	for i := range s.d.Terms {
		move(&s.d.Terms[i].Subject)
	}
	for i := range s.makerSeen {
		move(&s.makerSeen[i].subject)
	}
	for i := range s.special {
		move(&s.special[i])
	}
	s.subject = -1
}
