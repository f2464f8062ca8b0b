package normalize

import (
	"slices"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// Where a number stands says what unit it has when none was said: a power of the
// product is in watts, a charge time in minutes. How often each unit is that of a
// place is counted on marked narrations (placeunits.tsv), and the places that a
// number may have come with their probabilities.

// eachPlace calls see with the classes that a mention may be of, and how likely.
func eachPlace(m *extract.Mention, see func(place.Class, float64)) {
	if len(m.Places) == 0 {
		see(m.Context.Class, 1)
	}
	for k := range m.Places {
		see(m.Places[k].Context.Class, m.Places[k].P)
	}
}

// placeUnits enters the units that a bare number has in the places that it may have,
// but those of one kind.
func (e *engine) placeUnits(m *extract.Mention, not schema.Kind) {
	eachPlace(m, func(c place.Class, p float64) {
		for _, u := range prior.UnitsIn(c) {
			if odds := p * u.Bare; odds >= e.weights.PlaceUnit && u.Unit.Kind() != not {
				e.bareOption(sourcePlace, u.Unit, odds)
			}
		}
	})
	if m.Low.Coef < 0 || m.High.Coef < 0 { // of what is said in a review, temperatures alone go below zero
		e.bareOption(sourceSign, "Cel", 1)
	}
}

// prefixed lists the units with a prefix in the places that a mention may have, each
// with its share among them.
func (e *engine) prefixed(m *extract.Mention, prefix byte) []prior.UnitShare {
	var out []prior.UnitShare
	sum := 0.0
	eachPlace(m, func(c place.Class, p float64) {
		for _, u := range prior.UnitsIn(c) {
			if !withPrefix(u.Unit, prefix) || p*u.All == 0 {
				continue
			}
			sum += p * u.All
			if k := slices.IndexFunc(out, func(o prior.UnitShare) bool { return o.Unit == u.Unit }); k >= 0 {
				out[k].All += p * u.All
			} else {
				out = append(out, prior.UnitShare{Unit: u.Unit, All: p * u.All})
			}
		}
	})
	for k := range out {
		out[k].All /= sum
	}
	return out
}

// withPrefix reports whether a unit has a prefix of the SI.
func withPrefix(u schema.Unit, prefix byte) bool {
	if len(u) < 2 || u[0] != prefix {
		return false
	}
	_, ok := u[1:].Info()
	return ok
}

// loneUnits enters the units that stand without a number near the mentions first to i,
// or before the first of their group, with no other quantity between.
func (e *engine) loneUnits(first, i int32) {
	m := e.mention(first)
	if m.Group >= 0 {
		first = m.Group
		m = e.mention(first)
	}
	enter := func(u schema.Unit) { e.bareOption(sourceLone, degrees(u), e.weights.LoneUnit) }
	from := max(0, m.First-e.reach.loneBefore)
	if first > 0 {
		from = max(from, e.mention(first-1).Last)
	}
	e.doc.PlainUnits(from, m.First, enter)
	m = e.mention(i)
	to := min(int32(len(e.doc.Tokens)), m.Last+e.reach.loneBehind)
	if int(i)+1 < len(e.doc.Mentions) {
		to = min(to, e.mention(i+1).First)
	}
	e.doc.PlainUnits(m.Last, to, enter)
}
