package prior

import (
	"fmt"
	"strconv"
	"sync"

	"saywatt/extract/place"
	"saywatt/schema"
)

// UnitShare is a unit of a class of places.
type UnitShare struct {
	Unit schema.Unit
	Bare float64 // share among the numbers of the class that were said without a unit
	All  float64 // share among all its numbers
}

// UnitsIn lists the units of a class of places, in table order: a power of the product
// is in watts, a charge time in minutes.
func UnitsIn(c place.Class) []UnitShare { return loadUnits()[c] }

// loadUnits lists the units of each class.
var loadUnits = sync.OnceValue(func() [][]UnitShare {
	units := make([][]UnitShare, place.Classes())
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
		units[c] = append(units[c], UnitShare{schema.Unit(r.Get("unit")), (bare + n/counts[c][0]) / (counts[c][1] + 1),
			n / counts[c][0]})
	}
	return units
})
