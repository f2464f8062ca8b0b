package validate

import (
	"saywatt/schema"
	"saywatt/validate/standard"
)

// ruleCableDrop: Ohm's law against the budget.
var ruleCableDrop = &Rule{
	Name: "cable-drop",
	Doc:  "a USB-C cable loses at most 0.75 V at its rated current",
	Detail: "0.5 V on the supply and 0.25 V on the return: 250 mΩ out and back for a 3 A cable, 150 mΩ for a 5 A " +
		"one. That is the limit for a cable that claims to comply.",
	Source:   "USB Type-C R2.4 §4.4.1 (handbook 2.9, 8.1 I24; R14)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"cable.resistance", "cable.current"},
	Find:     cableCase(nil, "resistance", "current"),
	Loose:    looseDrop,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		r, a, ok := two(q, schema.KindResistance, schema.KindCurrent)
		if !ok {
			return none
		}
		if limit := cables().drop.High; r*a > limit*(1+gridError) {
			return breaks(0, r*a, limit)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " loses " + amount(j.Got, "V") + " at " + q[1].String() + ", more than the " +
			amount(j.Limit, "V") + " allowed"
	},
}

// ruleCableGauge: copper against what was said.
var ruleCableGauge = &Rule{
	Name: "cable-gauge",
	Doc:  "the loop resistance of a cable is that of its length and gauge",
	Detail: "Twice the length times the resistance of the thickest conductor given, and 20 to 60 mΩ for the " +
		"contacts; 0.6 to 1.6 times that is accepted, for strands, temperature and parallel conductors.",
	Source:   "wire table ASTM B258 (R29); window common practice, no source (handbook 8.1 I25)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"cable.resistance", "cable.length"},
	Find:     cableCase(hasGauge, "resistance", "length"),
	Loose:    looseOneWay,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		r, l, ok := two(q, schema.KindResistance, schema.KindLength)
		if !ok {
			return none
		}
		t := cables()
		copper, _ := t.copper(c.Extra.(*schema.Cable))
		least := (2*l*copper + t.contacts.Low) * t.ratio.Low
		most := (2*l*copper + t.contacts.High) * t.ratio.High
		switch {
		case r < least:
			return breaks(causeUnder, r, least)
		case r > most:
			return breaks(causeOver, r, most)
		}
		j := fits()
		j.Chance = chanceWithin((least+most)/2, (most-least)/2)
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := q[0].String() + " out and back over " + q[1].String() + " of this gauge is "
		if j.Cause == causeUnder {
			return s + "too little; copper and contacts come to at least " + amount(j.Limit, "mOhm")
		}
		return s + "too much; copper and contacts come to at most " + amount(j.Limit, "mOhm")
	},
}

// ruleCableGaugeDrop: can the copper carry it that far?
var ruleCableGaugeDrop = &Rule{
	Name: "cable-gauge-drop",
	Doc:  "the copper of a cable alone does not lose more than 0.75 V at its rated current",
	Detail: "Twice the length times the resistance of the thickest conductor given, times the current: 1 m of AWG " +
		"22 loses 0.32 V at 3 A and 0.53 V at 5 A. Cables with parallel conductors do better, so this only notes.",
	Source:   "USB Type-C R2.4 §4.4.1 (R14); wire table ASTM B258 (handbook 8.2, R29)",
	Standing: standard.Computed,
	Severity: schema.SeverityNote,
	Relates:  []string{"cable.length", "cable.current"},
	Find:     cableCase(hasGauge, "length", "current"),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		l, a, ok := two(q, schema.KindLength, schema.KindCurrent)
		if !ok {
			return none
		}
		t := cables()
		copper, _ := t.copper(c.Extra.(*schema.Cable))
		if drop := 2 * l * copper * a; drop > t.drop.High {
			return breaks(0, drop, t.drop.High)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " of this gauge loses " + amount(j.Got, "V") + " at " + q[1].String() +
			", more than the " + amount(j.Limit, "V") + " allowed"
	},
}
