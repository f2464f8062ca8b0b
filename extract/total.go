package extract

import (
	"strings"

	"saywatt/schema"
)

// wholeProduct takes a power that is the product's away from the port spoken of
// last: a total ("120 watts overall", "if you add all of that it is 502
// watts"). A total of ports in use together stays theirs.
func (s *placer) wholeProduct(m *Mention, phys schema.Kind, c *Context) {
	if phys != schema.KindPower && phys != schema.KindApparentPower || c.Subject >= 0 {
		return
	}
	switch s.section {
	case SectionOutput, SectionInput, SectionProduct, SectionBody, SectionClosing, SectionNone:
	default:
		return
	}
	if c.Port == "" || strings.Contains(c.Port, "+") {
		return
	}
	if s.totalNear(m) {
		c.Port, c.Protocol = "", ""
	}
}

// totalNear reports whether a word says that the power is of all together: right
// behind it, or before it in its sentence.
func (s *placer) totalNear(m *Mention) bool {
	i := s.skipBreak(int(m.Last))
	for n := 0; n < s.x.reach.totalBehind && i < len(s.tokens) && s.tokens[i].Kind == TokenWord; n++ {
		if s.guarded(i, guardTotal) {
			return true
		}
		i = s.skipBreak(i + 1)
	}
	i = int(m.First)
	for n := 0; n < s.x.reach.total; n++ {
		if i = s.backOne(i); i < 0 || s.tokens[i].Kind == TokenPara {
			return false
		}
		if c, _ := s.at(i); c == classStop {
			return false
		}
		if k := s.next - 2; k >= 0 && int(s.d.Mentions[k].NumEnd) > i && s.d.Mentions[k].HasUnit() {
			return false
		}
		if s.guarded(i, guardTotal) {
			return true
		}
	}
	return false
}
