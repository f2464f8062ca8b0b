package extract

import (
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/part"
	"saywatt/schema"
)

// sighting is something said of a part: a noun, part number, package, maker,
// count or rating over tokens [first, last). Which part it is said of is
// decided when all are known (parts.go).
type sighting struct {
	what        part.Type
	first, last int32
	kind        int32  // of a noun, -1 for other things
	general     bool   // a noun that is a common word
	does        bool   // a noun for what a chip does
	text        string // of a part number or package
	count       int
	mention     int32 // of a rating, -1 for other things
	outside     bool  // a noun where parts are not spoken of
	planned     bool  // a rating that the plan takes for one
	cell        bool  // a rating of the cell
	sure        float64
	board, side string
}

// see notes a sighting.
func (s *placer) see(what part.Type, first, last int) *sighting {
	n := sighting{what: what, first: int32(first), last: int32(last), kind: -1, mention: -1}
	n.board, n.side = s.board, s.side
	s.seen = append(s.seen, n)
	return &s.seen[len(s.seen)-1]
}

// ofParts reports whether parts are spoken of.
func (s *placer) ofParts() bool {
	return s.section == SectionTeardown || s.section == SectionBattery
}

// kindName returns the kind of the part spoken of last, "" for none.
func (s *placer) kindName() string {
	if s.kind < 0 {
		return ""
	}
	return s.c.kinds[s.kind].name
}

// special4 reports whether the subject is no part but cell, pack, rated side,
// cable or body.
func (s *placer) special4(i int32) bool {
	switch s.d.Subjects[i].Kind {
	case "cell", "pack", "rated", "cable", "body":
		return true
	}
	return false
}

// partCue reads words over tokens [i, end) that name a kind of part.
func (s *placer) partCue(i, end int, f *partForm) int {
	kind := f.kind
	switch s.c.kinds[kind].name {
	case "e-marker":
		s.emarker(i, end)
		if s.section == SectionCable && !s.codeWithin(end, 3) {
			return end
		}
	case "coil":
		if !s.wireless() {
			kind = s.c.kindID("inductor")
		}
	}
	if s.c.kinds[kind].bare && s.deniedName(i, end) {
		return end
	}
	if s.section != SectionTeardown {
		return s.named(i, end, kind)
	}
	if s.c.kinds[kind].name == "cell" {
		s.batterySide(kind)
	} else {
		s.subject = -1
	}
	s.kind, s.kindEnd, s.rated, s.prop = kind, end, 0, -1
	s.clause++
	n := s.see(part.Noun, i, end)
	n.kind, n.general, n.does = kind, !f.strong || f.does, f.does
	return end
}

// named reads the words for a part where parts are not spoken of: cells in a
// battery, the place of a temperature, a word in passing.
func (s *placer) named(i, end int, kind int32) int {
	if s.c.kinds[kind].name == "cell" && s.batterySide(kind) {
		s.kindEnd = end
		s.see(part.Noun, i, end).kind = kind
		return end
	}
	n := s.see(part.Noun, i, end)
	n.kind, n.outside = kind, !s.c.kinds[kind].bare
	if s.section == SectionTest || s.section == SectionThermal {
		s.spot, s.spotClause, s.spotEnd = s.c.kinds[kind].name, s.clause, end
		return end
	}
	return i
}

// emarker notes whether the cable has an e-marker, named over tokens [i, end).
func (s *placer) emarker(i, end int) {
	function := "e-marker"
	if s.deniedName(i, end) {
		function = "no e-marker"
	}
	if s.section == SectionCable || s.d.Product.Kind == "cable" {
		if sub := &s.d.Subjects[s.specialSubject(3, i, i)]; sub.Function == "" || function == "e-marker" {
			sub.Function = function
		}
	}
}

// wireless reports whether wireless power is spoken of.
func (s *placer) wireless() bool {
	kind := s.d.Product.Kind
	return s.board == "wireless" || slices.Contains(s.known, "Qi") || strings.Contains(kind, "wireless") ||
		strings.Contains(kind, "magnetic")
}

// familyOf is the last word of a kind: capacitor, controller, MOSFET.
func familyOf(kind string) string {
	return kind[strings.LastIndexByte(kind, ' ')+1:]
}

// endSubject ends what is spoken of.
func (s *placer) endSubject() { s.subject, s.kind, s.rated = -1, -1, 0 }

// rating notes mention k as a rating of a part or of the cell where the plan
// takes it for one.
func (s *placer) rating(k int) {
	m := &s.d.Mentions[k]
	i, ok := s.plan.byToken[m.First]
	if !ok {
		return
	}
	phys := schema.KindUnknown
	if m.HasUnit() {
		phys = m.Unit.Unit.Kind()
	}
	info := s.plan.classes[i].Info()
	planned := s.plan.classes[i].Fits(phys) && (info.Subject == "part" || info.Subject == "cell")
	if !planned && (s.section != SectionTeardown || !s.x.bound.mayRate(s.plan.part[i]) || info.Subject != "") {
		return
	}
	n := s.see(part.Rating, int(m.First), int(m.Last))
	n.mention, n.planned, n.cell, n.sure = int32(k), planned, info.Subject == "cell", s.plan.part[i]
	s.rated++
}

