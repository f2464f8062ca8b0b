package validate

import (
	"math"
	"strconv"
	"sync"

	"saywatt/schema"
)

// floorRow is a row of efficiency_floors.tsv.
type floorRow struct {
	kind                  string
	over, upto            float64 // W
	log, linear, constant float64
	noload                float64 // W
	ground
}

var floorRows = sync.OnceValue(func() []floorRow {
	var rows []floorRow
	for _, r := range schema.MustReadTable(tables, "tables/efficiency_floors.tsv").Rows {
		f := floorRow{r.Get("kind"), mustFloat(r, "over"), math.Inf(1), mustFloat(r, "log"), mustFloat(r, "linear"),
			mustFloat(r, "constant"), mustFloat(r, "noload"), groundOf(r)}
		if upto, err := strconv.ParseFloat(r.Get("upto"), 64); err == nil {
			f.upto = upto
		}
		rows = append(rows, f)
	}
	return rows
})

// floor is the least average efficiency at w watts.
func (f *floorRow) floor(w float64) float64 { return f.log*math.Log(w) + f.linear*w + f.constant }

// floorFor is the row of a supply of w watts, by whether it has several outputs.
func floorFor(several bool, w float64) *floorRow {
	kind := "ac-dc"
	if several {
		kind = "multiple"
	}
	for i := range floorRows() {
		if f := &floorRows()[i]; f.kind == kind && w > f.over && w <= f.upto {
			return f
		}
	}
	return nil
}

// ruleEfficiencyFloor holds readings against the law on external power supplies.
var ruleEfficiencyFloor = &Rule{
	Name: "efficiency-floor",
	Doc:  "a mains supply is as efficient as the law asks",
	Detail: "0.071 ln P − 0.0014 P + 0.67 up to 49 W and 88 % above, with other numbers for several outputs. " +
		"The law asks for the mean at " +
		"25, 50, 75 and 100 % of the rated current and a review mostly reads one load, so this only notes. " +
		"Products with a battery and wireless " +
		"ones are not looked at.",
	Source:   "Regulation (EU) 2019/1782 Annex II (R28); 65 W: 88 %, 20 W: 85.5 % (handbook 11.4 W81, W82)",
	Standing: StandingVerified,
	Severity: schema.SeverityNote,
	Relates:  []string{"measurement.efficiency", "claim.power", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		mains := mainsVoltages(r)
		if r.Battery != nil || len(mains) == 0 {
			return
		}
		var powers []int
		outputPowers(r, "", func(k int, _ *schema.Claim) bool {
			powers = append(powers, k)
			return true
		})
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "efficiency" || m.Condition != nil && isWireless(m.Condition.Port, m.Condition.Protocol) {
				continue
			}
			for _, k := range powers {
				if !yield(Case{Label: "efficiency", Extra: len(r.Ports) > 1, Args: []Arg{arg(&m.Value,
					measurementPath(i)), arg(&r.Claims[k].Value, claimPath(k))}}) {
					return
				}
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		got, ok1 := one(&q[0], schema.KindRatio)
		w, ok2 := one(&q[1], schema.KindPower)
		if !ok1 || !ok2 {
			return none
		}
		row := floorFor(c.Extra.(bool), w)
		if row == nil {
			return none
		}
		if floor := row.floor(w); got < floor*(1-gridError) {
			return odd(0, got, floor).on(row.source, row.standing)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is below the " + amount(j.Limit,
			"%") + " that the law asks of a supply of " + q[1].String() + " on the average of its loads"
	},
}
