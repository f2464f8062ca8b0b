package extract

import (
	"saywatt/schema"
)

// name notes a property word over tokens [i, end) for the number to come.
func (s *placer) name(i, end int, prop int32) bool {
	p := &s.c.properties[prop]
	if i < s.afterEnd {
		return true // it was read with the number before it
	}
	if p.test && !s.testing() {
		return false
	}
	if p.name == "limit" {
		if !s.testing() && !s.cableProduct() {
			return false
		}
		s.limitEnd, s.limited = end, 0
	}
	if (p.name == "outer_diameter" || p.name == "inner_diameter") && s.section != SectionTeardown &&
		s.section != SectionWireless {
		return false
	}
	if p.battery && end-i == 1 && !s.ofBattery() {
		return false // "bottom" of a cell's discharge, not of the case
	}
	waiting := s.prop >= 0 && !s.propTaken && s.propStops == 0
	if waiting && s.propEnd >= i-s.x.reach.closer && s.waitsFor(p.kinds) && p.general {
		return true // "touch current", "ripple voltage", "in standby it draws": the closer name stands
	}
	alt := int32(-1)
	switch {
	case s.prop == prop || !waiting:
	case s.propEnd == end:
		// the same words name one or the other, the first row where the unit does not say: "cuts off at"
		s.propAlt = prop
		return true
	case s.propEnd >= i-s.x.reach.change && p.kinds != 0 && !s.waitsFor(p.kinds):
		alt = s.prop // "it changes over from the wall in 20 milliseconds"
	}
	s.prop, s.propAlt, s.propEnd, s.propStops, s.propTaken = prop, alt, end, 0, false
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

// ofBattery reports whether cells or the pack are spoken of.
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
	for range s.x.reach.paying {
		if i = s.backOne(i); i < 0 || s.tokens[i].Kind == TokenPara {
			return false
		}
		if s.guarded(i, guardPaying) {
			return true
		}
	}
	return false
}

// testing reports whether measurements are spoken of.
func (s *placer) testing() bool {
	return s.section == SectionTest || s.section == SectionThermal || s.section == SectionClosing
}

// take gives mention k its context and returns the token behind it.
func (s *placer) take(k int) int {
	m := &s.d.Mentions[k]
	s.next = k + 1
	end := int(m.Last)
	if s.noQuantity(k, m) {
		m.Context = s.picture()
		m.Context.Subject = -1
		return end
	}
	phys := schema.KindUnknown
	if m.HasUnit() {
		phys = m.Unit.Unit.Kind()
	}
	s.mainsInput(m, phys)
	if s.protocol != "" && s.protoLast != s.clause && !s.protocolGoesOn(phys) {
		s.protocol = ""
	}
	c := s.picture()
	c.Subject = -1
	heat := phys == schema.KindTemperature || phys == schema.KindAngle
	s.spotOf(m, heat, &c)
	if p := s.property(m, phys); p >= 0 {
		c.Property, c.Named = s.c.properties[p].name, true
	} else {
		c.Property = s.byDefault(m, phys)
		if changing := s.x.changes[phys].property; changing != "" && s.testing() && s.changes(k) {
			c.Property, c.Named = changing, true
		}
	}
	if s.protocol != "" && phys == schema.KindVoltage {
		s.protoLast = s.clause
	}
	if heat && c.Spot != "" {
		s.spot = ""
	}
	if c.Property == "ambient" {
		c.Spot = ""
	}
	switch {
	case s.denied(m, phys):
		c.Property, c.Named = "absent", true
	case s.ofLimit(m, phys):
		c.Property, c.Named = "limit", true
	}
	s.wholeProduct(m, phys, &c)
	m.Context = c
	s.last = int32(k)
	s.rating(k)
	return end
}

