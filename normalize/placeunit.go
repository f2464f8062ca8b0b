package normalize

import (
	"fmt"
	"slices"
	"strconv"
	"sync"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/schema"
)

// Where a number stands says what unit it has when none was said: a power of the
// product is in watts, a charge time in minutes. How often each unit is that of a
// place is counted on marked narrations (placeunits.tsv), and the places that a
// number may have come with their probabilities.

// placeUnit is a unit of a class of places.
type placeUnit struct {
	unit  schema.Unit
	share float64 // of the numbers of the class that were said without a unit
	all   float64 // of all its numbers
}

// loadPlaceUnits lists the units of each class, in table order.
var loadPlaceUnits = sync.OnceValue(func() [][]placeUnit {
	units := make([][]placeUnit, place.Classes())
	counts := make([][2]float64, place.Classes())
	rows := schema.MustReadTable(tables, "tables/placeunits.tsv").Rows
	parse := func(r schema.Row) (place.Class, float64, float64) {
		c, ok := place.ParseClass(r.Get("class"))
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		bare, err2 := strconv.ParseFloat(r.Get("bare"), 64)
		if _, known := schema.Unit(r.Get("unit")).Info(); !ok || !known || err1 != nil || err2 != nil {
			panic(fmt.Sprintf("placeunits.tsv:%d: class %q, unit %q, n %q or bare %q", r.Line, r.Get("class"),
				r.Get("unit"), r.Get("n"), r.Get("bare")))
		}
		return c, n, bare
	}
	for _, r := range rows {
		c, n, bare := parse(r)
		counts[c][0] += n
		counts[c][1] += bare
	}
	for _, r := range rows {
		c, n, bare := parse(r)
		units[c] = append(units[c], placeUnit{schema.Unit(r.Get("unit")), (bare + n/counts[c][0]) / (counts[c][1] + 1),
			n / counts[c][0]})
	}
	return units
})

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
		for _, u := range loadPlaceUnits()[c] {
			if odds := p * u.share; odds >= e.weights.PlaceUnit && u.unit.Kind() != not {
				e.bareOption(sourcePlace, u.unit, odds)
			}
		}
	})
	if m.Low.Coef < 0 || m.High.Coef < 0 { // of what is said in a review, temperatures alone go below zero
		e.bareOption(sourceSign, "Cel", 1)
	}
}

// prefixed lists the units with a prefix in the places that a mention may have, each
// with its share among them.
func (e *engine) prefixed(m *extract.Mention, prefix byte) []placeUnit {
	var out []placeUnit
	sum := 0.0
	eachPlace(m, func(c place.Class, p float64) {
		for _, u := range loadPlaceUnits()[c] {
			if !withPrefix(u.unit, prefix) || p*u.all == 0 {
				continue
			}
			sum += p * u.all
			if k := slices.IndexFunc(out, func(o placeUnit) bool { return o.unit == u.unit }); k >= 0 {
				out[k].share += p * u.all
			} else {
				out = append(out, placeUnit{unit: u.unit, share: p * u.all})
			}
		}
	})
	for k := range out {
		out[k].share /= sum
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