// partCount decides that the bare number of mention m counts parts: a small
// whole number that the plan takes for nothing else, where parts are spoken of.
func (s *placer) partCount(m *Mention) bool {
	if !s.ofParts() {
		return false
	}
	if m.From == UnitOwn || m.Ruling != nil || m.Range || !wholeSmall(m.Low) {
		return false
	}
	if c, _ := s.at(s.skipBreak(int(m.Last))); s.section == SectionBattery && (c == classComma || c == classStop) {
		return false // "the Pebble 20, a power bank"
	}
	i, ok := s.plan.byToken[m.First]
	if !ok || s.plan.classes[i].Info().Section != "none" {
		return false
	}
	s.see(part.Count, int(m.First), int(m.NumEnd)).count = int(m.Low.Float())
	m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
	return true
}

// timesCount notes "2x" as the count of the part that it stands before: mention
// k, which the grammar took for a count already.
func (s *placer) timesCount(k int) {
	m := &s.d.Mentions[k]
	if s.section == SectionTeardown && m.Not == NotCount && s.timesSign(int(m.NumEnd), k) {
		s.see(part.Count, int(m.First), int(m.NumEnd)+1).count = int(m.Low.Float())
	}
}

// counted notes how many of a part there are, said in words: "a pair of",
// "two of them".
func (s *placer) counted(i, end, n int) int {
	if s.section != SectionTeardown && s.section != SectionBattery {
		return i
	}
	s.see(part.Count, i, end).count = n
	return end
}

// times reads "x3" at token i.
func (s *placer) times(i int) int {
	t := s.tokens[i]
	w := s.text[t.Start:t.End]
	if s.section != SectionTeardown || len(w) < 2 || len(w) > 3 || w[0]|0x20 != 'x' || !isDigits(w[1:]) {
		return i
	}
	n, _ := strconv.Atoi(string(w[1:]))
	s.see(part.Count, i, i+1).count = n
	return i + 1
}

// countBefore takes a bare number right before token i, an adjective or two
// between, as a count: "three ports". It returns it, 0 for none.
func (s *placer) countBefore(i int) int {
	k := s.next - 1
	for n := 0; n < s.x.reach.countBefore; n++ {
		i = s.backOne(i)
		if i < 0 {
			return 0
		}
		if s.timesSign(i, k) { // "2x USB-C", "3x MOSFET"
			m := &s.d.Mentions[k]
			m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
			return int(m.Low.Float())
		}
		if k >= 0 && s.d.Mentions[k].From == UnitOwn && int(s.d.Mentions[k].Last)-1 == i &&
			s.timesSign(int(s.d.Mentions[k].First)-1, k-1) {
			i = int(s.d.Mentions[k].First) // "2x 100 µF capacitors"
			k--
			continue
		}
		if k >= 0 && int(s.d.Mentions[k].NumEnd)-1 == i {
			m := &s.d.Mentions[k]
			if m.Not == NotCode { // "two 21700 cells"
				i = int(m.First)
				k--
				continue
			}
			if m.From == UnitOwn || m.Ruling != nil || m.Range || !wholeSmall(m.Low) {
				return 0
			}
			m.Not = NotCount
			m.Unit, m.From = UnitWords{}, UnitNone
			return int(m.Low.Float())
		}
		t := s.tokens[i]
		if t.Kind != TokenWord {
			return 0
		}
		if c, v := s.at(i); c == classDigitWord && v == 1 {
			return 1
		}
		if s.stopWord(i) && t.Word != s.c.of {
			return 0
		}
	}
	return 0
}

// timesSign reports whether token i is a sign of multiplication glued to the
// number of mention k: "2x".
func (s *placer) timesSign(i, k int) bool {
	if k < 0 || i < 1 || i >= len(s.tokens) || !s.tokens[i].Glued {
		return false
	}
	m := &s.d.Mentions[k]
	c, _ := s.at(i)
	return c == classBy && int(m.NumEnd) == i && m.Style == StyleDigits && !m.Range && m.From != UnitOwn &&
		wholeSmall(m.Low)
}

func wholeSmall(n Num) bool {
	f := n.Float()
	return n.Exp >= 0 && f >= 1 && f <= 64
}

// countsNoun reports whether a noun that is counted stands behind the bare
// number: "3 times", "16 pieces".
func (s *placer) countsNoun(m *Mention) bool {
	i := s.skipBreak(int(m.Last))
	if m.Range || m.Low.Exp < 0 || i >= len(s.tokens) {
		return false
	}
	w := s.tokens[i].Word
	return w != 0 && int(w) < len(s.c.counted) && s.c.counted[w]
}
