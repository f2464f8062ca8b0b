package validate

import (
	"embed"
	"strconv"
	"sync"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// tables are the tables of this package. Every one has the columns "source" and
// "standing", except weights.tsv, whose numbers are judgements of ours, each
// with its reason.
//
//go:embed tables/*.tsv
var tables embed.FS

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

// tolerances are the numbers of limits.tsv that rules of many subjects share. Each field
// is loaded by the name beside it, so that a rule reads a number by a name that the
// compiler checks.
type tolerances struct {
	span                              float64
	labelVolt, labelPower, labelWhole float64
	labelTenth, measuredPower, hedge  float64
}

var limits = sync.OnceValue(func() *tolerances {
	t := &tolerances{}
	for name, f := range map[string]*float64{
		"evidence.span":        &t.span,
		"label.voltage":        &t.labelVolt,
		"label.power":          &t.labelPower,
		"label.rounding.whole": &t.labelWhole,
		"label.rounding.tenth": &t.labelTenth,
		"measured.power":       &t.measuredPower,
		"hedge.about":          &t.hedge,
	} {
		*f = standard.LimitOf(name).High
	}
	return t
})
