package extract

import "saywatt/schema"

// testsBegin enters the tests where the speaker goes over to them without a
// heading, by what only a test gives: an energy, a charge or a share of them
// that was got, a temperature. What was told right before it in the same breath
// is the load: "with 150 watts on the mains socket I got 189 watt hours". It
// reports whether it did.
func (s *placer) testsBegin(m *Mention, phys schema.Kind) bool {
	from := s.section
	switch from {
	case SectionTest, SectionThermal, SectionClosing:
		return false
	}
	switch phys {
	case schema.KindEnergy, schema.KindCharge, schema.KindRatio:
		if !s.gotBefore(m) {
			return false
		}
		s.enter(SectionTest)
	case schema.KindTemperature, schema.KindAngle:
		if from == SectionTeardown || from == SectionBattery || m.Unit.Unit == "K" || s.angleBefore(m) {
			return false
		}
		spot, end := s.spotSince(max(s.start, int(m.First)-spotReach), int(m.First))
		if end == 0 {
			return false // "I heat it with 80 degrees"
		}
		s.enter(SectionThermal)
		s.spot, s.spotClause, s.spotEnd = spot, s.clause, end
	default:
		return false
	}
	s.loadBefore(m, from)
	return true
}

// testReach is how many tokens before what was got its load may stand (common
// practice, no source).
const testReach = 12

// loadBefore takes what was told right before the mention, in the section left,
// as what the test ran at.
func (s *placer) loadBefore(m *Mention, from Section) {
	last := m.First
	for k, n := s.next-2, 0; k >= 0 && n < 3; k, n = k-1, n+1 {
		b := &s.d.Mentions[k]
		if b.Not != NotNothing || b.Context.Section != from || b.Context.Subject >= 0 && from == SectionTeardown || b.Context.Named || !b.HasUnit() || int(last-b.Last) > testReach || int(b.First) < s.start {
			return
		}
		property := ""
		switch b.Unit.Unit.Kind() {
		case schema.KindVoltage:
			property = "condition_voltage"
		case schema.KindCurrent:
			property = "condition_current"
		case schema.KindPower:
			property = "condition_power"
		case schema.KindTime:
			property = "duration"
		default:
			return
		}
		c := s.picture()
		c.Port, c.Property, c.Subject = b.Context.Port, property, -1
		b.Context = c
		if n == 0 && property != "duration" {
			s.condition = int32(k)
		}
		last = b.First
	}
}

// angleBefore reports whether a word of angles, or a number that is one, stands
// in the sentence shortly before the mention.
func (s *placer) angleBefore(m *Mention) bool {
	i := int(m.First)
	for n := 0; n < 8; n++ {
		if i = s.backOne(i); i < s.start {
			return false
		}
		if s.guarded(i, guardAngle) {
			return true
		}
	}
	return false
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

// bodyBehindBattery goes from the battery to the product's own size and weight:
// "155 millimetres long, it weighs 428 grams", where no cell is told of.
func (s *placer) bodyBehindBattery(m *Mention, phys schema.Kind) {
	if phys != schema.KindLength && phys != schema.KindMass || s.kindName() == "cell" {
		return
	}
	for i, n := s.backOne(int(m.First)), 0; i >= s.start && n < testReach; i, n = s.backOne(i), n+1 {
		if s.guarded(i, guardCellWord) {
			return
		}
	}
	if i := s.skipBreak(int(m.Last)); s.guarded(i, guardCellWord) {
		return
	}
	prop := s.prop
	s.enter(SectionBody)
	s.prop = prop
}
