package extract

import "saywatt/schema"

// belongs returns the subject that the mention is told of, -1 for none.
func (s *placer) belongs(m *Mention, phys schema.Kind, c *Context) int32 {
	if c.Property == "lead_length" {
		c.Property = "length"
		return s.specialSubject(3, int(m.First), int(m.First))
	}
	if c.Property == "mass" && c.Named && s.testing() && c.Spot == "cell" { // "the cells alone weigh 282 grams, 47 each"
		if i := s.skipBreak(int(m.Last)); i < len(s.tokens) && s.tokens[i].Word == s.c.each {
			return s.specialSubject(0, int(m.First), int(m.First))
		}
		return s.specialSubject(1, int(m.First), int(m.First))
	}
	if s.d.Product.Kind == "cable" && c.Named && s.section != SectionTeardown {
		switch c.Property {
		case "length", "diameter", "width", "mass", "resistance", "data_rate":
			if c.Property == "width" {
				c.Property = "diameter"
			}
			return s.specialSubject(3, int(m.First), int(m.First))
		}
	}
	if s.cableProduct() && s.section != SectionTeardown && (phys == schema.KindGauge || phys == schema.KindDataRate) {
		if !c.Named {
			c.Property = s.c.kinds[s.c.kindID("cable")].ratings[phys]
		}
		return s.specialSubject(3, int(m.First), int(m.First))
	}
	if s.cableProduct() && !s.testing() && s.section != SectionTeardown && (m.HasUnit() || c.Named) {
		if p := s.c.kinds[s.c.kindID("cable")].ratings[phys]; p != "" && m.Group < 0 && (!c.Named || c.Property == p) {
			return s.specialSubject(3, int(m.First), int(m.First))
		}
	}
	switch s.section {
	case SectionTeardown:
		if c.Named {
			if j := s.ofCell(c.Property); j >= 0 {
				if j != s.subject && s.kind >= 0 {
					c.Spot = s.kindName() // where the chip that guards the cells acts
				}
				return j
			}
		}
		if s.subject < 0 {
			if s.cableProduct() && phys == schema.KindLength && (!c.Named || c.Property == "conductor_diameter") {
				if c.Property = s.insideCable(m); c.Property != "" {
					return s.specialSubject(3, int(m.First), int(m.First))
				}
			}
			if phys == schema.KindFrequency && s.kind >= 0 && s.c.kinds[s.kind].ratings[phys] == "" && c.Named {
				c.Spot = s.kindName() // what it runs at, no rating of it
			}
			return -1
		}
		if s.kindName() == "cell" {
			if j, p := s.ofPack(m, phys); j >= 0 {
				c.Property = p
				return j
			}
		}
		if phys == schema.KindUnknown || s.c.kinds[s.kind].ratings[phys] != "" {
			return s.subject
		}
	case SectionBattery:
		if s.battery < 0 && (phys == schema.KindCharge || phys == schema.KindEnergy || phys == schema.KindVoltage) {
			s.batterySide(s.c.kindID("pack"))
		}
		if s.kindName() == "cell" {
			if j, p := s.ofPack(m, phys); j >= 0 {
				c.Property = p
				return j
			}
		}
		if s.subject >= 0 && (phys == schema.KindUnknown || s.c.kinds[s.kind].ratings[phys] != "") {
			return s.subject
		}
	case SectionCable:
		k := s.c.kindID("cable")
		if phys == schema.KindUnknown || s.c.kinds[k].ratings[phys] != "" {
			return s.specialSubject(3, int(m.First), int(m.First))
		}
	}
	return -1
}

// insideCable names a length told of an opened cable: the thickness of a
// layer named before it, or the diameter of the conductor whose gauge was told.
func (s *placer) insideCable(m *Mention) string {
	for i, n := s.backOne(int(m.First)), 0; i >= s.start && n < totalReach; i, n = s.backOne(i), n+1 {
		if s.guarded(i, guardLayer) {
			return "thickness"
		}
	}
	if k := s.next - 2; k >= 0 && m.Joint != JointNone && s.d.Mentions[k].HasUnit() && s.d.Mentions[k].Unit.Unit.Kind() == schema.KindGauge {
		return "conductor_diameter"
	}
	if s.after(m, schema.KindLength) >= 0 {
		return "conductor_diameter"
	}
	return ""
}

// cableProduct reports whether a cable is the product told of.
func (s *placer) cableProduct() bool { return s.d.Product.Kind == "cable" }

// mainsInput sets the mains as the port of an input that tells of a mains
// voltage.
func (s *placer) mainsInput(m *Mention, phys schema.Kind) {
	if s.direction != "input" || s.section != SectionInput {
		return
	}
	if phys == schema.KindVoltage && m.High.Float() >= 85 && m.Unit.Unit == "V" && s.portClause != s.clause {
		s.acInput, s.port = true, "AC"
		if s.product == "battery" {
			s.product = "" // what the wall gives is not told of the battery
		}
	}
}

// protocolGoesOn reports whether a protocol named in an earlier sentence still
// holds: "PPS is 3.3 to 11 volts. And a second one, 3.3 to 21 volts".
func (s *placer) protocolGoesOn(phys schema.Kind) bool {
	if s.start >= len(s.tokens) {
		return false
	}
	for k := s.start; k < len(s.tokens) && k < s.start+5; k++ {
		if s.next-1 < len(s.d.Mentions) && k >= int(s.d.Mentions[s.next-1].First) {
			break
		}
		if s.guarded(k, guardGoesOn) {
			return true
		}
	}
	return false
}

// kindOf returns the row of the subject's kind.
func (s *placer) kindOf(subject int32) int32 {
	if subject == s.subject {
		return s.kind
	}
	return s.c.kindID(s.d.Subjects[subject].Kind)
}
