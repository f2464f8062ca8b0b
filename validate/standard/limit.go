package standard

import (
	"strconv"
	"strings"
	"sync"

	"saywatt/schema"
)

// Limit is a row of limits.tsv or bounds.tsv.
type Limit struct {
	Low, High float64 // in SI units, equal for a single value
	Ground
}

// LimitOf gives a row of limits.tsv, and panics on a name that the table lacks.
// Rules bind the rows they need once, in a sync.OnceValue of their own.
func LimitOf(name string) Limit {
	row, ok := limitRows()[name]
	if !ok {
		panic("limits.tsv has no row " + name)
	}
	return row
}

// Bound gives a row of bounds.tsv by name, read once at its first use, which
// panics on a name that the table lacks.
func Bound(name string) func() Limit {
	return sync.OnceValue(func() Limit {
		row, ok := boundRows()[name]
		if !ok {
			panic("bounds.tsv has no row " + name)
		}
		return row
	})
}

// Exact gives a number of limits.tsv or bounds.tsv as the exact quantity that
// stands there, and panics on a name that neither has.
func Exact(name string) schema.Quantity {
	q, ok := exactRows()[name]
	if !ok {
		panic("limits.tsv and bounds.tsv have no row " + name)
	}
	return q
}

// limitRows is limits.tsv in SI units.
var limitRows = sync.OnceValue(func() map[string]Limit {
	rows := map[string]Limit{}
	for _, r := range schema.MustReadTable(tables, limitsFile).Rows {
		rows[r.Get("name")], _ = readLimit(r)
	}
	return rows
})

// boundRows is bounds.tsv in SI units.
var boundRows = sync.OnceValue(func() map[string]Limit {
	rows := map[string]Limit{}
	for _, r := range schema.MustReadTable(tables, boundsFile).Rows {
		row, unit := readLimit(r)
		if _, listed := unit.Info(); !listed && unit != "" {
			u, err := schema.ParseUnit(string(unit))
			if err != nil {
				panic("bounds.tsv line " + strconv.Itoa(r.Line) + ": " + err.Error())
			}
			row.Low, row.High = row.Low*u.Scale, row.High*u.Scale
		}
		rows[r.Get("name")] = row
	}
	return rows
})

// readLimit reads a row, in SI units where the unit is a listed one.
func readLimit(r schema.Row) (Limit, schema.Unit) {
	q, err := schema.ParseQuantity(strings.TrimSpace(r.Get("value")))
	if err != nil {
		panic(r.Get("name") + " in line " + strconv.Itoa(r.Line) + ": " + err.Error())
	}
	return Limit{q.LowSI(), q.SI(), GroundOf(r)}, q.Unit
}

// exactRows is limits.tsv and bounds.tsv as they are written.
var exactRows = sync.OnceValue(func() map[string]schema.Quantity {
	rows := map[string]schema.Quantity{}
	for _, file := range []string{limitsFile, boundsFile} {
		for _, r := range schema.MustReadTable(tables, file).Rows {
			rows[r.Get("name")] = schema.MustQuantity(r.Get("value"))
		}
	}
	return rows
})

const limitsFile, boundsFile = "tables/limits.tsv", "tables/bounds.tsv"
