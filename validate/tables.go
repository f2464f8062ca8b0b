package validate

import (
	"embed"
	"strconv"
	"strings"
	"sync"

	"saywatt/schema"
)

// tables are the tables of this package. Every one has the columns "source" and
// "standing", except weights.tsv, whose numbers are judgements of ours, each
// with its reason.
//
//go:embed tables/*.tsv
var tables embed.FS

// ground is what a table row rests on.
type ground struct {
	source   string
	standing Standing
}

func groundOf(r schema.Row) ground {
	g := ground{r.Get("source"), parseStanding(r.Get("standing"))}
	if g.standing == StandingUnknown {
		panic("standing in line " + strconv.Itoa(r.Line) + ": " + r.Get("standing"))
	}
	return g
}

// floats reads a cell of numbers between bars, scaled to SI by the unit.
func floats(r schema.Row, column string, unit schema.Unit) []float64 {
	var xs []float64
	for _, s := range r.List(column) {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic(column + " in line " + strconv.Itoa(r.Line) + ": " + err.Error())
		}
		xs = append(xs, x*unit.Scale())
	}
	return xs
}

// limitTable is limits.tsv: single named numbers. Each field is loaded by the
// name beside it, so that a rule reads a number by a name that the compiler
// checks.
type limitTable struct {
	span                              float64
	labelVolt, labelPower, labelWhole float64
	labelTenth, measuredPower, hedge  float64
	rows                              map[string]limitRow
}

// limitRow is a row of limits.tsv.
type limitRow struct {
	low, high float64 // in SI units
	ground
}

var limits = sync.OnceValue(func() *limitTable {
	t := &limitTable{rows: map[string]limitRow{}}
	for _, r := range schema.MustReadTable(tables, "tables/limits.tsv").Rows {
		q, err := schema.ParseQuantity(strings.TrimSpace(r.Get("value")))
		if err != nil {
			panic("limits.tsv line " + strconv.Itoa(r.Line) + ": " + err.Error())
		}
		t.rows[r.Get("name")] = limitRow{q.LowSI(), q.SI(), groundOf(r)}
	}
	for name, f := range map[string]*float64{
		"evidence.span":        &t.span,
		"label.voltage":        &t.labelVolt,
		"label.power":          &t.labelPower,
		"label.rounding.whole": &t.labelWhole,
		"label.rounding.tenth": &t.labelTenth,
		"measured.power":       &t.measuredPower,
		"hedge.about":          &t.hedge,
	} {
		*f = t.must(name).high
	}
	return t
})

// must gives a row by name and panics on a name that the table lacks.
func (t *limitTable) must(name string) limitRow {
	l, ok := t.rows[name]
	if !ok {
		panic("limits.tsv has no row " + name)
	}
	return l
}

// limitOf gives a row of limits.tsv. Rules bind the rows they need once, in a
// sync.OnceValue of their own.
func limitOf(name string) limitRow { return limits().must(name) }
