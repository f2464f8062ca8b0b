package extract

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// kindName returns the kind of the part told of, "" for none.
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

// partCue opens a part named over tokens [i, end).
func (s *placer) partCue(i, end int, f *partForm) int {
	kind := &s.c.kinds[f.kind]
	if f.does {
		return s.doing(i, end, f)
	}
	if kind.name == "e-marker" {
		s.emarker(i)
		if s.cableProduct() && s.sentenceStart(i) && s.ends(end) && end-i > 1 && s.chipWord(end) {
			s.enter(SectionTeardown) // "E-marker chip.", a heading
		}
		if s.section != SectionTeardown && s.section != SectionCable && !s.codeSoon(i, end) {
			return end
		}
	}
	if kind.name == "coil" && !s.wireless() {
		general := partForm{kind: s.c.kindID("inductor"), strong: f.strong, manner: f.manner}
		return s.partCue(i, end, &general)
	}
	switch s.section {
	case SectionTeardown:
		if s.notPart(i, end, f) {
			return i
		}
	case SectionTest, SectionThermal, SectionClosing, SectionOutput, SectionInput, SectionWireless, SectionBody, SectionProduct, SectionNone, SectionCable, SectionBattery:
		if s.plan != nil || !s.opensHere(i, end, f) {
			if kind.name == "cell" && s.batterySide(f.kind) {
				s.countFor(s.subject, i)
				return end
			}
			if s.section == SectionTest || s.section == SectionThermal {
				s.spotOf(kind.name, end)
				return end
			}
			return i
		}
		if kind.name == "cell" && s.batterySide(f.kind) {
			s.countFor(s.subject, i)
			return end
		}
		if kind.name == "e-marker" && s.section == SectionCable && !s.codeSoon(i, end) {
			return i
		}
		s.enter(SectionTeardown)
	}
	if kind.name == "cell" {
		s.batterySide(f.kind)
		s.kindEnd = end
		s.countFor(s.subject, i)
		return end
	}
	if s.again && s.againAt == s.clause {
		if j := s.sameKind(f.kind); j >= 0 {
			s.resume(j, end)
			return end
		}
	}
	if s.definite(i) && s.count == 0 {
		if j := s.subject; j >= 0 && s.kind == f.kind && s.rated > 0 && s.d.Subjects[j].Part == "" {
			s.resume(j, end)
			return end
		}
	}
	if s.kind == f.kind && s.subject >= 0 && s.rated == 0 && s.start > s.kindEnd {
		if sub := &s.d.Subjects[s.subject]; sub.Part == "" && sub.Package == "" && sub.Count == 0 {
			sub.Maker, s.kindEnd = "", end // begun again: "protector by … no, sorry. Protector by …"
			s.dropMaker()
			s.countFor(s.subject, i)
			return end
		}
	}
	if s.last >= 0 && s.subject >= 0 {
		// "a 4.7 microhenry inductor": the number opened it already
		m, sub := &s.d.Mentions[s.last], &s.d.Subjects[s.subject]
		if m.Context.Subject == s.subject && sub.First == m.First && s.skipBreak(int(m.Last)) == i && familyOf(sub.Kind) == familyOf(kind.name) {
			s.kindEnd, sub.Last = end, int32(end)
			return end
		}
	}
	if s.sameChip(f) {
		s.kindEnd = end
		return end
	}
	if s.refines(i, f.kind) {
		if f.strong && kind.name != familyOf(kind.name) {
			s.d.Subjects[s.subject].Kind, s.kind = kind.name, f.kind
		}
		s.kindEnd = end
		s.d.Subjects[s.subject].Last = int32(end)
		s.countFor(s.subject, i)
		return end
	}
	if s.complement(i, f.kind) {
		sub := &s.d.Subjects[s.subject]
		sub.Kind, s.kind, s.kindEnd, sub.Last = kind.name, f.kind, end, int32(end)
		return end
	}
	s.open(s.closer(f.kind, i), i, end)
	s.makerOf(i)
	s.takeBefore(i)
	s.countFor(s.subject, i)
	return s.timesBehind(end)
}

