package validate

import (
	"math"
	"slices"
	"strconv"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// floorRow is a row of efficiency_floors.tsv.
type floorRow struct {
	law, kind             string
	over, upto            float64 // W
	log, linear, constant float64
	noload                float64 // W
	standard.Ground
}

var floorRows = sync.OnceValue(func() []floorRow {
	var rows []floorRow
	for _, r := range standard.EfficiencyFloors().Rows {
		f := floorRow{r.Get("law"), r.Get("kind"), mustFloat(r, "over"), math.Inf(1), mustFloat(r, "log"), mustFloat(r,
			"linear"),
			mustFloat(r, "constant"), mustFloat(r, "noload"), standard.GroundOf(r)}
		if upto, err := strconv.ParseFloat(r.Get("upto"), 64); err == nil {
			f.upto = upto
		}
		rows = append(rows, f)
	}
	return rows
})

// floor is the least average efficiency at w watts.
func (f *floorRow) floor(w float64) float64 { return f.log*math.Log(w) + f.linear*w + f.constant }

// floorFor is the row of a law for a supply of w watts, by whether it has several
// outputs; nil where the law has none.
func floorFor(law string, several bool, w float64) *floorRow {
	kind := "ac-dc"
	if several {
		kind = "multiple"
	}
	for i := range floorRows() {
		if f := &floorRows()[i]; f.law == law && f.kind == kind && w > f.over && w <= f.upto {
			return f
		}
	}
	return nil
}

// supplyReadings finds the readings of some properties of a mains supply, each
// with the power of its whole output. Extra is whether it has several outputs.
// Products with a battery, and wireless ones, are under other laws.
func supplyReadings(r *schema.Record, yield func(Case) bool, properties ...string) {
	if r.Battery != nil || len(mainsVoltages(r)) == 0 {
		return
	}
	var powers []int
	outputPowers(r, "", func(k int, _ *schema.Claim) bool {
		powers = append(powers, k)
		return true
	})
	for i := range r.Measurements {
		m := &r.Measurements[i]
		if !slices.Contains(properties, m.Property) ||
			m.Condition != nil && isWireless(m.Condition.Port, m.Condition.Protocol) {
			continue
		}
		for _, k := range powers {
			if !yield(Case{Label: measureLabel(m), Extra: len(r.Ports) > 1, Args: []Arg{arg(&m.Value,
				place.Measurement(i)), arg(&r.Claims[k].Value, place.Claim(k))}}) {
				return
			}
		}
	}
}

// readingsOfSupply finds the efficiencies and powers without load.
func readingsOfSupply(r *schema.Record, yield func(Case) bool) {
	supplyReadings(r, yield, "efficiency", "no_load_power")
}

// ruleEfficiencyFloor holds readings against the law on external power supplies.
var ruleEfficiencyFloor = &Rule{
	Name: "efficiency-floor",
	Doc:  "a mains supply is as efficient as the law asks",
	Detail: "0.071 ln P − 0.0014 P + 0.67 up to 49 W and 88 % above, with other numbers for several outputs. The " +
		"law asks for the mean at 25, 50, 75 and 100 % of the rated current and a review mostly reads one load, so " +
		"this only notes. Products with a battery and wireless ones are not looked at.",
	Source:   "Regulation (EU) 2019/1782 Annex II (R28); 65 W: 88 %, 20 W: 85.5 % (handbook 11.4 W81, W82)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"measurement.efficiency", "claim.power", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		supplyReadings(r, yield, "efficiency")
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		got, w, ok := two(q, schema.KindRatio, schema.KindPower)
		if !ok {
			return none
		}
		row := floorFor(standard.LawEU, c.Extra.(bool), w)
		if row == nil {
			return none
		}
		if floor := row.floor(w); got < floor*(1-gridError) {
			return odd(0, got, floor).on(row.Source, row.Standing)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is below the " + amount(j.Limit,
			"%") + " that the law asks of a supply of " + q[1].String() + " on the average of its loads"
	},
}

