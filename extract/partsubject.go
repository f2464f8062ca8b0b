package extract

import (
	"cmp"
	"slices"
	"sort"

	"saywatt/extract/part"
)

// subjectOf makes the subject of a group, or returns the earlier one that it is
// spoken of again; -1 where it names no part.
func (s *placer) subjectOf(g part.Group) int32 {
	list := s.seen[g.First:g.Last]
	sub := Subject{First: list[0].first, Last: list[len(list)-1].last, Board: list[0].board, Side: list[0].side}
	noun := s.nounOf(list)
	ratings, cells, sure := sub.sum(list)
	if len(list) == 1 && slices.Contains(s.c.chipSizes, sub.Package) {
		return -1 // a size says nothing of what has it
	}
	if noun < 0 && sub.Package == "" && cells == 0 && (sub.Part == "" || len(list) == 1) {
		if _, alone := s.kindByShape(list); ratings == 0 || ratings == 1 && sure < alone {
			return -1
		}
	}
	if noun >= 0 {
		sub.Board, sub.Side = list[noun].board, list[noun].side
		kind := &s.c.kinds[s.closer(list[noun].kind, int(list[noun].first))]
		sub.Kind, sub.Bare = kind.name, kind.bare
	} else if cells == 0 {
		sub.Kind, _ = s.kindByShape(list)
	}
	if sub.Kind == "cell" || 2*cells > ratings || cells > 0 && noun < 0 {
		return s.cellSubject(&sub)
	}
	if sub.Kind == "transformer" && sub.Package == "" {
		sub.Package, sub.Part = sub.Part, "" // the shape of its core: EE42
	}
	if j := s.spokenBefore(&sub, list, g.First, noun); j >= 0 {
		return j
	}
	s.d.Subjects = append(s.d.Subjects, sub)
	return int32(len(s.d.Subjects) - 1)
}

// sum takes in the codes and counts of a group of sightings, the first of each,
// and returns how many ratings were said, how sure the surest is, and how many are
// a cell's.
func (sub *Subject) sum(list []sighting) (ratings, cells int, sure float64) {
	for i := range list {
		n := &list[i]
		switch n.what {
		case part.Code:
			sub.Part = cmp.Or(sub.Part, n.text)
		case part.Package:
			sub.Package = cmp.Or(sub.Package, n.text)
		case part.Count:
			sub.Count = cmp.Or(sub.Count, n.count)
		case part.Rating:
			if n.planned {
				ratings++
				sure = max(sure, n.sure)
			}
			if n.cell {
				cells++
			}
		}
	}
	return ratings, cells, sure
}

// nounOf returns which of the sightings names the part best: the noun whose
// kind can have most of the ratings; where they tie the one closest to the
// first rating, a closer name before a general one; -1 for none.
func (s *placer) nounOf(list []sighting) int {
	rating := slices.IndexFunc(list, func(n sighting) bool { return n.what == part.Rating })
	if rating < 0 {
		rating = slices.IndexFunc(list, func(n sighting) bool { return n.what == part.Code || n.what == part.Package })
	}
	best, most := -1, 0
	for i := range list {
		if list[i].what != part.Noun || list[i].does && !s.chipIn(list) {
			continue
		}
		k := &s.c.kinds[list[i].kind]
		n := 0
		for r := range list {
			if list[r].what == part.Rating {
				if m := &s.d.Mentions[list[r].mention]; m.HasUnit() && k.ratings[m.Unit.Unit.Kind()] != "" {
					n += 4 * len(list)
				}
			}
		}
		if !list[i].general {
			n += len(list)
		}
		if k.kindSet()&electricalKinds != 0 {
			n += 2 * len(list)
		}
		if rating >= 0 {
			n -= max(i-rating, rating-i)
		} else {
			n -= i
		}
		if best < 0 || n > most {
			best, most = i, n
		}
	}
	return best
}

// chipIn reports whether a noun of the list names a chip by a general word, or
// a part number alone does: then what it does shows its kind.
func (s *placer) chipIn(list []sighting) bool {
	other, number := false, false
	for i := range list {
		number = number || list[i].what == part.Code
		if list[i].what == part.Noun && !list[i].does {
			switch s.c.kinds[list[i].kind].name {
			case "integrated circuit", "primary controller", "microcontroller":
				return true
			}
			other = true
		}
	}
	return !other && number
}

