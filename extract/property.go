package extract

import (
	"saywatt/schema"
)

// reach is how many tokens a property word governs ahead of it: about a
// clause of speech (common practice, no source).
const reach = 14

// spotReach is how many tokens the place of a measurement stays in mind
// (common practice, no source).
const spotReach = 10

// name notes a property word over tokens [i, end) for the number to come.
func (s *placer) name(i, end int, prop int32) bool {
	p := &s.c.properties[prop]
	if i < s.afterEnd {
		return true // it was read with the number before it
	}
	if p.test && !s.testing() {
		return false
	}
	switch p.name {
	case "bend_angle":
		s.bendEnd = end
	case "limit":
		if !s.testing() && !s.cableProduct() {
			return false
		}
		s.limitEnd, s.limited = end, 0
	}
	if (p.name == "outer_diameter" || p.name == "inner_diameter") && s.section != SectionTeardown && s.section != SectionWireless {
		return false
	}
	if p.battery && end-i == 1 && !s.ofBattery() {
		return false // "bottom" of a cell's discharge, not of the case
	}
	waiting := s.prop >= 0 && !s.propTaken && s.propStops == 0
	if waiting && s.propEnd > i-6 && s.waitsFor(p.kinds) && p.general {
		return true // "touch current", "ripple voltage", "in standby it draws": the closer name stands
	}
	alt := int32(-1)
	switch {
	case s.prop == prop || !waiting:
	case s.propEnd == end:
		s.propAlt = prop // the same words name one or the other, the first row where the unit does not tell: "cuts off at"
		return true
	case s.propEnd > i-8 && p.kinds != 0 && !s.waitsFor(p.kinds):
		alt = s.prop // "it changes over from the wall in 20 milliseconds"
	}
	s.prop, s.propAlt, s.propEnd, s.propStops, s.propTaken, s.levelled = prop, alt, end, 0, false, false
	return true
}

// waitsFor reports whether the property that waits for its number, or the
// other that its words may name, is of one of the kinds.
func (s *placer) waitsFor(kinds uint64) bool {
	all := s.c.properties[s.prop].kinds
	if s.propAlt >= 0 {
		all |= s.c.properties[s.propAlt].kinds
	}
	return all&kinds != 0
}

// ofBattery reports whether cells or the pack are told of.
func (s *placer) ofBattery() bool {
	switch s.kindName() {
	case "cell", "pack":
		return true
	}
	return s.section == SectionBattery
}

// matchAt is phrases.match, safe behind the last token.
func (s *placer) matchAt(i int) (int32, int) {
	if i < 0 || i >= len(s.tokens) {
		return 0, 0
	}
	return s.c.phrases.match(s.tokens, i)
}

// priceBefore reports whether a word of paying stands shortly before token i.
func (s *placer) priceBefore(i int) bool {
	for n := 0; n < 6; n++ {
		if i = s.backOne(i); i < 0 || s.tokens[i].Kind == TokenPara {
			return false
		}
		if s.guarded(i, guardPaying) {
			return true
		}
	}
	return false
}

// testing reports whether measurements are told of.
func (s *placer) testing() bool {
	return s.section == SectionTest || s.section == SectionThermal || s.section == SectionClosing
}