// codeSoon reports whether a part number follows the words over tokens [i, end)
// closely, or where these head a section, in the sentence behind: "E-marker
// chip. Kestrow KX 2450."
func (s *placer) codeSoon(i, end int) bool {
	if s.codeWithin(end, 3) {
		return true
	}
	if !s.sentenceStart(i) {
		return false
	}
	for k, n := end, 0; k < len(s.tokens) && n < 2; k++ {
		switch c, _ := s.at(k); {
		case s.tokens[k].Kind == TokenBreak:
		case c == classStop || s.tokens[k].Kind == TokenPara:
			return s.codeWithin(k+1, 3)
		case s.tokens[k].Kind == TokenWord:
			n++
		default:
			return false
		}
	}
	return false
}

// doing tells the kind of the chip just named by what it does: "the chip that
// watches over the cells".
func (s *placer) doing(i, end int, f *partForm) int {
	if s.section != SectionTeardown || s.subject < 0 || s.rated > 0 || s.kindEnd < s.start {
		return i
	}
	sub := &s.d.Subjects[s.subject]
	switch sub.Kind {
	case "integrated circuit", "primary controller", "microcontroller":
	default:
		return i
	}
	sub.Kind, s.kind, s.kindEnd = s.c.kinds[f.kind].name, f.kind, end
	if sub.Part == "" {
		sub.Last = int32(end)
	}
	return end
}

// closer returns the closer kind of a part that is named by a general word
// right behind another part.
func (s *placer) closer(kind int32, i int) int32 {
	for k := range s.c.companions {
		c := &s.c.companions[k]
		if c.general != kind || c.after != s.kind {
			continue
		}
		switch c.words {
		case "same":
			if s.kindEnd < s.start {
				continue
			}
		case "between":
			between := false
			for j := i - 1; j >= 0 && j >= i-6; j-- {
				between = between || s.tokens[j].Word == s.c.between
			}
			if !between {
				continue
			}
		}
		return c.kind
	}
	return kind
}

// takeBefore gives the part just opened the numbers right before its name that
// the part before has no use for: "10 microhenry coils".
func (s *placer) takeBefore(i int) {
	kind := &s.c.kinds[s.kind]
	for k := s.next - 1; k >= 0; k-- {
		m := &s.d.Mentions[k]
		if s.skipBreak(int(m.Last)) != i || !m.HasUnit() || m.Not != NotNothing || m.Context.Section != SectionTeardown {
			return
		}
		phys := m.Unit.Unit.Kind()
		if kind.ratings[phys] == "" {
			return
		}
		if old := m.Context.Subject; old >= 0 && !s.has(old, k, phys) {
			return
		}
		m.Context.Subject = s.subject
		if !m.Context.Named {
			m.Context.Property = kind.ratings[phys]
		}
		m.Context.Clause = s.clause
		s.rated++
		i = int(m.First)
	}
}

// has reports whether the part has a rating of the physical kind from a
// mention before k.
func (s *placer) has(subject int32, k int, phys schema.Kind) bool {
	for j := k - 1; j >= 0 && j > k-12; j-- {
		m := &s.d.Mentions[j]
		if m.Context.Subject == subject && m.Not == NotNothing && m.HasUnit() && m.Unit.Unit.Kind() == phys {
			return true
		}
	}
	return false
}

// emarker notes whether the cable has an e-marker; "no" or "without" stands
// shortly before the word where it has none.
func (s *placer) emarker(i int) {
	function := "e-marker"
	for n, b := 0, s.backOne(i); n < 4 && b >= 0 && s.tokens[b].Kind == TokenWord; n, b = n+1, s.backOne(b) {
		if s.guarded(b, guardNone) {
			function = "no e-marker"
		}
	}
	if s.section == SectionCable || s.d.Product.Kind == "cable" {
		if sub := &s.d.Subjects[s.specialSubject(3, i, i)]; sub.Function == "" || function == "e-marker" {
			sub.Function = function
		}
	}
}

// chipWord reports whether the words before token end close with "chip".
func (s *placer) chipWord(end int) bool {
	b := s.backOne(end)
	return b >= 0 && s.guarded(b, guardChip)
}

// wireless reports whether wireless power is told of.
func (s *placer) wireless() bool {
	return s.board == "wireless" || slices.Contains(s.known, "Qi") || strings.Contains(s.d.Product.Kind, "wireless") || strings.Contains(s.d.Product.Kind, "magnetic")
}

