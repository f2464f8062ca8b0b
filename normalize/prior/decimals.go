package prior

import (
	"strconv"

	"saywatt/schema"
)

// form weighs values said with a decimal point against whole ones in a
// unit, relative to all units: factors for the density of the prior.
type form struct{ with, without float64 }

// readForms reads decimals.tsv, smoothed with two imagined values at the
// overall share.
func readForms() map[schema.Unit]form {
	forms := map[schema.Unit]form{}
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
		forms[schema.Unit(r.Get("unit"))] = form{share / overall, (1 - share) / (1 - overall)}
	}
	return forms
}

// Form returns the factor for a number said in the unit, with a decimal point or
// without: above 1 where that is commoner than in all units together.
func (t *Table) Form(u schema.Unit, decimal bool) float64 {
	f, ok := t.forms[u]
	switch {
	case !ok:
		return 1
	case decimal:
		return f.with
	}
	return f.without
}