// take gives mention k its context and returns the token behind it.
func (s *placer) take(k int) int {
	m := &s.d.Mentions[k]
	s.next = k + 1
	end := int(m.Last)
	if m.Not == NotCode && s.cueEnd == int(m.First) && m.From != UnitNone {
		m.Not = NotNothing // "P P S 3.3 volts": the letters before are known for what they are
	}
	if m.Not == NotCode && s.cueEnd == int(m.First) && s.protocol != "" && s.protoLast == s.clause {
		m.Not = NotNothing
	}
	if m.Not == NotVersion && s.cellFormat(m, k) {
		m.Context = s.picture() // "the 21700 ones"
		m.Context.Subject = -1
		return end
	}
	if m.Not == NotNothing && m.From != UnitOwn {
		switch {
		case s.cellFormat(m, k), s.partCount(m):
		case s.countsNoun(m):
			m.Not, m.Unit, m.From = NotCount, UnitWords{}, UnitNone
		}
	}
	s.timesCount(k)
	if m.Not == NotNothing && m.Unit.Unit == "[lb_av]" && s.priceBefore(int(m.First)) {
		m.Not = NotPrice
	}
	if m.Not != NotNothing {
		m.Context = s.picture()
		m.Context.Subject = -1
		return end
	}
	phys := schema.KindUnknown
	if m.HasUnit() {
		phys = m.Unit.Unit.Kind()
	}
	energy := m.From == UnitList && phys == schema.KindRatio && s.energyList()
	if energy {
		m.Unit, m.From, phys = UnitWords{}, UnitNone, schema.KindUnknown
	}
	s.mainsInput(m, phys)
	if s.protocol != "" && s.protoLast != s.clause && !s.protocolGoesOn(phys) {
		s.protocol = ""
	}
	c := s.picture()
	if int(m.First)-s.spotEnd > spotReach {
		c.Spot = ""
	}
	if phys == schema.KindTemperature || phys == schema.KindAngle {
		if spot, end := s.spotBehind(m); end > 0 {
			c.Spot, s.spotRead = spot, end
		}
	}
	named := false
	c.Property, named = s.property(m, k, phys)
	if !named && s.testing() && (phys == schema.KindAngle || phys == schema.KindTemperature) && c.Spot == "" {
		if b := s.backOne(int(m.First)); b >= 0 && s.tokens[b].Word == s.c.in {
			c.Property, named = "ambient", true // "one hour in 24 degrees"
		}
	}
	if bend := s.bending(m, phys); bend != "" {
		c.Property, named = bend, true
	}
	if s.testing() && (phys == schema.KindEnergy || phys == schema.KindCharge) && s.gotBefore(m) {
		s.loadBefore(m, s.section)
	}
	if c.Property == "voltage_drop" && named && s.cableProduct() {
		s.loadBefore(m, SectionCable) // "pushing 5 amps through it you lose 0.7 volts"
	}
	c.Named = named
	c.Subject = s.belongs(m, phys, &c)
	if c.Subject >= 0 && !named && c.Property == "" {
		c.Property = s.c.kinds[s.kindOf(c.Subject)].ratings[phys]
	}
	if c.Property == "" {
		c.Property = s.byDefault(m, k, phys, &c)
	}
	if energy {
		c.Property = s.c.properties[s.paired].name
		s.note(s.paired, k)
	}
	if s.protocol != "" && phys == schema.KindVoltage {
		s.protoLast = s.clause
	}
	if (phys == schema.KindTemperature || phys == schema.KindAngle) && c.Spot != "" {
		s.spot = ""
	}
	if c.Property == "ambient" {
		c.Spot = ""
	}
	if s.denied(m, phys) {
		c.Property, c.Named, c.Subject = "absent", true, -1
	}
	if s.ofLimit(m, phys) {
		c.Property, c.Named, c.Subject = "limit", true, -1
	}
	if c.Property == "efficiency" && s.last >= 0 {
		if b := &s.d.Mentions[s.last].Context; b.Clause == c.Clause && (b.Property == "energy_out" || b.Property == "capacity_out") {
			s.paired = s.c.propertyID(b.Property)
		}
	}
	s.wholeProduct(m, phys, &c)
	m.Context = c
	s.last = int32(k)
	s.rating(k)
	return end
}

// denied reports whether a level is said not to be there: "there is no 12
// volts", "without 20 volts".
func (s *placer) denied(m *Mention, phys schema.Kind) bool {
	if phys != schema.KindVoltage || s.section != SectionOutput && s.section != SectionInput && s.section != SectionWireless {
		return false
	}
	b := s.backOne(int(m.First))
	if s.guarded(b, guardDenied) {
		return true
	}
	return s.guarded(b, guardExcept) && len(s.d.Alike) > 0 && s.d.Alike[len(s.d.Alike)-1].At >= int32(s.start) // "the same except 12 volts"
}

// ofLimit reports whether the mention is told of a limit: the one or two
// quantities behind such a word in its sentence, "limit for 5 amps is 150
// milliohms". What is named otherwise since is none.
func (s *placer) ofLimit(m *Mention, phys schema.Kind) bool {
	if phys == schema.KindUnknown || s.limitEnd == 0 || s.limited >= 2 || s.limitEnd < s.start || int(m.First)-s.limitEnd > reach {
		return false
	}
	if s.prop >= 0 && s.propEnd > s.limitEnd && s.c.properties[s.prop].name != "limit" && s.propEnd <= int(m.First) {
		return false
	}
	s.limited++
	return true
}

