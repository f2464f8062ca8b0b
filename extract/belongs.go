package extract

import "saywatt/schema"

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