// ruleConduct holds readings against what makers sign of their own will.
var ruleConduct = &Rule{
	Name: "code-of-conduct",
	Doc:  "notes a mains supply that keeps the law and not tier 2 of the EU Code of Conduct",
	Detail: "Tier 2 asks for 89 % on the average above 49 W (88 % below 6 V), for a little more than the law " +
		"below, and for no more than 75 mW without load, 150 mW above 49 W. Makers sign it of their own will, so a " +
		"reading between the two only says what the supply may not be sold with. What misses the law is left to " +
		"the rules on the law; supplies with several outputs have no tier 2.",
	Source: "EU Code of Conduct on external power supplies version 5, tier 2; above 49 W by a maker's account of " +
		"60 W (R28b), the rest unverified",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"measurement.efficiency", "measurement.no_load_power", "claim.power", "level.voltage"},
	Find:     readingsOfSupply,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[1], schema.KindPower)
		law, row := floorFor(standard.LawEU, c.Extra.(bool), w), floorFor(standard.LawConduct, c.Extra.(bool), w)
		if !ok || law == nil || row == nil {
			return none
		}
		if idle, ok := one(&q[0], schema.KindPower); ok {
			if idle > row.noload*(1+gridError) && idle <= law.noload*(1+gridError) {
				return odd(causeIdle, idle, row.noload)
			}
			return fits()
		}
		got, ok := one(&q[0], schema.KindRatio)
		if !ok {
			return none
		}
		if floor := row.floor(w); got < floor*(1-gridError) && got >= law.floor(w)*(1-gridError) {
			return odd(causeBelow, got, floor)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeIdle {
			return q[0].String() + " without load keeps the law, and not the " + amount(j.Limit,
				"W") + " of the Code of Conduct, tier 2, for a supply of " + q[1].String()
		}
		return q[0].String() + " keeps the law, and not the " + amount(j.Limit,
			"%") + " of the Code of Conduct, tier 2, for a supply of " + q[1].String() + " on the average of its loads"
	},
}

// causeIdle of the rules on floors: too much power without load.
const causeIdle = causeAbove + 1

// ruleLevel is level VI, where the law of the EU has ended.
var ruleLevel = &Rule{
	Name: "efficiency-level",
	Doc:  "a mains supply above 250 W keeps level VI: 87.5 %, and 0.5 W without load",
	Detail: "Up to 250 W level VI asks for what the law of the EU asks for, which has a rule of its own; above, " +
		"the EU has no floor for external supplies and level VI goes on. It asks for the mean at 25, 50, 75 and " +
		"100 % of the rated current and a review mostly reads one load, so this only notes.",
	Source: "US 10 CFR 430.32(w), level VI: up to 250 W the formulas of Regulation (EU) 2019/1782, unverified; " +
		"above 250 W unverified too",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"measurement.efficiency", "measurement.no_load_power", "claim.power", "level.voltage"},
	Find:     readingsOfSupply,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[1], schema.KindPower)
		row := floorFor(standard.LawLevel, c.Extra.(bool), w)
		if !ok || row == nil || floorFor(standard.LawEU, c.Extra.(bool), w) != nil {
			return none
		}
		if idle, ok := one(&q[0], schema.KindPower); ok {
			if idle > row.noload*(1+gridError) {
				return odd(causeIdle, idle, row.noload)
			}
			return fits()
		}
		got, ok := one(&q[0], schema.KindRatio)
		if !ok {
			return none
		}
		if floor := row.floor(w); got < floor*(1-gridError) {
			return odd(causeBelow, got, floor)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeIdle {
			return q[0].String() + " without load is above the " + amount(j.Limit, "W") +
				" of level VI for a supply of " +
				q[1].String()
		}
		return q[0].String() + " is below the " + amount(j.Limit, "%") + " that level VI asks of a supply of " +
			q[1].String() +
			" on the average of its loads"
	},
}
