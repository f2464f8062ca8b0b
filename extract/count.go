package extract

import (
	"strconv"

	"saywatt/schema"
)

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
		if s.stopWord(i) && t.Word != s.c.of && !s.guarded(i, guardCountMore) {
			return 0
		}
	}
	return 0
}

// timesSign reports whether token i is a sign of multiplication glued to the
// number of mention k: "2x".
func (s *placer) timesSign(i, k int) bool {
	if k < 0 || i < 1 || !s.tokens[i].Glued {
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
	joint := false
	for k := s.kindEnd; k < first; k++ {
		c, _ := s.at(k)
		switch {
		case s.tokens[k].Kind == TokenBreak:
		case c == classComma, c == classDash:
			joint = true
		case s.guarded(k, guardCountJoint) && (s.pluralName() || s.codeWithin(int(m.Last), 4)):
			joint = true // "the bus caps are two Mornay", "the bridge is of four"
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
	return joint && next || !joint && m.Style == StyleWords && s.pluralName() && (c == classComma || s.codeWithin(after, 4))
}

// pluralName reports whether the words that named the part tell of several:
// "solids", "port FETs".
func (s *placer) pluralName() bool {
	if s.subject < 0 || s.kindEnd < 1 || s.tokens[s.kindEnd-1].Kind != TokenWord {
		return false
	}
	w := s.text[s.tokens[s.kindEnd-1].Start:s.tokens[s.kindEnd-1].End]
	n := len(w)
	return n > 3 && w[n-1]|0x20 == 's' && w[n-2]|0x20 != 's' && w[n-2] != '\''
}

// countLast decides that the bare number of mention m closes what is told of
// several parts: "resonant caps, 470 nano, 630 volts, two."
func (s *placer) countLast(m *Mention) bool {
	if s.subject < 0 || s.rated == 0 || m.Range || !wholeSmall(m.Low) || s.d.Subjects[s.subject].Count > 0 || !s.pluralName() || !s.ends(int(m.Last)) {
		return false
	}
	if c, _ := s.at(s.backOne(int(m.First))); c != classComma {
		return false
	}
	return m.Style == StyleWords || s.c.kinds[s.kind].ratings[schema.KindCurrent] == ""
}

// countOfRated decides that a number word before a rating counts the part:
// "the bulk capacitors are two 68 microfarad 400 volt parts", "solids two 25 volts".
func (s *placer) countOfRated(m *Mention, k int) bool {
	if s.subject < 0 || s.rated > 0 || m.Range || m.Style != StyleWords || !wholeSmall(m.Low) || s.d.Subjects[s.subject].Count > 0 || k+1 >= len(s.d.Mentions) {
		return false
	}
	n := &s.d.Mentions[k+1]
	if n.Joint != JointSpace || n.From != UnitOwn || n.Style != StyleDigits {
		return false
	}
	b := s.backOne(int(m.First))
	return s.guarded(b, guardPlural) || b+1 == s.kindEnd && s.pluralName() // "solids two 25 volts"
}

// takeCount makes mention m a count of the part.
func (s *placer) takeCount(m *Mention) {
	s.d.Subjects[s.subject].Count = int(m.Low.Float())
	m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
}

// countsNoun reports whether a noun that is counted stands behind the bare
// number: "3 times", "16 pieces".
func (s *placer) countsNoun(m *Mention) bool {
	i := s.skipBreak(int(m.Last))
	if m.Range || m.Low.Exp < 0 || i >= len(s.tokens) {
		return false
	}
	w := s.tokens[i].Word
	if w == s.c.of && wholeSmall(m.Low) {
		j := s.skipBreak(i + 1)
		if s.guarded(j, guardPronoun) {
			if s.subject >= 0 && s.d.Subjects[s.subject].Count == 0 {
				s.d.Subjects[s.subject].Count = int(m.Low.Float())
			}
			return true
		}
	}
	if s.guarded(i, guardPiece) && wholeSmall(m.Low) && s.subject >= 0 && s.rated == 0 && s.d.Subjects[s.subject].Count == 0 {
		s.d.Subjects[s.subject].Count = int(m.Low.Float()) // "sync FET, two pieces"
	}
	return w != 0 && int(w) < len(s.c.counted) && s.c.counted[w]
}
