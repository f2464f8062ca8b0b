package validate

import (
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ufcsTable is what the rules on UFCS need.
type ufcsTable struct {
	gears        []ufcsGear
	check, label standard.Limit
}

// ufcsGear is a row of ufcs_gears.tsv.
type ufcsGear struct{ low, high float64 }

var ufcs = sync.OnceValue(func() *ufcsTable {
	t := &ufcsTable{check: standard.LimitOf("ufcs.cable.check"), label: standard.LimitOf("ufcs.cable.label")}
	for _, r := range schema.MustReadTable(tables, "tables/ufcs_gears.tsv").Rows {
		t.gears = append(t.gears, ufcsGear{mustFloat(r, "low"), mustFloat(r, "high")})
	}
	return t
})

// ruleUFCSRange knows the gears.
var ruleUFCSRange = &Rule{
	Name: "ufcs-range",
	Doc:  "a UFCS range lies within one gear: 3.4–5.5, 5.5–12, 11–21 or 21–36 V",
	Detail: "Published texts differ on the edges of the 10 V and 20 V gears (5.5–11 or 5.5–12, 11–21 or 12–21 V), " +
		"so the widest are accepted. A range over several gears is said where a port has several; it is only " +
		"warned of.",
	Source:   "T/TAF 083-2021 (handbook 3.2, T6; R19)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.UFCS)),
	Loose:    looseCause(onProtocol, causeGears),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := in(&q[0], schema.KindVoltage)
		if !ok || high <= 0 {
			return none
		}
		t := ufcs()
		first, last := t.gears[0].low, t.gears[len(t.gears)-1].high
		for _, g := range t.gears {
			if low >= g.low*(1-gridError) && high <= g.high*(1+gridError) {
				return fits()
			}
		}
		switch {
		case low < first:
			return breaks(causeUnder, low, first)
		case high > last:
			return breaks(causeOver, high, last)
		}
		return odd(causeGears, high, 0)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		switch j.Cause {
		case causeUnder:
			return q[0].String() + " begins below the " + amount(j.Limit, "V") + " of UFCS"
		case causeOver:
			return q[0].String() + " goes above the " + amount(j.Limit, "V") + " of UFCS"
		}
		return q[0].String() + " spans more than one gear of UFCS"
	},
}

// causeGears is the third cause of ruleUFCSRange, after causeUnder and
// causeOver.
const causeGears = causeOver + 1

// ruleUFCSStep is the grid of its messages.
var ruleUFCSStep = &Rule{
	Name:     "ufcs-step",
	Doc:      "UFCS voltages are multiples of 10 mV",
	Detail:   "Messages count in 10 mV; a source may declare a coarser step of its own.",
	Source:   "T/TAF 083-2021, unverified",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"level.voltage"},
	Find:     voltages(ofFamily(place.UFCS)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		j := testStep(c, q)
		if j.Verdict != VerdictNone {
			j.Source, j.Standing = "", standard.Unknown
		}
		return j
	},
	Explain: explainStep,
}

// ruleUFCSCable: strong currents ask for a labelled cable.
var ruleUFCSCable = &Rule{
	Name: "ufcs-cable",
	Doc:  "UFCS above 6.5 A needs a cable with an electronic label, above 4 A one is advised",
	Detail: "Up to 4 A the impedance check of the sink is enough. Asked only where the record says whether the " +
		"cable has an electronic label.",
	Source:   "T/TAF 083-2021 (handbook 3.2, R19)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Cable == nil || r.Cable.EMarker == "" {
			return
		}
		for i, l := range levelsOf(r, ofFamily(place.UFCS)) {
			if l.Current != nil && !yield(Case{Level: l, Extra: r.Cable,
				Args: []Arg{arg(l.Current, place.Level(i, "current"))}}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			return none
		}
		t := ufcs()
		switch marked := c.Extra.(*schema.Cable).EMarker == "yes"; {
		case !marked && a > t.label.High:
			return breaks(0, a, t.label.High)
		case !marked && a > t.check.High:
			return odd(0, a, t.check.High).at(schema.SeverityNote)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if j.Verdict == VerdictOdd {
			return "an electronic label of the cable is advised above " + amount(j.Limit, "A") + "; " + q[0].String() +
				" was said, with a cable that has none"
		}
		return "a cable for " + q[0].String() + " needs an electronic label, as all above " + amount(j.Limit, "A") +
			" do, and this one has none"
	},
}
