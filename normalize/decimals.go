package normalize

import (
	"strconv"
	"sync"

	"saywatt/schema"
)

// formShare weighs values said with a decimal point against whole ones in a
// unit, relative to all units: factors for the density of the prior.
type formShare struct{ with, without float64 }

// decimals are the shares of the units that were counted, from decimals.tsv, smoothed
// with two imagined values at the overall share.
type decimals map[schema.Unit]formShare

var loadDecimals = sync.OnceValue(func() decimals {
	shares := decimals{}
	overall := 0.0
	for _, r := range schema.MustReadTable(tables, "tables/decimals.tsv").Rows {
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		with, err2 := strconv.ParseFloat(r.Get("with"), 64)
		if err1 != nil || err2 != nil {
			panic("decimals.tsv: counts of " + r.Get("unit"))
		}
		if overall == 0 { // the first row is *
			overall = with / n
			continue
		}
		share := (with + 2*overall) / (n + 2)
		shares[schema.Unit(r.Get("unit"))] = formShare{share / overall, (1 - share) / (1 - overall)}
	}
	return shares
})

// form returns the factor for a number said in the unit: with a point or
// without.
func (s decimals) form(u schema.Unit, decimal bool) float64 {
	f, ok := s[u]
	switch {
	case !ok:
		return 1
	case decimal:
		return f.with
	}
	return f.without
}
