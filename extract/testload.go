package extract

import (
	"strings"

	"saywatt/schema"
)

// testReach is how many tokens before what was got its load may stand (common
// practice, no source).
const testReach = 12

// loadBefore takes what was told right before the mention, in the section left,
// as what the test ran at.
func (s *placer) loadBefore(m *Mention, from Section) {
	last := m.First
	for k, n := s.next-2, 0; k >= 0 && n < 3; k, n = k-1, n+1 {
		b := &s.d.Mentions[k]
		if b.Not == NotNothing && !b.HasUnit() && int(b.First) >= s.start {
			if m.HasUnit() && m.Unit.Unit.Kind() == schema.KindRatio && n == 0 { // "in 19.8 watts, the phone gets 14.1, that's 71 percent"
				c := s.picture()
				c.Port, c.Property, c.Subject = b.Context.Port, "output_power", -1
				b.Context = c
			}
			last = b.First
			continue
		}
		if b.Not != NotNothing || b.Context.Section != from || b.Context.Subject >= 0 && from == SectionTeardown && int(s.d.Subjects[b.Context.Subject].First) >= s.start || b.Context.Named || !b.HasUnit() || int(last-b.Last) > testReach || int(b.First) < s.start {
			return
		}
		property := ""
		switch b.Unit.Unit.Kind() {
		case schema.KindVoltage:
			property = "condition_voltage"
			if s.isMains(b) {
				property = "condition_mains"
			}
		case schema.KindCurrent:
			property = "condition_current"
		case schema.KindPower:
			property = "condition_power"
			if from == SectionInput {
				property = "input_power"
			}
		case schema.KindTime:
			property = "duration"
		default:
			return
		}
		c := s.picture()
		c.Port, c.Property, c.Subject = b.Context.Port, property, -1
		b.Context = c
		if n == 0 && strings.HasPrefix(property, "condition_") && property != "condition_mains" {
			s.condition = int32(k)
		}
		last = b.First
	}
}

// spotSince returns the place of a measurement named last in tokens [a, b), and
// the token behind it, 0 where none is.
func (s *placer) spotSince(a, b int) (spot string, end int) {
	for i := a; i < b; i++ {
		if s.tokens[i].Word == 0 {
			continue
		}
		v, n := s.c.phrases.match(s.tokens, i)
		if n == 0 {
			continue
		}
		for _, e := range s.c.cues[v] {
			if e.kind == effectSpot {
				spot, end = e.value, i+n
			}
		}
	}
	return spot, end
}

// spotBehind returns the place of a temperature named right behind it, "68
// degrees on the top", and the token after; 0 where none is.
func (s *placer) spotBehind(m *Mention) (string, int) {
	if !s.testing() {
		return "", 0
	}
	i := s.skipBreak(int(m.Last))
	if i >= len(s.tokens) || s.tokens[i].Kind != TokenWord || s.tokens[i].Word != s.c.on && s.tokens[i].Word != s.c.at {
		return "", 0
	}
	spot, end := s.spotSince(i, min(i+3, len(s.tokens)))
	if end == 0 || s.mentionAt(s.skipBreak(end)) {
		return "", 0 // "41 degrees, on top 44"
	}
	return spot, end
}

// gotBefore reports whether "I got", "we get" or "I measured" stands right
// before the mention, two words between at most.
func (s *placer) gotBefore(m *Mention) bool {
	i := int(m.First)
	for n := 0; n < 3; n++ {
		i = s.backOne(i)
		if i < 0 || s.tokens[i].Kind != TokenWord || s.inNumber(i) {
			return false
		}
		if s.guarded(i, guardGot) {
			b := s.backOne(i)
			return s.guarded(b, guardReviewer) || b >= 0 && s.tokens[b].Word == s.c.and
		}
	}
	return false
}

// inNumber reports whether the mention before ends behind token i.
func (s *placer) inNumber(i int) bool {
	return s.next >= 2 && int(s.d.Mentions[s.next-2].Last) > i
}
