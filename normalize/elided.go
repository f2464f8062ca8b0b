package normalize

import (
	"saywatt/extract"
	"saywatt/schema"
)

// subUnit returns the unit of a bare number right behind a whole number of a
// larger one: minutes in "one hour 48".
func (e *engine) subUnit(first int32, m *extract.Mention) schema.Unit {
	if first == 0 {
		return ""
	}
	b := e.mention(first - 1)
	if !m.GoesOn(b, e.mention(first).Joint) {
		return ""
	}
	small, factor := e.doc.Lexicon.Smaller(b.Unit.Unit)
	if m.High.Float() >= float64(factor) {
		return ""
	}
	return small
}

// sideUnit returns the unit of a bare number that a word calls a side of a
// body, of the length said before: "29 centimetres long, 19 deep".
func (e *engine) sideUnit(first int32, m *extract.Mention) schema.Unit {
	if m.Link&extract.LinkSide == 0 {
		return ""
	}
	for k := first - 1; k >= 0 && k >= first-e.reach.side; k-- {
		if b := e.mention(k); b.From == extract.UnitOwn && b.Unit.Unit.Kind() == schema.KindLength {
			return b.Unit.Unit
		}
	}
	for k := first + 1; int(k) < len(e.doc.Mentions) && k <= first+e.reach.side; k++ {
		if b := e.mention(k); b.From == extract.UnitOwn && b.Unit.Unit.Kind() == schema.KindLength {
			return b.Unit.Unit
		}
	}
	return ""
}

// mostCounted is the number up to which a bare one is likelier a count: a dozen.
const mostCounted = 12

// small reports whether a bare number is one of those that count things.
func (e *engine) small(m *extract.Mention) bool { return m.Low.Exp == 0 && m.Low.Coef <= mostCounted }

// unitBefore returns the unit said last before a bare number, and how likely
// the number has it: where it is added to another, or where nothing else says so
// what it counts ("my old one had 134").
func (e *engine) unitBefore(first, i int32) (schema.Unit, float64) {
	m := e.mention(i)
	if m.Not != extract.NotNothing || m.From != extract.UnitNone || m.Group >= 0 {
		return "", 0
	}
	next := i + 1
	sum := e.mention(first).Joint == extract.JointPlus || int(next) < len(e.doc.Mentions) &&
		e.mention(next).Joint == extract.JointPlus
	if !sum && (e.small(m) || e.counts(m)) {
		return "", 0
	}
	for k := first - 1; k >= 0 && e.mention(first).First-e.mention(k).Last <= e.reach.sumUnit; k-- {
		b := e.mention(k)
		switch {
		case b.From != extract.UnitOwn:
		case sum && b.Unit.Unit.Kind() == schema.KindPower:
			return b.Unit.Unit, e.weights.NeighbourUnit
		case sum:
		case e.mention(first).First-b.Last <= e.reach.sameUnit && b.Unit.Manner != extract.MannerHeard:
			return b.Unit.Unit, e.weights.UnitBefore
		default:
			return "", 0
		}
	}
	return "", 0
}
