package extract

import (
	"slices"
	"strconv"
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
	if kind.name == "e-marker" {
		s.emarker(i)
		if s.section != SectionTeardown && s.section != SectionCable && !s.codeWithin(end, 3) {
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
		if !s.opensHere(i, end, f) {
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
		if kind.name == "e-marker" && s.section == SectionCable && !s.codeWithin(end, 3) {
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
	s.open(s.closer(f.kind, i), i, end)
	s.takeBefore(i)
	s.countFor(s.subject, i)
	return s.timesBehind(end)
}

// timesBehind reads "x3" or "× 3" behind the words that named a part.
func (s *placer) timesBehind(end int) int {
	if end >= len(s.tokens) || s.d.Subjects[s.subject].Count > 0 {
		return end
	}
	t := s.tokens[end]
	if w := s.text[t.Start:t.End]; t.Kind == TokenWord && len(w) >= 2 && len(w) <= 3 && (w[0] == 'x' || w[0] == 'X') && isDigits(w[1:]) {
		s.d.Subjects[s.subject].Count, _ = strconv.Atoi(string(w[1:]))
		return end + 1
	}
	if c, _ := s.at(end); c == classBy && end+1 < len(s.tokens) && s.tokens[end+1].Kind == TokenNumber && !s.unitAt(end+2) {
		if w := s.text[s.tokens[end+1].Start:s.tokens[end+1].End]; len(w) <= 2 && isDigits(w) {
			s.claim(end, end+2, NotCount)
			s.d.Subjects[s.subject].Count, _ = strconv.Atoi(string(w))
			return end + 2
		}
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
				between = between || s.wordIs(j, "between") || s.wordIs(j, "Between")
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
		if s.wordIs(b, "no") || s.wordIs(b, "No") || s.wordIs(b, "without") || s.wordIs(b, "need") || s.wordIs(b, "any") {
			function = "no e-marker"
		}
	}
	if s.section == SectionCable || s.d.Product.Kind == "cable" {
		if sub := &s.d.Subjects[s.specialSubject(3, i, i)]; sub.Function == "" || function == "e-marker" {
			sub.Function = function
		}
	}
}

// wireless reports whether wireless power is told of.
func (s *placer) wireless() bool {
	return slices.Contains(s.known, "Qi") || strings.Contains(s.d.Product.Kind, "wireless") || strings.Contains(s.d.Product.Kind, "magnetic")
}

// notPart decides, inside a teardown, that a word for a part names none: a
// kind mentioned in passing before another ("the coil of the transformer").
func (s *placer) notPart(i, end int, f *partForm) bool {
	if k := s.skipBreak(end); k < len(s.tokens) && s.tokens[k].Kind == TokenWord {
		switch string(s.text[s.tokens[k].Start:s.tokens[k].End]) {
		case "hold", "holds", "keep", "keeps", "stay", "stays", "can", "may", "could": // a warning
			return true
		}
	}
	if f.strong {
		return false
	}
	b := s.backOne(i)
	if b < 0 {
		return false
	}
	// "its switch is closed", verbs: "it switches at"
	switch w := s.text[s.tokens[b].Start:s.tokens[b].End]; string(w) {
	case "it", "It", "they", "to", "I", "i", "per":
		return true
	case "between", "behind", "under", "over", "by", "near", "beside", "onto":
		return true
	}
	if b > 0 && s.tokens[b].Word == s.c.the {
		switch bb := s.backOne(b); {
		case bb < 0:
		default:
			switch string(s.text[s.tokens[bb].Start:s.tokens[bb].End]) {
			case "between", "behind", "under", "over", "by", "near", "beside", "onto", "on", "of", "to", "that's", "for", "with", "watches", "monitors", "protects", "controls", "drives", "feeds", "charges":
				return true
			}
		}
	}
	return false
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
		if int(m.First)-end > 9 {
			return false
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

// definite reports whether "the" stands before token i.
func (s *placer) definite(i int) bool {
	b := s.backOne(i)
	if b < 0 || s.tokens[b].Kind != TokenWord {
		return false
	}
	w := s.text[s.tokens[b].Start:s.tokens[b].End]
	return s.tokens[b].Word == s.c.the || string(w) == "Its" || string(w) == "its"
}

// oneMore opens another part of the kind told of: "another pair are 420 volt".
// A kind named within the next words opens it by itself.
func (s *placer) oneMore(i, end int) int {
	if s.section != SectionTeardown || s.subject < 0 || s.special4(s.subject) {
		return i
	}
	for k := end; k < len(s.tokens) && k < end+4; k++ {
		if s.mentionAt(k) {
			break
		}
		if c, _ := s.at(k); c == classStop || c == classComma {
			break
		}
		if v, n := s.c.phrases.match(s.tokens, k); n > 0 {
			for _, e := range s.c.cues[v] {
				if e.kind == effectPart {
					s.another = true
					return end
				}
			}
		}
	}
	old := s.d.Subjects[s.subject]
	s.open(s.kind, i, end)
	sub := &s.d.Subjects[s.subject]
	sub.Board, sub.Side, sub.Maker = old.Board, old.Side, ""
	sub.Count = 1
	for k := i; k < end; k++ {
		switch string(s.text[s.tokens[k].Start:s.tokens[k].End]) {
		case "pair", "two":
			sub.Count = 2
		}
	}
	return end
}

// counted notes how many of a part there are, said before the part ("a pair
// of") or behind it ("switches, two of").
func (s *placer) counted(i, end, n int) int {
	if s.section != SectionTeardown && s.section != SectionBattery {
		return i
	}
	if s.subject >= 0 && i-s.kindEnd <= 12 && s.d.Subjects[s.subject].Count == 0 && !s.partAhead(end, 3) {
		s.d.Subjects[s.subject].Count = n
		return end
	}
	s.count, s.countEnd = n, end
	return end
}

// partAhead reports whether a part is named within n words of token i.
func (s *placer) partAhead(i, n int) bool {
	for k := i; k < len(s.tokens) && n > 0; k++ {
		if s.tokens[k].Kind == TokenBreak {
			continue
		}
		if s.tokens[k].Kind != TokenWord {
			return false
		}
		if v, m := s.c.phrases.match(s.tokens, k); m > 0 {
			for _, e := range s.c.cues[v] {
				if e.kind == effectPart {
					return true
				}
			}
		}
		n--
	}
	return false
}

// countBefore takes a bare number right before token i, an adjective or two
// between, as a count: "three capacitors", "two solid ones". It returns it, 0
// for none.
func (s *placer) countBefore(i int) int {
	k := s.next - 1
	for n := 0; n < 4; n++ {
		i = s.backOne(i)
		if i < 0 {
			return 0
		}
		if k >= 0 && int(s.d.Mentions[k].NumEnd)-1 == i {
			m := &s.d.Mentions[k]
			if m.Not == NotCode { // "two 21700 cells"
				i = int(m.First)
				k--
				continue
			}
			if m.From == UnitOwn || m.Range || !wholeSmall(m.Low) {
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

func wholeSmall(n Num) bool {
	f := n.Float()
	return n.Exp >= 0 && f >= 1 && f <= 64
}

// countFor gives the part the count said before it.
func (s *placer) countFor(j int32, i int) {
	if j < 0 {
		return
	}
	n := s.countBefore(i)
	if n == 0 && s.count > 0 && i-s.countEnd <= 4 {
		n = s.count
	}
	s.count = 0
	if n > 0 && s.d.Subjects[j].Count == 0 {
		s.d.Subjects[j].Count = n
	}
}

// countHere decides that the bare number of mention m, right behind the words
// that named a part, says how many there are: "switches, four, Brannick".
func (s *placer) countHere(m *Mention) bool {
	if s.subject < 0 || s.rated > 0 || m.From == UnitOwn || m.Range || !wholeSmall(m.Low) || s.d.Subjects[s.subject].Count > 0 {
		return false
	}
	first := int(m.First)
	comma := false
	for k := s.kindEnd; k < first; k++ {
		c, _ := s.at(k)
		switch {
		case s.tokens[k].Kind == TokenBreak:
		case c == classComma, c == classDash:
			comma = true
		default:
			return false
		}
	}
	after := s.skipBreak(int(m.Last))
	c, _ := s.at(after)
	next := c == classComma || c == classStop || after >= len(s.tokens) || after < len(s.tokens) && s.tokens[after].Word == s.c.of
	if after < len(s.tokens) && s.tokens[after].Kind == TokenWord {
		// "four in parallel", "two solid ones", "four Brannick"
		next = next || s.tokens[after].Word == s.c.in || m.Style == StyleWords && !s.unitAt(after)
	}
	return comma && next
}

// countOfRated decides that a number word before a rating counts the part:
// "the bulk capacitors are two 68 microfarad 400 volt parts".
func (s *placer) countOfRated(m *Mention, k int) bool {
	if s.subject < 0 || s.rated > 0 || m.Range || m.Style != StyleWords || !wholeSmall(m.Low) || s.d.Subjects[s.subject].Count > 0 || k+1 >= len(s.d.Mentions) {
		return false
	}
	n := &s.d.Mentions[k+1]
	if n.Joint != JointSpace || n.From != UnitOwn || n.Style != StyleDigits {
		return false
	}
	b := s.backOne(int(m.First))
	return b >= 0 && (s.tokens[b].Word == s.c.is || s.wordIs(b, "are") || s.wordIs(b, "have"))
}

// takeCount makes mention m a count of the part.
func (s *placer) takeCount(m *Mention) {
	s.d.Subjects[s.subject].Count = int(m.Low.Float())
	m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
}

// each marks the numbers of the clause before as said of one of several; in a
// battery it turns to the cell.
func (s *placer) each(end int) {
	if s.section == SectionBattery || s.section == SectionTeardown && s.subject >= 0 && s.d.Subjects[s.subject].Kind == "pack" {
		if s.special[0] >= 0 {
			s.subject, s.kind = s.special[0], s.c.kindID("cell")
			s.battery = s.kind
		}
	}
	if s.last >= 0 {
		m := &s.d.Mentions[s.last]
		if end-int(m.Last) <= 3 {
			m.Context.Each = true
		}
	}
}

// cells notes how cells are joined: "three in series, two across".
func (s *placer) cells(i, end int, how string) {
	n := 0
	b := s.backOne(i)
	k := s.next - 1
	if k >= 0 && b >= 0 && int(s.d.Mentions[k].NumEnd)-1 == b && wholeSmall(s.d.Mentions[k].Low) && s.d.Mentions[k].From != UnitOwn {
		m := &s.d.Mentions[k]
		n = int(m.Low.Float())
		m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
	} else if c, v := s.at(b); c == classDigitWord {
		n = int(v)
	}
	if n == 0 || s.subject < 0 {
		return
	}
	sub := &s.d.Subjects[s.subject]
	switch sub.Kind {
	case "cell", "pack":
		j := s.specialSubject(0, i, end)
		cell := &s.d.Subjects[j]
		if how == "series" {
			cell.Series = n
		} else {
			cell.Parallel = n
		}
	default:
		if sub.Count == 0 {
			sub.Count = n
		}
	}
}

// packCode reads "4S1P", also spoken "four s one p", at the number token i.
func (s *placer) packCode(i int) int {
	series, a := s.digitGroup(i)
	if series == "" || len(series) > 2 || a >= len(s.tokens) || s.tokens[a].Word != s.c.s {
		return i
	}
	parallel, b := s.digitGroup(a + 1)
	if parallel == "" || len(parallel) > 2 || b >= len(s.tokens) || s.tokens[b].Word != s.c.p {
		return i
	}
	s.claim(i, b+1, NotCode)
	cell := &s.d.Subjects[s.specialSubject(0, i, b+1)]
	cell.Series, _ = strconv.Atoi(series)
	cell.Parallel, _ = strconv.Atoi(parallel)
	return b + 1
}

// specialSubject returns the subject for cell (0), pack (1), rated (2) or
// cable (3), made where it is new.
func (s *placer) specialSubject(which int, i, end int) int32 {
	if s.special[which] < 0 {
		s.d.Subjects = append(s.d.Subjects, Subject{Kind: [...]string{"cell", "pack", "rated", "cable"}[which], First: int32(i), Last: int32(end)})
		s.special[which] = int32(len(s.d.Subjects) - 1)
	}
	return s.special[which]
}

// batterySide turns to the cell, the pack or the rated output.
func (s *placer) batterySide(kind int32) bool {
	name := s.c.kinds[kind].name
	switch s.section {
	case SectionTest, SectionThermal, SectionClosing:
		return false
	case SectionTeardown:
		if name == "rated" {
			return false
		}
	case SectionBattery:
		if name == "rated" && !s.chargeAhead(1) {
			return false
		}
	default:
		ahead := 3
		if name == "rated" {
			ahead = 1
		}
		if !s.chargeAhead(ahead) {
			return false
		}
		s.enter(SectionBattery)
	}
	s.portPend = false
	which := 0
	switch name {
	case "pack":
		which = 1
	case "rated":
		which = 2
	}
	s.battery = kind
	s.subject, s.kind, s.rated = s.specialSubject(which, s.start, s.start), kind, 0
	s.prop = -1
	return true
}

// chargeAhead reports whether a charge or energy is among the next n numbers,
// in the same breath.
func (s *placer) chargeAhead(n int) bool {
	for k := s.next; k < len(s.d.Mentions) && n > 0; k++ {
		m := &s.d.Mentions[k]
		if m.Not != NotNothing || !m.HasUnit() {
			if m.Not == NotNothing && n == 1 {
				return false
			}
			continue
		}
		switch m.Unit.Unit.Kind() {
		case schema.KindCharge, schema.KindEnergy:
			return true
		case schema.KindVoltage, schema.KindCurrent:
		default:
			return false
		}
		n--
	}
	return false
}
