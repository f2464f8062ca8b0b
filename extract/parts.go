package extract

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"strconv"

	"saywatt/extract/part"
	"saywatt/internal/alike"
	"saywatt/schema"
)

// Reaches of the elements (common practice, no source).
const (
	tightWords   = 2   // words between neighbours that are close
	breathWords  = 30  // and between those of neighbouring sentences
	wordsKept    = 12  // words between that are handed on
	outsideReach = 10  // tokens between a rating and a noun outside the teardown
	partsBack    = 200 // parts that one spoken of again is looked for among
	topologyFar  = 14  // tokens between the words for a topology and its part
)

// topologySpan is a topology named at a token.
type topologySpan struct {
	token int32
	name  string
}

// Parts has what package part is asked about: the elements of a document and
// the tokens of each.
type Parts struct {
	Elements []part.Element
	Spans    [][2]int32
}

// parts finds the parts spoken of: it makes elements of what was seen, has them
// grouped, and makes a subject of each group.
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
		if r.what != part.Rating || !r.planned || b-a > outsideReach {
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

// elements makes the elements of the sightings.
func (s *placer) elements() Parts {
	p := Parts{Elements: make([]part.Element, len(s.seen)), Spans: make([][2]int32, len(s.seen))}
	mention := 0
	for i := range s.seen {
		n := &s.seen[i]
		e := &p.Elements[i]
		p.Spans[i] = [2]int32{n.first, n.last}
		*e = part.Element{Type: n.what, Value: n.text}
		switch n.what {
		case part.Noun:
			k := &s.c.kinds[n.kind]
			e.Name, e.Detail, e.Kinds, e.Plural = k.family(), k.name, k.kindSet(), s.plural(int(n.last)-1)
		case part.Count:
			e.Value = strconv.Itoa(n.count)
			if s.guarded(int(n.last)-1, guardPronoun) {
				e.Name = "them" // "two of them"
			}
		case part.Package:
			if slices.Contains(s.c.chipSizes, n.text) {
				e.Name = part.Chip
			}
		case part.Maker:
			e.Value = alike.Key(s.d.Words(n.first, n.last))
		case part.Rating:
			s.ratingElement(e, n)
		}
		if i > 0 {
			mention = s.between(e, s.seen[i-1].last, n.first, mention)
		}
	}
	return p
}

// electricalKinds are the physical kinds that tell a part from a mere thing: a
// heatsink, a magnet.
const electricalKinds = 1<<schema.KindVoltage | 1<<schema.KindCurrent | 1<<schema.KindResistance |
	1<<schema.KindCapacitance | 1<<schema.KindInductance | 1<<schema.KindFrequency | 1<<schema.KindRatio |
	1<<schema.KindTemperature | 1<<schema.KindCharge

// family is the family of the kind as the grouping knows it.
func (k *partKind) family() string {
	if k.kindSet()&electricalKinds == 0 {
		return part.Thing
	}
	return familyOf(k.name)
}

// kindSet is the set of physical kinds that ratings of the kind of part have.
func (k *partKind) kindSet() (set uint64) {
	for phys, property := range k.ratings {
		if property != "" {
			set |= 1 << phys
		}
	}
	return set
}

// plural reports whether the word at token i tells of several: "solids".
func (s *placer) plural(i int) bool {
	w := s.text[s.tokens[i].Start:s.tokens[i].End]
	n := len(w)
	return n > 3 && w[n-1]|0x20 == 's' && w[n-2]|0x20 != 's' && w[n-2] != '\''
}

func (s *placer) ratingElement(e *part.Element, n *sighting) {
	m := &s.d.Mentions[n.mention]
	e.Name = kindName(m)
	if n.cell {
		e.Name = "cell " + e.Name
	}
	if m.HasUnit() {
		e.Kinds = 1 << m.Unit.Unit.Kind()
	}
	e.Sure = int(n.sure * 5)
	if n.cell {
		e.Sure = 5
	}
	q := m.Quantity()
	e.Value = q.Low.String() + ".." + q.High.String() + " " + string(q.Unit)
	e.Detail = e.Name
	if si := math.Abs(q.SI()); si > 0 {
		e.Number = si
		e.Detail += ":" + strconv.Itoa(int(math.Floor(2*math.Log10(si)+1e-9)))
	}
}

// between tells what stands in tokens [a, b) before element e. mention is the
// first mention that may stand there; it returns the first behind.
func (s *placer) between(e *part.Element, a, b int32, mention int) int {
	sentences, paragraphs, words := 0, 0, 0
	for i := a; i < b; i++ {
		for mention < len(s.d.Mentions) && s.d.Mentions[mention].First < i {
			mention++
		}
		if mention < len(s.d.Mentions) && s.d.Mentions[mention].First == i && s.d.Mentions[mention].Not == NotNothing {
			if m := &s.d.Mentions[mention]; m.From == UnitOwn {
				e.Between = appendNew(e.Between, "other")
				i = min(m.Last, b) - 1
				continue
			}
		}
		t := &s.tokens[i]
		switch t.Kind {
		case TokenPara:
			paragraphs++
			continue
		case TokenSign:
			c := s.x.entries[t.Word].class
			if c == classStop {
				sentences++
				e.Opens = ""
			}
			if len(e.Signs) < 4 {
				e.Signs += string(s.text[t.Start:t.End])
			}
			continue
		case TokenWord:
			words++
			w := string(folded(s.text[t.Start:t.End]))
			if sentences > 0 && e.Opens == "" {
				e.Opens = w
			}
			if len(e.Words) == wordsKept {
				e.Words = append(e.Words[:0], e.Words[1:]...)
			}
			e.Words = append(e.Words, w)
		}
		if v, n := s.matchAt(int(i)); n > 0 && t.Word != 0 {
			for _, f := range s.c.cues[v] {
				switch f.kind {
				case effectBoard, effectSide, effectAnother, effectAgain, effectApart, effectEach, effectTopology:
					e.Between = appendNew(e.Between, effectNames[f.kind])
				}
			}
		}
	}
	switch {
	case paragraphs > 0:
		e.Link = part.LinkPara
	case sentences == 0 && words <= tightWords:
		e.Link = part.LinkTight
	case sentences == 0:
		e.Link = part.LinkNear
	case sentences == 1 && words <= breathWords:
		e.Link = part.LinkSentence
	default:
		e.Link = part.LinkFar
	}
	return mention
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

func folded(w []byte) []byte {
	out := make([]byte, len(w))
	for i, b := range w {
		if b >= 'A' && b <= 'Z' {
			b |= 0x20
		}
		out[i] = b
	}
	return out
}

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
// a part number alone does: then what it does tells its kind.
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
	return anyPart, surePlain
}

// anyPart is the kind of a part of which nothing tells what it is; a lone
// rating makes one from this probability on (common practice, no source).
const (
	anyPart   = "part"
	surePlain = 0.97
)

// cellSubject gives the cell what a group tells of it.
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
		for j := len(s.d.Subjects) - 1; j >= max(0, len(s.d.Subjects)-partsBack); j-- {
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
	for j := len(s.d.Subjects) - 1; j >= max(0, len(s.d.Subjects)-partsBack); j-- {
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

// definite reports whether the words before token i tell of something known:
// "the", "its", "again".
func (s *placer) definite(i int) bool {
	if s.tokens[i].Word == s.c.the {
		return true // "the coil" is a form of its own
	}
	b := s.backOne(i)
	return b >= 0 && (s.tokens[b].Word == s.c.the || s.guarded(b, guardAgain))
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
	best, far := int32(-1), int32(topologyFar)
	from := sort.Search(len(s.seen), func(k int) bool { return s.seen[k].last > token-topologyFar })
	for i := from; i < len(s.seen) && s.seen[i].first < token+topologyFar; i++ {
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
	any := &s.c.kinds[s.c.kindID(anyPart)].ratings
	if c.Named && (slices.Contains(ratings[:], c.Property) || slices.Contains(any[:], c.Property)) {
		return
	}
	c.Named = false
	if c.Property = ratings[phys]; c.Property == "" {
		c.Property = any[phys]
	}
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

// Families returns the families of the kinds of part that the words name,
// "capacitor" for "bulk electrolytic capacitor", in the order named.
func Families(words string) []string {
	x := Words()
	p := parser{x: x, text: []byte(words)}
	p.tokens = x.Scan(nil, p.text)
	var out []string
	for i := 0; i < len(p.tokens); {
		v, n := x.cue.phrases.match(p.tokens, i)
		for _, e := range x.cue.cues[v] {
			if n > 0 && e.kind == effectPart {
				out = append(out, x.cue.kinds[x.cue.parts[e.n].kind].family())
			}
		}
		i += max(n, 1)
	}
	return out
}
