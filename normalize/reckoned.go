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
	switch {
	case loadRelations().product[a.kind][b.kind] == schema.KindPower:
		if near(a.si * b.si) {
			return "W"
		}
	case a.kind == b.kind && (a.kind == schema.KindPower || a.kind == schema.KindEnergy):
		if near(100*a.si/b.si) && a.si < b.si || near(100*b.si/a.si) && b.si < a.si {
			return "%"
		}
	}
	return ""
}

// multiplied is the product of the two quantities before node k, where they stand near it
// and each other; KindUnknown where there is none.
func (e *engine) multiplied(k int) (schema.Kind, float64) {
	if k < 2 {
		return schema.KindUnknown, 0
	}
	first, second, n := &e.nodes[k-2], &e.nodes[k-1], &e.nodes[k]
	a, b := e.scored(first), e.scored(second)
	if a == nil || b == nil || a.nothing || b.nothing || a.isRange || b.isRange ||
		e.mention(n.first).First-e.mention(second.last-1).Last > e.reach.reckoned ||
		e.mention(second.first).First-e.mention(first.last-1).Last > e.reach.reckoned {
		return schema.KindUnknown, 0
	}
	return loadRelations().product[a.kind][b.kind], a.si * b.si
}

// reckons reports whether v was said for x, that two quantities make.
func (b *bounds) reckons(v, x float64) bool { return x > 0 && math.Abs(v/x-1) <= b.reckonedSlack }

// markProduct marks the readings of node k that are the product of the two quantities
// before it: however seldom captions do what they take for done, they stay to be weighed
// against the relation. "51.2 volts, 40 amp hours, 2,048 watts" are watt hours.
func (e *engine) markProduct(k int) {
	kind, si := e.multiplied(k)
	if kind == schema.KindUnknown {
		return
	}
	n := &e.nodes[k]
	for i := n.from; i < n.to; i++ {
		c := &e.cands[i]
		c.product = c.kind == kind && !c.isRange && !c.nothing && loadBounds().reckons(c.si, si)
	}
}