// noQuantity reports whether mention k is none, which what was said before it may
// overrule either way.
func (s *placer) noQuantity(k int, m *Mention) bool {
	if m.Not == NotCode && s.cueEnd == int(m.First) &&
		(m.From != UnitNone || s.protocol != "" && s.protoLast == s.clause) {
		m.Not = NotNothing // "P P S 3.3 volts": the letters before are known for what they are
	}
	if m.Not == NotVersion && s.cellFormat(m, k) {
		return true // "the 21700 ones"
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
	return m.Not != NotNothing
}

// spotOf sets the place of a measurement: what is said behind a temperature, else
// what was said a little before.
func (s *placer) spotOf(m *Mention, heat bool, c *Context) {
	if int(m.First)-s.spotEnd > s.x.reach.spot {
		c.Spot = ""
	}
	if !heat {
		return
	}
	if spot, end := s.spotBehind(m); end > 0 {
		c.Spot, s.spotRead = spot, end
	}
}

// denied reports whether a level is said not to be there: "there is no 12
// volts", "without 20 volts".
func (s *placer) denied(m *Mention, phys schema.Kind) bool {
	if phys != schema.KindVoltage || s.section != SectionOutput && s.section != SectionInput &&
		s.section != SectionWireless {
		return false
	}
	b := s.backOne(int(m.First))
	if s.guarded(b, guardDenied) {
		return true
	}
	// "the same except 12 volts"
	return s.guarded(b, guardExcept) && len(s.d.Alike) > 0 && s.d.Alike[len(s.d.Alike)-1].At >= int32(s.start)
}

// ofLimit reports whether the mention is said of a limit: the one or two
// quantities behind such a word in its sentence, "limit for 5 amps is 150
// milliohms". What is named otherwise since is none.
func (s *placer) ofLimit(m *Mention, phys schema.Kind) bool {
	if phys == schema.KindUnknown || s.limitEnd == 0 || s.limited >= 2 || s.limitEnd < s.start ||
		int(m.First)-s.limitEnd > s.x.reach.property {
		return false
	}
	if s.prop >= 0 && s.propEnd > s.limitEnd && s.c.properties[s.prop].name != "limit" && s.propEnd <= int(m.First) {
		return false
	}
	s.limited++
	return true
}

// property returns the property that a word near the mention names: the one
// right behind it, or the last before it in its sentence that its kind can have
// and that no number of another kind has taken; -1 for none.
func (s *placer) property(m *Mention, phys schema.Kind) int32 {
	if p := s.after(m, phys); p >= 0 {
		return p
	}
	if s.prop < 0 {
		return -1
	}
	if s.propAlt >= 0 && !s.propTaken && !s.c.properties[s.prop].fits(phys) && s.c.properties[s.propAlt].fits(phys) {
		s.prop, s.propAlt = s.propAlt, s.prop
	}
	p := &s.c.properties[s.prop]
	far := int(m.First) - s.propEnd
	switch {
	case !p.fits(phys), p.test && !s.testing(), s.propStops > 0,
		far > s.x.reach.property, !m.HasUnit() && far > s.x.reach.bare:
		return -1
	case s.propTaken && (phys != s.propUsed || m.Joint == JointNone || m.Joint == JointStop || m.Joint == JointAt):
		return -1
	}
	s.propTaken, s.propUsed, s.propEnd = true, phys, int(m.Last)
	return s.prop
}

// changes reports whether mention k is the first or last value of what changed: "from
// 20 to 80 percent".
func (s *placer) changes(k int) bool {
	all := s.d.Mentions
	ends := func(a, b int) bool {
		return a >= 0 && b < len(all) && all[b].Joint == JointTo && !all[a].Range && !all[b].Range &&
			all[a].HasUnit() && all[a].Unit.Unit == all[b].Unit.Unit
	}
	return ends(k-1, k) || ends(k, k+1)
}

// byDefault names the property that the section gives a number which no word
// names, or "" for a level's voltage and current and for a rating.
func (s *placer) byDefault(m *Mention, phys schema.Kind) string {
	switch {
	case phys == schema.KindUnknown:
		return ""
	case m.Group >= 0 && (s.section == SectionBody || s.section == SectionProduct):
		return "dimension"
	}
	p := s.c.defaults[s.section][phys]
	if p < 0 {
		return ""
	}
	return s.c.properties[p].name
}

// after returns the property named right behind the number, -1 for none.
func (s *placer) after(m *Mention, phys schema.Kind) int32 {
	i := s.skipBreak(int(m.Last))
	for n := 0; n <= s.x.reach.after && i < len(s.tokens); n++ {
		if s.tokens[i].Kind != TokenWord || s.tokens[i].Word == 0 {
			return -1
		}
		if v, w := s.c.phrases.match(s.tokens, i); w > 0 {
			for _, e := range s.c.cues[v] {
				if e.kind != effectAfter {
					continue
				}
				if p := &s.c.properties[e.n]; s.canBehind(p, phys) && (w > 1 || !sided(p.name) || s.closes(i+w)) {
					s.afterEnd = i + w
					return e.n
				}
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

// sided reports whether the property is one that "in" or "out" alone can name:
// "100 watts in", but not "100 watts in a warm room".
func sided(property string) bool {
	switch property {
	case "input_power", "output_power", "output_voltage":
		return true
	}
	return false
}

// canBehind reports whether a quantity of the kind can have the property where
// it is named behind it.
func (s *placer) canBehind(p *property, phys schema.Kind) bool {
	return p.fits(phys) && (!p.test || s.testing()) && (phys != schema.KindUnknown || p.bare) &&
		(p.name != "condition_voltage" || s.testing())
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
