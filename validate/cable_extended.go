package validate

import "saywatt/schema"

// ruleCableExtended looks at what a cable is sold with beside levels above 20 V.
var ruleCableExtended = &Rule{
	Name: "cable-extended",
	Doc:  "levels above 20 V take a cable of 240 W, with an e-marker for 5 A and 50 V",
	Detail: "A cable sold with 60 or 100 W ends at 20 V, and the source does not offer more through it. The " +
		"cable of the record may be another " +
		"than the one used, so this only notes. PPS to 21 V runs on the 20 V cable.",
	Source:   "USB PD R3.1 Extended Power Range (R5); cable marks (handbook 2.9, R16)",
	Standing: StandingVerified,
	Severity: schema.SeverityNote,
	Relates:  []string{"cable.power", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Cable == nil || r.Cable.Power == nil {
			return
		}
		for i, l := range levelsOf(r, stated) {
			if socketOf(l.Port) == socketC && !yield(Case{Level: l, Args: []Arg{arg(r.Cable.Power,
				cablePath("power")), arg(&l.Voltage, levelPath(i, "voltage"))}}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		w, ok1 := one(&q[0], schema.KindPower)
		_, v, ok2 := in(&q[1], schema.KindVoltage)
		if !ok1 || !ok2 || v <= 0 {
			return none
		}
		if most := pd().sprPower; v > pd().spr.high*(1+gridError) && w <= most*(1+gridError) {
			return odd(0, w, most)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return "a cable of " + q[0].String() + " ends at " + amount(cables().standard.high,
			"V") + ", and " + q[1].String() + " takes one of 240 W"
	},
}