// notPart decides, inside a teardown, that a word for a part names none: a
// kind mentioned in passing before another ("the coil of the transformer").
func (s *placer) notPart(i, end int, f *partForm) bool {
	if s.guarded(s.skipBreak(end), guardWarning) {
		return true
	}
	b := s.backOne(i)
	if b >= 0 && s.mechanical(f.kind) {
		at := b
		if c, _ := s.at(b); c == classArticle || s.tokens[b].Word == s.c.the {
			at = s.backOne(b)
		}
		if at >= 0 && at != b && (s.tokens[at].Word == s.c.on || s.tokens[at].Word == s.c.to || s.guarded(at, guardPassing)) && !s.sentenceStart(at) {
			return true // "eight transistors on the heatsink"
		}
	}
	if f.strong || b < 0 {
		return false
	}
	bb := s.backOne(b)
	if s.tokens[b].Word == s.c.by && s.guarded(bb, guardDone) {
		return false // "the cells are guarded by chip K X 22"
	}
	if s.guarded(b, guardVerb) || s.guarded(b, guardPassing) {
		return true
	}
	return s.tokens[b].Word == s.c.the && s.guarded(bb, guardPassingThe) && !s.sentenceStart(bb) // but "For the protocol we have …"
}

// mechanical reports whether the kind has no electrical rating.
func (s *placer) mechanical(kind int32) bool {
	r := &s.c.kinds[kind].ratings
	return r[schema.KindVoltage] == "" && r[schema.KindCurrent] == "" && r[schema.KindResistance] == "" &&
		r[schema.KindCapacitance] == "" && r[schema.KindInductance] == "" && r[schema.KindFrequency] == "" && r[schema.KindRatio] == ""
}

// complement reports whether the part named at token i closes what the sentence
// says that the part told of is: "its transistor is a 650 volt gallium nitride
// part", "the caps are 25 volt 820 microfarad solids".
func (s *placer) complement(i int, kind int32) bool {
	if s.subject < 0 || s.kind < 0 || s.rated == 0 || s.kindEnd < s.start {
		return false
	}
	old := s.c.kinds[s.kind].name
	if old != familyOf(old) || familyOf(old) != familyOf(s.c.kinds[kind].name) && !(old == "MOSFET" && s.c.kinds[kind].name == "GaN switch") {
		return false
	}
	first := s.skipBreak(s.kindEnd)
	if !s.guarded(first, guardPlural) {
		return false
	}
	k := s.next - 1
	for j := s.backOne(i); j > first; j = s.backOne(j) {
		for k >= 0 && int(s.d.Mentions[k].First) > j {
			k--
		}
		c, _ := s.at(j)
		switch {
		case k >= 0 && j < int(s.d.Mentions[k].Last), c == classArticle, c == classAnd:
		case s.makerCovers(j):
		default:
			return false
		}
	}
	return true
}

// refines reports whether the part just opened by a general word is named more
// closely now: "controller … that is the sync rectifier controller", "output
// capacitors, two, solid".
func (s *placer) refines(i int, kind int32) bool {
	if s.subject < 0 || s.rated > 0 || s.kind < 0 {
		return false
	}
	sub := &s.d.Subjects[s.subject]
	if s.special4(s.subject) || sub.Part != "" || sub.Maker != "" || i-s.kindEnd > 3 {
		return false
	}
	for k := s.kindEnd; k < i; k++ {
		switch t := s.tokens[k]; {
		case t.Kind == TokenBreak, t.Word == s.c.is:
		case s.next > 0 && k >= int(s.d.Mentions[s.next-1].First) && k < int(s.d.Mentions[s.next-1].NumEnd): // a count
		case k == s.kindEnd && s.ends(k) && s.sentenceStart(int(sub.First)): // "Bulk. Three capacitors"
		default:
			if c, _ := s.at(k); c == classComma || c == classArticle || t.Word == s.c.the {
				continue
			}
			return false
		}
	}
	return familyOf(s.c.kinds[s.kind].name) == familyOf(s.c.kinds[kind].name) || s.kindEnd == i
}

// sameChip reports whether a general word for a chip names again the one just
// told of in the sentence, with nothing told of it yet: "the four-switch
// converter for C1, controller …".
func (s *placer) sameChip(f *partForm) bool {
	if s.subject < 0 || f.strong || s.rated > 0 || s.kindEnd < s.start {
		return false
	}
	sub := &s.d.Subjects[s.subject]
	if sub.Part != "" || sub.Maker != "" || sub.Package != "" {
		return false
	}
	switch s.c.kinds[f.kind].name {
	case "primary controller", "integrated circuit":
	default:
		return false
	}
	switch familyOf(sub.Kind) {
	case "controller", "converter", "monitor", "protector", "gauge", "microcontroller", "circuit", "e-marker":
		return true
	}
	return false
}

