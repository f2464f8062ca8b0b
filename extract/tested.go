package extract

import "saywatt/schema"

// tested decides between the conditions of a test and what was measured, for
// voltages, currents and powers.
func (s *placer) tested(m *Mention, k int, phys schema.Kind) int32 {
	p := &s.c.prop
	at := s.atBefore(int(m.First))
	afterCondition := s.condition >= 0 && s.condition == s.last && k > 0 && (m.Joint == JointSpace || m.Joint == JointComma || m.Joint == JointAt || m.Joint == JointAnd || m.Joint == JointSlash)
	switch phys {
	case schema.KindVoltage:
		switch {
		case m.Unit.Unit == "mV" || m.Unit.Unit == "uV":
			return p.ripple
		case s.currentNext(k), k > 0 && m.Joint == JointAnd && s.d.Mentions[k-1].From == UnitList && s.d.Mentions[k-1].Context.Property == "condition_voltage":
			return p.conditionVoltage
		case s.isMains(m):
			return p.conditionMains
		case at:
			return p.conditionVoltage
		case s.measured == s.clause || afterCondition:
			return p.outputVoltage
		}
		return p.conditionVoltage
	case schema.KindCurrent:
		switch {
		case m.Unit.Unit == "uA" && !at:
			return s.c.propertyID("sleep_current") // no load is as small
		case afterCondition, at:
			return p.conditionCurrent
		}
		return p.outputCurrent
	case schema.KindPower:
		switch {
		case (m.Unit.Unit == "mW" || m.Unit.Unit == "uW") && !at && !afterCondition && !s.cableProduct():
			return s.c.propertyID("no_load_power")
		case at:
			return p.conditionPower
		case afterCondition:
			return p.conditionPower
		case s.shared && s.sharedAt == s.clause, s.section == SectionThermal:
			return p.conditionPower
		}
		return p.outputPower
	}
	return -1
}

// byDefault names the property that the section gives a number which no word
// names, or "" for a level's voltage and current and for a rating.
func (s *placer) byDefault(m *Mention, k int, phys schema.Kind, c *Context) string {
	switch {
	case s.section == SectionTeardown && c.Subject >= 0, phys == schema.KindUnknown:
		return ""
	case m.Group >= 0 && (s.section == SectionBody || s.section == SectionProduct):
		return "dimension"
	}
	p := s.c.defaults[s.section][phys]
	if p < 0 {
		return ""
	}
	s.note(p, k)
	return s.c.properties[p].name
}

// sideBefore returns the side of a conversion that "in" or "out" right before
// the number names where a clause begins with it: "in 33 watts, out 30 watts".
// It is -1 where none does: "in" within a clause joins other words.
func (s *placer) sideBefore(m *Mention, phys schema.Kind) int32 {
	first, k := m.First, s.next-1
	if phys == schema.KindUnknown && k+1 < len(s.d.Mentions) { // "in 20 .02 volts"
		if n := &s.d.Mentions[k+1]; n.Joint == JointSpace && n.HasUnit() {
			phys = n.Unit.Unit.Kind()
		}
	}
	if k > 0 && m.Joint == JointSpace {
		if b := &s.d.Mentions[k-1]; b.From == UnitNone {
			first = b.First
		}
	}
	i := s.backOne(int(first))
	if i < 0 || s.tokens[i].Kind != TokenWord {
		return -1
	}
	out := s.tokens[i].Word == s.c.out
	if !out && s.tokens[i].Word != s.c.in {
		return -1
	}
	if !s.sentenceStart(i) {
		b := s.backOne(i)
		if c, _ := s.at(b); c != classComma && c != classAnd && c != classDash && !s.oppositeAhead(m, out) {
			return -1
		}
	}
	p := &s.c.prop
	switch phys {
	case schema.KindPower:
		if out {
			return p.outputPower
		}
		return p.inputPower
	case schema.KindVoltage:
		if out {
			return p.outputVoltage
		}
		return p.inputVoltage
	case schema.KindEnergy:
		if out {
			return p.energyOut
		}
		return p.energyIn
	}
	return -1
}

// oppositeAhead reports whether the other side follows with a number of its
// own in the next words: "in 36 volts 5 amps out 35.4".
func (s *placer) oppositeAhead(m *Mention, out bool) bool {
	other := s.c.out
	if out {
		other = s.c.in
	}
	for k, n := int(m.Last), 0; k < len(s.tokens) && n < 8; k, n = k+1, n+1 {
		if s.tokens[k].Kind == TokenPara {
			return false
		}
		if s.tokens[k].Kind == TokenWord && s.tokens[k].Word == other && s.mentionAt(s.skipBreak(k+1)) {
			return true
		}
	}
	return false
}

// energyList reports whether a bare number that a list gave the unit of an
// efficiency is the energy it was got with: behind "57 watt hours, 85 percent"
// the next load's "54.9, 82.4 percent" is told alike.
func (s *placer) energyList() bool {
	return s.testing() && s.paired >= 0 && s.condition >= 0 && s.condition == s.last
}

// atBefore reports whether "at", "with", "on" or "from" stands before token i,
// two words between at most.
func (s *placer) atBefore(i int) bool {
	for n := 0; n < 3; n++ {
		i = s.backOne(i)
		if i < 0 || s.tokens[i].Kind != TokenWord {
			return false
		}
		if s.next >= 2 && int(s.d.Mentions[s.next-2].Last) > i {
			return false
		}
		switch s.tokens[i].Word {
		case s.c.at, s.c.with, s.c.on, s.c.from:
			return true
		}
	}
	return false
}

// isMains reports whether the voltage is a mains voltage of the table.
func (s *placer) isMains(m *Mention) bool {
	if m.Range || s.cableProduct() {
		return false
	}
	f := m.Low.Float()
	for _, v := range s.c.mains {
		if v == f {
			return true
		}
	}
	return false
}

// remains reports whether tokens [a, b) tell of what is left: "until it is down
// to".
func (s *placer) remains(a, b int) bool {
	for ; a < b; a++ {
		if s.guarded(a, guardRemains) {
			return true
		}
	}
	return false
}