// property returns the property that a word near the mention names.
func (s *placer) property(m *Mention, k int, phys schema.Kind) (string, bool) {
	if p := s.after(m, phys); p >= 0 {
		s.note(p, k)
		if k > 0 && m.Joint == JointAnd { // "2 hours and 15 minutes to charge"
			if b := &s.d.Mentions[k-1]; b.Not == NotNothing && !b.Context.Named && b.HasUnit() && b.Unit.Unit.Kind() == phys && phys == schema.KindTime {
				b.Context.Property, b.Context.Named = s.c.properties[p].name, true
			}
		}
		return s.c.properties[p].name, true
	}
	if s.testing() {
		if side := s.sideBefore(m, phys); side >= 0 {
			if s.note(side, k); side == s.c.prop.inputVoltage && s.cableProduct() {
				s.condition = int32(k) // what a cable is fed with is the load's voltage
			}
			return s.c.properties[side].name, true
		}
	}
	if s.prop < 0 {
		return "", false
	}
	if s.propAlt >= 0 && !s.propTaken && !s.c.properties[s.prop].fits(phys) && s.c.properties[s.propAlt].fits(phys) {
		s.prop, s.propAlt = s.propAlt, s.prop
	}
	p := &s.c.properties[s.prop]
	if !p.fits(phys) && s.unitDoubtful(m) {
		m.Unit, m.From = UnitWords{}, UnitNone
		phys = schema.KindUnknown
	}
	first := int(m.First)
	limit := reach
	if !m.HasUnit() {
		limit = 7
	}
	if !p.fits(phys) || first-s.propEnd > limit || s.propStops > 0 && !(first-s.propEnd <= 3) {
		return "", false
	}
	if p.test && !s.testing() {
		return "", false
	}
	if s.prop == s.c.prop.display && phys == schema.KindUnknown {
		return "", false // "the screen says 19.87": what it shows, and not its size
	}
	if s.propTaken && phys != s.propUsed && phys != schema.KindUnknown && s.propUsed != schema.KindUnknown {
		return "", false
	}
	if s.prop == s.c.prop.ripple && m.Unit.Unit != "mV" && p.fits(phys) {
		switch {
		case phys == schema.KindVoltage && (!s.propTaken || s.levelled):
			s.condition, s.levelled = int32(k), true
			s.propEnd, s.propStops = int(m.Last), 0
			return "condition_voltage", true
		case phys == schema.KindVoltage, s.propTaken && !s.levelled:
			return "", false
		}
	} else if !m.HasUnit() && s.propTaken && !s.testing() && m.Joint == JointNone {
		return p.name, false // "weight 198 grams, the base alone 92"
	} else if b := k - 1; s.propTaken && m.Joint == JointStop && b >= 0 && s.d.Mentions[b].From == UnitNone && s.d.Mentions[b].Context.Named && m.HasUnit() && !(phys == schema.KindVoltage && s.testing() && s.currentNext(k)) {
		return s.d.Mentions[b].Context.Property, true // "top of charge 4. 2 volts": perhaps one number
	} else if s.propTaken && (m.Joint == JointNone || m.Joint == JointStop || m.Joint == JointAt) {
		return "", false
	}
	if s.testing() && phys == schema.KindVoltage && s.prop != s.c.prop.ripple && s.currentNext(k) && !s.propTaken && p.name != "condition_mains" {
		return "", false // "output at 20 volts 3 amps": a condition pair
	}
	s.propTaken, s.propUsed, s.propEnd, s.propStops = true, phys, int(m.Last), 0
	if p.name == "current" && s.testing() && (s.last < 0 || s.d.Mentions[s.last].Context.Section != s.section) {
		s.prop = s.c.prop.conditionCurrent // "Resistance. Four wire, current 2 amps": what it was measured with
	}
	s.note(s.prop, k)
	if p.name == "output_power" && s.last >= 0 {
		switch s.d.Mentions[s.last].Context.Property {
		case "charge_time", "energy_in":
			return "input_power", true // "full in two hours, it peaks at 29 watts"
		}
	}
	if p.name == "output_voltage" && m.Unit.Unit == "mV" && !s.cableProduct() {
		s.prop = s.c.prop.ripple
		return "ripple", true // "noise on the output is 58 millivolts"
	}
	if p.name == "trip_current" && phys == schema.KindPower {
		return "overload_power", true
	}
	return s.c.properties[s.prop].name, true
}

// bendReach is how many tokens a bend test told of stays in mind (common
// practice, no source).
const bendReach = 30

// bending decides that a weight told among bends is what hung on the cable,
// and an angle the one it was bent to.
func (s *placer) bending(m *Mention, phys schema.Kind) string {
	if !s.testing() || s.bendEnd == 0 || int(m.First)-s.bendEnd > bendReach {
		return ""
	}
	switch phys {
	case schema.KindMass:
		return "bend_load"
	case schema.KindAngle:
		if int(m.First)-s.bendEnd <= 3 {
			return "bend_angle"
		}
	}
	return ""
}

