package extract

import (
	"math"
	"slices"
	"strconv"

	"saywatt/extract/part"
	"saywatt/internal/alike"
	"saywatt/schema"
)

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

// electricalKinds are the physical kinds that distinguish a part from a mere thing: a
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

// plural reports whether the word at token i speaks of several: "solids".
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

// between says what stands in tokens [a, b) before element e. mention is the
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
			if len(e.Words) == int(s.x.window.wordsKept) {
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
	case sentences == 0 && words <= int(s.x.window.tightWords):
		e.Link = part.LinkTight
	case sentences == 0:
		e.Link = part.LinkNear
	case sentences == 1 && words <= int(s.x.window.breathWords):
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

func folded(w []byte) []byte { return foldInto(make([]byte, 0, len(w)), w) }

// foldInto appends the word in lower case.
func foldInto(dst, w []byte) []byte {
	for _, b := range w {
		if b >= 'A' && b <= 'Z' {
			b |= 0x20
		}
		dst = append(dst, b)
	}
	return dst
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