// closer returns the closer kind of a part that is named by a general word
// right behind another part (companions.tsv).
func (s *placer) closer(kind int32, first int) int32 {
	if len(s.d.Subjects) == 0 {
		return kind
	}
	before := &s.d.Subjects[len(s.d.Subjects)-1]
	after := s.c.kindID(before.Kind)
	for k := range s.c.companions {
		c := &s.c.companions[k]
		if c.general != kind || c.after != after {
			continue
		}
		same, between := true, false
		for i := int(before.Last); i < first; i++ {
			class, _ := s.at(i)
			same = same && class != classStop && s.tokens[i].Kind != TokenPara
			between = between || s.tokens[i].Word == s.c.between
		}
		if c.words == "any" || c.words == "same" && same || c.words == "between" && between {
			return c.kind
		}
	}
	return kind
}

// kindByShape names a part that no noun names by what its ratings are, with the
// probability of being one that a lone rating needs to make such a part.
func (s *placer) kindByShape(list []sighting) (string, float64) {
	var kinds uint64
	rated := false
	for i := range list {
		if list[i].what == part.Rating {
			rated = true
			if m := &s.d.Mentions[list[i].mention]; m.HasUnit() {
				kinds |= 1 << m.Unit.Unit.Kind()
			}
		}
	}
	for i := range s.c.shapes {
		if sh := &s.c.shapes[i]; kinds&sh.kinds == sh.kinds && (sh.kinds != 0 || !rated) {
			return s.c.kinds[sh.kind].name, sh.alone
		}
	}
	return anyPart, s.x.bound.surePlain
}

// anyPart is the kind of a part of which nothing says what it is.
const anyPart = "part"

// cellSubject gives the cell what a group says of it.
func (s *placer) cellSubject(said *Subject) int32 {
	j := s.specialSubject(0, int(said.First), int(said.Last))
	cell := &s.d.Subjects[j]
	if cell.Part == "" {
		cell.Part = said.Part
	}
	if cell.Package == "" {
		cell.Package = said.Package
	}
	if cell.Count == 0 {
		cell.Count = said.Count
	}
	return j
}

// spokenBefore returns the part that a group speaks of again: the one with the
// same number, or the latest of its kind where "the" or a word such as "again"
// stands before the noun and no rating says otherwise.
func (s *placer) spokenBefore(sub *Subject, list []sighting, first, noun int) int32 {
	if sub.Part != "" {
		for j := len(s.d.Subjects) - 1; j >= max(0, len(s.d.Subjects)-s.x.reach.parts); j-- {
			if p := s.d.Subjects[j].Part; p != "" && SamePlain(p, sub.Part) {
				return int32(j)
			}
		}
		return -1
	}
	again := slices.Contains(s.d.parts.Elements[first].Between, effectNames[effectAgain])
	if noun < 0 || !again && !s.definite(int(list[noun].first)) {
		return -1
	}
	for j := len(s.d.Subjects) - 1; j >= max(0, len(s.d.Subjects)-s.x.reach.parts); j-- {
		old := &s.d.Subjects[j]
		if old.Kind != sub.Kind && familyOf(sub.Kind) != sub.Kind || familyOf(old.Kind) != familyOf(sub.Kind) {
			continue
		}
		if old.Package != "" && sub.Package != "" && old.Package != sub.Package || s.otherwise(int32(j), list) {
			return -1
		}
		if old.Package == "" {
			old.Package = sub.Package
		}
		if old.Count == 0 {
			old.Count = sub.Count
		}
		return int32(j)
	}
	return -1
}

// otherwise reports whether a rating of the list is of a kind that the part has
// in other digits.
func (s *placer) otherwise(j int32, list []sighting) bool {
	for i := range list {
		if list[i].what != part.Rating {
			continue
		}
		m := &s.d.Mentions[list[i].mention]
		from := sort.Search(len(s.seen), func(k int) bool { return s.seen[k].first >= s.d.Subjects[j].First })
		for k := from; k < len(s.seen) && s.seen[k].first < list[0].first; k++ {
			if o := &s.seen[k]; o.what == part.Rating && s.ofSubject[k] == j {
				b := &s.d.Mentions[o.mention]
				if b.HasUnit() && m.HasUnit() && b.Unit.Unit.Kind() == m.Unit.Unit.Kind() && b.Low.Coef != m.Low.Coef {
					return true
				}
			}
		}
	}
	return false
}

// definite reports whether the words before token i speak of something known:
// "the", "its", "again".
func (s *placer) definite(i int) bool {
	if s.tokens[i].Word == s.c.the {
		return true // "the coil" is a form of its own
	}
	b := s.backOne(i)
	return b >= 0 && (s.tokens[b].Word == s.c.the || s.guarded(b, guardAgain))
}