// unitDoubtful reports whether a measured property waits for the number and
// its unit is a word that captions show for others: "ripple 34 mil". Which
// unit was said is then for the reading engine, with the property to weigh it by.
func (s *placer) unitDoubtful(m *Mention) bool {
	if !s.testing() || s.propTaken || s.propStops > 0 || int(m.First)-s.propEnd > 4 || !s.c.properties[s.prop].measured {
		return false
	}
	t := s.tokens[m.Last-1]
	return m.Unit.Manner != MannerSaid && !t.Glued && t.End-t.Start >= 3 && s.x.entries[t.Word].prefix.manner == MannerHeard
}

// note remembers that a mention was a condition, or that something was
// measured.
func (s *placer) note(prop int32, k int) {
	switch prop {
	case s.c.prop.conditionVoltage, s.c.prop.conditionCurrent, s.c.prop.conditionPower:
		s.condition = int32(k)
	case s.c.prop.conditionMains:
	default:
		s.measured = s.clause
		if s.condition >= 0 && s.condition == s.last {
			s.lead = prop
		}
	}
}

// after returns the property named right behind the number, -1 for none.
func (s *placer) after(m *Mention, phys schema.Kind) int32 {
	i := s.skipBreak(int(m.Last))
	if c, _ := s.at(i); c == classComma {
		if k := s.skipBreak(i + 1); k < len(s.tokens) && s.tokens[k].Word == s.c.so {
			i = k // "over 160 watt hours, so no aeroplane"
		}
	}
	for n := 0; n < 2 && i < len(s.tokens); n++ {
		if s.tokens[i].Kind != TokenWord || s.tokens[i].Word == 0 {
			return -1
		}
		if v, w := s.c.phrases.match(s.tokens, i); w > 0 {
			for _, e := range s.c.cues[v] {
				if e.kind != effectAfter {
					continue
				}
				p := &s.c.properties[e.n]
				if !p.fits(phys) || p.test && !s.testing() || phys == schema.KindUnknown && !p.bare {
					continue
				}
				if p.name == "condition_voltage" && !s.testing() {
					continue
				}
				if p.name == "air_limit" && m.Qualifier == schema.QualifierNone && s.tokens[i].Word == s.c.so {
					continue // "212 watt hours, so no aeroplane": its own energy
				}
				if p.name == "surge_power" && s.testing() && s.prop >= 0 && !s.propTaken && s.c.properties[s.prop].fits(phys) {
					return -1 // "recharge, 98 watts peak": the highest of what was named
				}
				if w == 1 && (p.name == "input_power" || p.name == "output_power" || p.name == "output_voltage") && !s.closes(i+w) {
					continue // "100 watts in a warm room"
				}
				s.afterEnd = i + w
				return e.n
			}
			return -1
		}
		c, _ := s.at(i)
		if c != classQualifier && s.tokens[i].Word != s.c.of && c != classTo && s.tokens[i].Word != s.c.in {
			return -1
		}
		i = s.skipBreak(i + 1)
	}
	return -1
}

// closes reports whether a sign, a number, "and" or the end stands at token i.
func (s *placer) closes(i int) bool {
	i = s.skipBreak(i)
	if k := s.next; k < len(s.d.Mentions) && int(s.d.Mentions[k].First) == i && s.d.Mentions[k].HasUnit() {
		switch s.d.Mentions[k].Unit.Unit.Kind() { // "70 watts in 23 degrees", "in 5 minutes"
		case schema.KindAngle, schema.KindTemperature, schema.KindTime:
			return false
		}
		return true
	}
	if i >= len(s.tokens) || s.tokens[i].Kind != TokenWord || s.mentionAt(i) {
		return true
	}
	c, _ := s.at(i)
	return c == classAnd
}

// currentNext reports whether the mention behind k is a current that follows
// it directly, as in "20 volts 3 amps", "20 volts at 3 amps".
func (s *placer) currentNext(k int) bool {
	if k+1 >= len(s.d.Mentions) {
		return false
	}
	n := &s.d.Mentions[k+1]
	switch n.Joint {
	case JointSpace, JointComma, JointAt, JointSlash, JointAnd:
	default:
		return false
	}
	return n.HasUnit() && n.Unit.Unit.Kind() == schema.KindCurrent && n.Unit.Unit != "mA" && n.Unit.Unit != "uA"
}
