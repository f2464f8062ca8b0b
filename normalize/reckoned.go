package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/schema"
)

// reckoned returns the unit of a bare number that is what the two quantities
// before it make: volts times amps are watts ("9 volts and 2.24 amps, that is
// 20.2"), and of two powers or energies the share in percent.
func (e *engine) reckoned(first int32, m *extract.Mention) schema.Unit {
	b := e.bestBefore(first)
	if b == nil || b.nothing || b.isRange {
		return ""
	}
	k := b.firstMention
	a := e.bestBefore(k)
	if a == nil || a.nothing || a.isRange {
		return ""
	}
	reach := e.reach.reckoned
	if m.First-e.mention(first-1).Last > reach || e.mention(k).First-e.mention(k-1).Last > reach {
		return ""
	}
	v := m.High.Float()
	near := func(x float64) bool { return loadBounds().reckons(v, x) }
	switch x, y := a.kind, b.kind; {
	case x == schema.KindVoltage && y == schema.KindCurrent, x == schema.KindCurrent && y == schema.KindVoltage:
		if near(a.si * b.si) {
			return "W"
		}
	case x == y && (x == schema.KindPower || x == schema.KindEnergy):
		if near(100*a.si/b.si) && a.si < b.si || near(100*b.si/a.si) && b.si < a.si {
			return "%"
		}
	}
	return ""
}

// reckons reports whether v was said for x, that two quantities make.
func (b *bounds) reckons(v, x float64) bool { return x > 0 && math.Abs(v/x-1) <= b.reckonedSlack }
