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
		case s.currentNext(k):
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
		case afterCondition, at:
			return p.conditionCurrent
		}
		return p.outputCurrent
	case schema.KindPower:
		switch {
		case at:
			return p.conditionPower
		case afterCondition:
			return p.conditionPower
		case s.shared && s.sharedAt == s.clause:
			return p.conditionPower
		}
		return p.outputPower
	}
	return -1
}

// byDefault names the property that the section gives a number which no word
// names, or "" for a level's voltage and current.
func (s *placer) byDefault(m *Mention, k int, phys schema.Kind, c *Context) string {
	switch s.section {
	case SectionTest, SectionThermal:
		if p := s.tested(m, k, phys); p >= 0 {
			s.note(p, k)
			return s.c.properties[p].name
		}
	case SectionTeardown:
		if c.Subject >= 0 {
			return ""
		}
	}
	if m.Group >= 0 && (s.section == SectionBody || s.section == SectionProduct) {
		return "dimension"
	}
	p := s.c.defaults[s.section][phys]
	if phys == schema.KindUnknown {
		p = s.c.bare[s.section]
		switch {
		case s.testing() && c.Spot != "":
			p = s.c.prop.temperature
		case s.testing() && s.lead >= 0 && s.condition >= 0 && s.condition == s.last:
			p = s.lead
		}
		if !s.testing() || m.Style == StyleWords {
			p = -1
		}
	}
	if p < 0 {
		return ""
	}
	s.note(p, k)
	return s.c.properties[p].name
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
	if m.Range {
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