// familyOf is the last word of a kind: capacitor, controller, MOSFET.
func familyOf(kind string) string {
	for i := len(kind) - 1; i >= 0; i-- {
		if kind[i] == ' ' {
			return kind[i+1:]
		}
	}
	return kind
}

// opensHere decides whether a part named outside a teardown is told of as a
// part: a rating of its own follows, or a part number.
func (s *placer) opensHere(i, end int, f *partForm) bool {
	if !f.strong && s.section != SectionTest && s.section != SectionThermal && s.section != SectionBattery {
		return false
	}
	kind := &s.c.kinds[f.kind]
	if s.codeWithin(end, 5) && f.strong && s.section != SectionProduct {
		return true
	}
	for k := s.next; k < len(s.d.Mentions); k++ {
		m := &s.d.Mentions[k]
		if int(m.First) < end || m.Not != NotNothing {
			continue
		}
		if int(m.First)-end > 9 || !f.strong && int(m.First)-end > 4 {
			return false // "an old transformer that makes American mains, and on 115 volts"
		}
		if !m.HasUnit() && !s.cased {
			continue // broken off in captions without points
		}
		if !m.HasUnit() {
			return false
		}
		for j := end; j < int(m.First); j++ {
			if c, _ := s.at(j); c == classStop && j > end {
				return false
			}
			if s.tokens[j].Kind == TokenPara {
				return false
			}
		}
		phys := m.Unit.Unit.Kind()
		switch phys {
		case schema.KindTemperature, schema.KindTime, schema.KindRatio, schema.KindMass:
			return false
		case schema.KindLength:
			return false
		}
		if kind.name == "display" || kind.name == "fan" {
			return false
		}
		if s.section != SectionTest && s.section != SectionThermal && !f.strong {
			return false
		}
		return kind.ratings[phys] != ""
	}
	return false
}

// spotOf takes a part named among measurements as the place measured.
func (s *placer) spotOf(kind string, end int) {
	s.spot, s.spotClause, s.spotEnd = kind, s.clause, end
}

// open begins a new part.
func (s *placer) open(kind int32, i, end int) {
	k := &s.c.kinds[kind]
	sub := Subject{Kind: k.name, Board: s.board, Side: s.side, First: int32(i), Last: int32(end), Topology: ""}
	s.d.Subjects = append(s.d.Subjects, sub)
	s.subject, s.kind, s.kindEnd = int32(len(s.d.Subjects)-1), kind, end
	s.rated, s.prop = 0, -1
	s.clause++
	s.again = false
}

// resume goes on with a part told of before.
func (s *placer) resume(j int32, end int) {
	s.subject, s.kindEnd, s.prop = j, end, -1
	s.kind = s.c.kindID(s.d.Subjects[j].Kind)
	s.rated = 1
	s.again = false
}

// endSubject ends the part told of.
func (s *placer) endSubject() {
	s.subject, s.kind, s.rated = -1, -1, 0
	s.count = 0
}

// sameKind returns the latest part of the kind, or of its family, -1 where
// there is none.
func (s *placer) sameKind(kind int32) int32 {
	name := s.c.kinds[kind].name
	for j := len(s.d.Subjects) - 1; j >= 0; j-- {
		if s.d.Subjects[j].Kind == name {
			return int32(j)
		}
	}
	for j := len(s.d.Subjects) - 1; j >= 0; j-- {
		if familyOf(s.d.Subjects[j].Kind) == familyOf(name) {
			return int32(j)
		}
	}
	return -1
}

// definite reports whether "the" stands before token i or at it.
func (s *placer) definite(i int) bool {
	if s.tokens[i].Word == s.c.the {
		return true // "the coil" is a form of its own
	}
	b := s.backOne(i)
	if b < 0 || s.tokens[b].Kind != TokenWord {
		return false
	}
	w := s.text[s.tokens[b].Start:s.tokens[b].End]
	return s.tokens[b].Word == s.c.the || string(w) == "Its" || string(w) == "its"
}
