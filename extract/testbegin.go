package extract

import "saywatt/schema"

// testsBegin enters the tests where a teardown goes over to them without a
// heading: an energy, a charge or a share of them that was got. What was told
// right before it in the same breath is the load: "with 150 watts on the mains
// socket I got 189 watt hours".
func (s *placer) testsBegin(m *Mention, phys schema.Kind) {
	switch phys {
	case schema.KindEnergy, schema.KindCharge, schema.KindRatio:
	default:
		return
	}
	if !s.gotBefore(m) {
		return
	}
	s.enter(SectionTest)
	for k, n := s.next-2, 0; k >= 0 && n < 3; k, n = k-1, n+1 {
		b := &s.d.Mentions[k]
		if b.Not != NotNothing || b.Context.Section != SectionTeardown || b.Context.Subject >= 0 || b.Context.Named || !b.HasUnit() || int(m.First-b.Last) > testReach {
			return
		}
		p := &s.c.prop
		var property int32
		switch b.Unit.Unit.Kind() {
		case schema.KindVoltage:
			property = p.conditionVoltage
		case schema.KindCurrent:
			property = p.conditionCurrent
		case schema.KindPower:
			property = p.conditionPower
		default:
			return
		}
		c := s.picture()
		c.Port, c.Property, c.Subject = b.Context.Port, s.c.properties[property].name, -1
		b.Context = c
		if n == 0 {
			s.condition = int32(k)
		}
	}
}

// testReach is how many tokens before what was got its load may stand (common
// practice, no source).
const testReach = 12

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
			return s.guarded(s.backOne(i), guardReviewer)
		}
	}
	return false
}

// inNumber reports whether the mention before ends behind token i.
func (s *placer) inNumber(i int) bool {
	return s.next >= 2 && int(s.d.Mentions[s.next-2].Last) > i
}
