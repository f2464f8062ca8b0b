package assemble

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/schema"
)

// boundCase is a number right on either side of a row of bounds.tsv.
type boundCase struct {
	bound    string
	not, yes float64
	passes   func(p float64) bool
}

// TestBoundsHeld: of each row of bounds.tsv the last number beyond it does not pass and
// the first within it does. With another number, a tenth or one more or less, a case
// of the row fails.
func TestBoundsHeld(t *testing.T) {
	b := loadBounds()
	term := extract.Term{Meant: "a", Others: strings.Fields("b c d e f g h i j")}
	cases := []boundCase{
		{"level_slack", 0.052, 0.048, func(p float64) bool { return b.givesPower(100, 100*(1+p)) }},
		{"level_slack", 0.052, 0.048, func(p float64) bool { return b.givesPower(100, 100*(1-p)) }},
		{"load_slack", 0.125, 0.115, func(p float64) bool { return staysAtLoad(20, 20*(1+p)) }},
		{"mains_floor", 89.5, 90, func(p float64) bool {
			in := func(volts string) *schema.Record {
				return &schema.Record{Levels: []schema.Level{{Mode: "input",
					Voltage: schema.Value{Quantity: schema.MustQuantity(volts + " V")}}}}
			}
			return len(cautions(in(strconv.FormatFloat(p, 'f', -1, 64)))) > len(cautions(in("5")))
		}},
		{"term_readings", 6, 5, func(p float64) bool { return len(termReadings(&term, &termGround{})) >= int(p) }},
	}
	for _, c := range cases {
		if not, yes := c.passes(c.not), c.passes(c.yes); not || !yes {
			t.Errorf("%s: %v passes: %t; %v passes: %t; want only the second", c.bound, c.not, not, c.yes, yes)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/bounds.tsv").Rows {
		field := b.fields()[r.Get("bound")]
		n, by := *field, *field/10
		if n == float64(int(n)) {
			by = 1
		}
		for _, *field = range []float64{n - by, n + by} {
			if !slices.ContainsFunc(cases, func(c boundCase) bool {
				return c.bound == r.Get("bound") && (c.passes(c.not) || !c.passes(c.yes))
			}) {
				t.Errorf("bounds.tsv:%d: no case of TestBoundsHeld fails where %s is %v", r.Line,
					r.Get("bound"), *field)
			}
		}
		*field = n
	}
}

// staysAtLoad reports whether an output is taken for that of a load, where another has
// just its voltage.
func staysAtLoad(load, output float64) bool {
	volts := func(v float64) schema.Quantity {
		return schema.MustQuantity(strconv.FormatFloat(v, 'f', 6, 64) + " V")
	}
	f := &filler{rec: &schema.Record{Quantities: []schema.Said{{Quantity: volts(output)}}}}
	last := &schema.Value{Quantity: volts(load)}
	f.condition.Voltage = last
	f.loads = append(f.loads, f.condition, f.condition)
	f.loads[0].Voltage = &schema.Value{Quantity: volts(output)}
	f.nearestLoad(0)
	return f.condition.Voltage == last
}
