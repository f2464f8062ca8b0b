package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleCableExtended looks at what a cable is sold with beside levels above 20 V.
var ruleCableExtended = &Rule{
	Name: "cable-extended",
	Doc:  "levels above 20 V take a cable of 240 W, with an e-marker for 5 A and 50 V",
	Detail: "A cable sold with 60 or 100 W, or with a marker for 20 V or 3 A, ends at 20 V, and the source does " +
		"not offer more through it. The cable of the record may be another than the one used, so this only notes. " +
		"PPS to 21 V runs on the 20 V cable.",
	Source:   "USB PD R3.1 Extended Power Range (R5); cable marks (handbook 2.9, R16)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"cable.power", "cable.voltage", "cable.current", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Cable == nil {
			return
		}
		for _, of := range [...]struct {
			name  string
			value *schema.Value
		}{{"power", r.Cable.Power}, {"voltage", r.Cable.Voltage}, {"current", r.Cable.Current}} {
			if of.value == nil {
				continue
			}
			for i, l := range levelsOf(r, place.Stated) {
				if place.SocketOf(l.Port) == place.SocketC && !yield(Case{Level: l, Args: []Arg{arg(of.value,
					cablePath(of.name)), arg(&l.Voltage, place.Level(i, "voltage"))}}) {
					return
				}
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		_, v, ok := in(&q[1], schema.KindVoltage)
		if !ok || v <= 0 {
			return none
		}
		extended := v > pd().spr.High*(1+gridError)
		if w, ok := one(&q[0], schema.KindPower); ok {
			if most := pd().sprPower; extended && w <= most*(1+gridError) {
				return odd(causePower, w, most)
			}
			return fits()
		}
		if u, ok := one(&q[0], schema.KindVoltage); ok {
			if least := cables().extended.High; extended && u < cables().contract.High*(1-gridError) {
				return odd(causeMarkedVoltage, u, least)
			}
			return fits()
		}
		if a, ok := one(&q[0], schema.KindCurrent); ok {
			if least := cables().marked.High; extended && a < least*(1-gridError) {
				return odd(causeMarkedCurrent, a, least)
			}
			return fits()
		}
		return none
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		switch j.Cause {
		case causeMarkedVoltage:
			return q[1].String() + " takes a cable whose e-marker says " + amount(j.Limit, "V") + ", not " +
				q[0].String()
		case causeMarkedCurrent:
			return q[1].String() + " takes a cable whose e-marker says " + amount(j.Limit, "A") + ", not " +
				q[0].String()
		}
		return "a cable of " + q[0].String() + " ends at " + amount(cables().standard.High,
			"V") + ", and " + q[1].String() + " takes one of 240 W"
	},
}

// Causes of ruleCableExtended.
const (
	causePower = iota
	causeMarkedVoltage
	causeMarkedCurrent
)
