package extract

import "strings"

// Alike is a port whose levels are those of another: "C2 is the same",
// "C2 is the same as C1", "C2 likewise".
type Alike struct {
	Port, Of string
	Product  string // the product's own mode it was said in, "" none
	At       int32  // token where it was said: what is said later was not meant
}

// liken notes that the phrase over tokens [i, end) likens the port named just
// before it to another, named behind it ("as", "to") or said before.
func (s *placer) liken(i, end int, named bool) bool {
	switch {
	case s.section != SectionOutput && !s.portPend, s.port == "", strings.ContainsAny(s.port, ",+"),
		i-s.portEnd > s.x.reach.alike, s.portClause != s.clause:
		return false
	}
	s.alikeEnd, s.alikeNamed, s.alikeNext = end, named, s.next
	return true
}

// likened takes the port named over tokens [i, end) as the one that the port
// spoken of is likened to; false where it is a port in its own right.
func (s *placer) likened(i, end int, name string) bool {
	if s.alikeEnd == 0 || !s.alikeNamed || i-s.alikeEnd > s.x.reach.likened || s.next != s.alikeNext || name == s.port {
		return false
	}
	s.alikeEnd = 0
	if !s.exceptAhead(end) || s.deniedAhead(end) {
		s.d.Alike = append(s.d.Alike, Alike{Port: s.port, Of: name, Product: s.product, At: int32(end)})
	}
	return true
}

// endAlike likens the port to the one said before it where the sentence ends
// at token i, or the next port is named there, right behind the phrase:
// "C2 is the same." but not "C2 runs at the same voltage."
func (s *placer) endAlike(i int) {
	if s.alikeEnd == 0 {
		return
	}
	if !s.alikeNamed && i-s.alikeEnd <= s.x.reach.alikeEnd && s.next == s.alikeNext &&
		s.portBefore != "" && s.portBefore != s.port &&
		!strings.ContainsAny(s.portBefore, ",+") && (!s.exceptAhead(s.alikeEnd) || s.deniedAhead(s.alikeEnd)) {
		s.d.Alike = append(s.d.Alike, Alike{Port: s.port, Of: s.portBefore, Product: s.product, At: int32(s.alikeEnd)})
	}
	s.alikeEnd = 0
}

// exceptAhead reports whether an exception is made in the next words of the
// sentence: what differs is then given, and nothing is taken over.
func (s *placer) exceptAhead(i int) bool {
	for n := 0; n < s.x.reach.except && i < len(s.tokens); n++ {
		if c, _ := s.at(i); c == classStop {
			return false
		}
		if s.guarded(i, guardExcept) {
			return true
		}
		i = s.skipBreak(i + 1)
	}
	return false
}

// deniedAhead reports whether the exception made in the next words is a voltage
// that is not there: "the same except it has no 12 volts". The rest is alike.
func (s *placer) deniedAhead(i int) bool {
	for k := s.next; k < len(s.d.Mentions); k++ {
		m := &s.d.Mentions[k]
		if int(m.First)-i > s.x.reach.property {
			return false
		}
		if m.Not == NotNothing && m.HasUnit() {
			return m.Unit.Unit == "V" && (s.guarded(s.backOne(int(m.First)), guardDenied) ||
				s.guarded(s.backOne(int(m.First)), guardExcept))
		}
	}
	return false
}
