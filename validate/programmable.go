package validate

import (
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// programmable is a row of programmable.tsv.
type programmable struct {
	name               string
	kind               place.Protocol // ProtocolPPS, ProtocolAVSEPR, ProtocolAVSSPR
	low, high, nominal float64        // V
	over, upto         float64        // W of PDP
	standard.Ground
}

var programmables = sync.OnceValue(func() []programmable {
	var t []programmable
	kinds := map[string]place.Protocol{"pps": place.PPS, "avs-epr": place.AVSEPR, "avs-spr": place.AVSSPR}
	for _, r := range schema.MustReadTable(tables, "tables/programmable.tsv").Rows {
		p := programmable{name: r.Get("name"), kind: kinds[r.Get("kind")], low: mustFloat(r, "low"),
			high: mustFloat(r, "high"), Ground: standard.GroundOf(r)}
		if p.kind == place.NoProtocol {
			panic("programmable.tsv: kind of " + p.name)
		}
		if r.Get("nominal") != "" {
			p.nominal = mustFloat(r, "nominal")
		}
		if r.Get("over") != "" {
			p.over, p.upto = mustFloat(r, "over"), mustFloat(r, "upto")
		}
		t = append(t, p)
	}
	return t
})

// stepTable holds the steps and edges of programmable supplies.
type stepTable struct {
	voltage, current, early, field, avs standard.Limit
	avsLow, avsMiddle, avsHigh          float64
}

var steps = sync.OnceValue(func() *stepTable {
	t := &stepTable{voltage: standard.LimitOf("pps.step.voltage"), current: standard.LimitOf("pps.step.current"),
		early: standard.LimitOf("pps.low.early"),
		field: standard.LimitOf("pps.field"), avs: standard.LimitOf("avs.step.voltage")}
	for _, p := range programmables() {
		switch p.kind {
		case place.AVSEPR:
			t.avsMiddle, t.avsHigh = p.low, max(t.avsHigh, p.high)
		case place.AVSSPR:
			t.avsLow = p.low
		}
	}
	return t
})

// isPPS and isAVS sort the levels that may have a range. A range given for PD
// or a USB-C port without more is PPS below 9 V and AVS from there; that is
// for the rule's Test, since it hangs on the reading.
func isPPS(l *schema.Level) bool {
	switch place.ProtocolOf(l.Protocol) {
	case place.PPS, place.PD, place.QC4:
		return place.Stated(l)
	case place.NoProtocol:
		return place.SocketOf(l.Port) == place.SocketC && place.Stated(l)
	}
	return false
}

func isAVS(l *schema.Level) bool {
	switch place.ProtocolOf(l.Protocol) {
	case place.AVS, place.AVSEPR, place.AVSSPR, place.PD:
		return place.Stated(l)
	case place.NoProtocol:
		return place.SocketOf(l.Port) == place.SocketC && place.Stated(l)
	}
	return false
}

// ppsRange gives the ends of a reading as a PPS range, false if it is none.
func ppsRange(c *Case, q *schema.Quantity) (low, high float64, ok bool) {
	low, high, ok = in(q, schema.KindVoltage)
	if !ok || !q.Range || high <= 0 {
		return 0, 0, false
	}
	p := place.ProtocolOf(c.Extra.(*schema.Level).Protocol)
	return low, high, p == place.PPS || p == place.QC4 || low < steps().avsLow
}

// avsRange is ppsRange for AVS.
func avsRange(c *Case, q *schema.Quantity) (low, high float64, ok bool) {
	low, high, ok = in(q, schema.KindVoltage)
	if !ok || !q.Range || high <= 0 {
		return 0, 0, false
	}
	p := place.ProtocolOf(c.Extra.(*schema.Level).Protocol)
	return low, high, p >= place.AVS && p <= place.AVSSPR || low >= steps().avsLow
}

// rulePPSRange knows the four ranges.
var rulePPSRange = &Rule{
	Name: "pps-range",
	Doc:  "a programmable supply goes from 3.3 V to 5.9, 11, 16 or 21 V",
	Detail: "Early sources began at 3 V, which is accepted. Other tops (20, 21.1, 11.5 V) and a beginning at 5 V " +
		"are met on labels, and only noted. Above 25.5 V the object has no way to say it.",
	Source:   "USB PD R3.x §6.4.1.4 and §10.2.3 (handbook 2.5; R6, R7, R9, R10)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.voltage"},
	Find:     voltages(isPPS),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := ppsRange(c, &q[0])
		if !ok {
			return none
		}
		t := steps()
		if high > t.field.High {
			return presumed(c, breaks(causeField, high, t.field.High))
		}
		for i := range programmables() {
			if p := &programmables()[i]; p.kind == place.PPS && same(p.high, high) {
				if same(low, p.low) || same(low, t.early.High) {
					return fits()
				}
				return odd(causeLow, low, p.low).at(schema.SeverityNote).on("common practice, no source (handbook 2.5)",
					standard.Practice)
			}
		}
		return odd(causeTop, high, 0).at(schema.SeverityNote).on("common practice, no source (handbook 2.5)",
			standard.Practice)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		switch j.Cause {
		case causeField:
			return q[0].String() + " goes above the " + amount(j.Limit, "V") + " that a PPS object can say" +
				presumption(c)
		case causeLow:
			return q[0].String() + " begins at " + amount(j.Got, "V") + ", not at " + amount(j.Limit, "V")
		}
		return q[0].String() + " ends at none of the standard " + list(ppsTops(), "V")
	},
}

// Causes of rulePPSRange.
const (
	causeField = iota
	causeLow
	causeTop
)

// ppsTops lists the tops of the standard ranges.
func ppsTops() []float64 {
	var xs []float64
	for _, p := range programmables() {
		if p.kind == place.PPS {
			xs = append(xs, p.high)
		}
	}
	return xs
}

// rulePPSStep and ruleAVSStep are the grids of the range ends.
var rulePPSStep = stepRule("pps-step", "PPS", "both ends of a PPS range are multiples of 100 mV",
	"USB PD R3.x §6.4.1.4 (handbook 2.7, 2.8; R7, R8)", isPPS, ppsRange, func() float64 { return steps().voltage.High })

var ruleAVSStep = stepRule("avs-step", "AVS", "both ends of an AVS range are multiples of 100 mV",
	"USB PD R3.1 §6.4.1 (handbook 2.6, 2.7; R5, R8)", isAVS, avsRange, func() float64 { return steps().avs.High })

// stepRule makes a rule on the grid of a range's ends.
func stepRule(name, what, doc, source string, want func(*schema.Level) bool,
	ends func(*Case, *schema.Quantity) (float64, float64, bool), step func() float64) *Rule {
	return &Rule{
		Name:     name,
		Doc:      doc,
		Detail:   "The " + what + " object counts its ends in 100 mV; requests within the range may be finer.",
		Source:   source,
		Standing: standard.Verified,
		Severity: schema.SeverityError,
		Relates:  []string{"level.voltage"},
		Find:     voltages(want),
		Test: func(c *Case, q []schema.Quantity) Judgement {
			low, high, ok := ends(c, &q[0])
			if !ok {
				return none
			}
			if !onGrid(low, step()) || !onGrid(high, step()) {
				return presumed(c, Judgement{Verdict: VerdictBreaks, Got: high, Limit: step()})
			}
			return fits()
		},
		Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
			return q[0].String() + " does not begin and end on multiples of " + amount(j.Limit, "mV") + presumption(c)
		},
	}
}

// rulePPSCurrentStep is the grid of the current field.
var rulePPSCurrentStep = &Rule{
	Name: "pps-current-step",
	Doc:  "the current of a PPS level is a multiple of 50 mA",
	Detail: "The PPS object counts its current in 50 mA, five times coarser than a fixed one: 3.25 A can be said, " +
		"3.33 A cannot.",
	Source:   "USB PD R3.x §6.4.1.4 (handbook 2.5, 2.7, 2.8; R7, R8)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current", "level.voltage"},
	Find:     pairs(isPPS),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if _, _, is := ppsRange(c, &q[1]); !ok || !is {
			return none
		}
		if step := steps().current.High; !onGrid(a, step) {
			return Judgement{Verdict: VerdictBreaks, Got: a, Limit: step}
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is no multiple of " + amount(j.Limit, "mA") + ", so no PPS object can say it"
	},
}

// rulePPSPower counts a PPS level by its nominal voltage.
var rulePPSPower = &Rule{
	Name: "pps-power",
	Doc:  "a PPS level is within the power claimed, counted at its nominal voltage of 5, 9, 15 or 20 V",
	Detail: "At the top of the range the power may lawfully pass the rating, by up to 22 % for 3.3–11 V: 27 W " +
		"gives 3.3–11 V 3 A, which is 33 W at 11 V. Only nominal voltage × current counts. A claim anywhere " +
		"between the two speaks for both.",
	Source:   "USB PD R3.x §10.2.3 (handbook 2.5; R10, R49)",
	Standing: standard.Verified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current", "level.voltage", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		levelsUnderClaims(r, isPPS, true, yield)
	},
	Loose: looseClaim,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok1 := one(&q[0], schema.KindCurrent)
		_, high, ok2 := ppsRange(c, &q[1])
		w, ok3 := one(&q[2], schema.KindPower)
		if !ok1 || !ok2 || !ok3 {
			return none
		}
		nominal := nominalOf(high)
		tol := powerTolerance(c, q, nominal, w) + steps().current.High*nominal // current rounds to 50 mA
		switch {
		case nominal*a > w+tol:
			return breaks(0, nominal*a, w)
		case high*a >= w-tol:
			j := fits()
			j.Chance = chanceWithin(w, (high-nominal)*a/2+tol)
			return j
		}
		j := fits()
		j.Chance = 1
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		_, high, _ := ppsRange(c, &q[1])
		return q[1].String() + " at " + q[0].String() + " counts as " + amount(nominalOf(high), "V") + " × " +
			q[0].String() + " = " +
			amount(j.Got, "W") + ", more than the " + q[2].String() + " claimed"
	},
}

// ruleAVSRange knows where AVS begins.
var ruleAVSRange = &Rule{
	Name: "avs-range",
	Doc:  "an adjustable supply goes from 15 V to 28, 36 or 48 V, or from 9 V to 15 or 20 V",
	Detail: "Extended-range AVS begins at 15 V, not at 9 V as is often said; 9 V is where standard-range AVS " +
		"begins. A range from 9 V to 28 V or more is a speaker who runs the two together, so it is warned of; " +
		"named EPR AVS, it is an error.",
	Source:   "USB PD R3.1 and R3.2 (handbook 2.2b, 2.6, T1; R5, R6, R12b)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.voltage"},
	Find:     voltages(isAVS),
	Loose:    loosePresumed,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := avsRange(c, &q[0])
		if !ok {
			return none
		}
		t := steps()
		if low < t.avsLow || high > t.avsHigh {
			return presumed(c, breaks(causeOutside, low, t.avsLow))
		}
		p := place.ProtocolOf(c.Extra.(*schema.Level).Protocol)
		for i := range programmables() {
			a := &programmables()[i]
			if a.kind == place.PPS || !same(a.high, high) {
				continue
			}
			if same(a.low, low) && (p != place.AVSEPR && p != place.AVSSPR || p == a.kind) {
				return fits()
			}
			if a.kind == place.AVSEPR && same(low, t.avsLow) {
				if p == place.AVSEPR {
					return breaks(causeMerged, low, a.low)
				}
				return odd(causeMerged, low, a.low)
			}
		}
		return odd(causeUnknownRange, low, 0)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		switch j.Cause {
		case causeOutside:
			return q[0].String() + " leaves the " + amount(steps().avsLow, "V") + " to " +
				amount(steps().avsHigh, "V") + " of adjustable supplies" + presumption(c)
		case causeMerged:
			return q[0].String() + " runs two supplies together: extended-range AVS begins at " + amount(j.Limit, "V") +
				", only standard-range AVS at " + amount(j.Got, "V")
		}
		return q[0].String() + " is none of the standard AVS ranges"
	},
}

// Causes of ruleAVSRange.
const (
	causeOutside = iota
	causeMerged
	causeUnknownRange
)

// ruleAVSPower ties the range to the rated power.
var ruleAVSPower = &Rule{
	Name: "avs-power",
	Doc:  "the top of an AVS range belongs to the rated power",
	Detail: "28 V up to 140 W, 36 V up to 180 W, 48 V up to 240 W; in the standard range 15 V up to 45 W and 20 V " +
		"up to 100 W (the last two bands are unverified).",
	Source:   "USB PD R3.1 (handbook 2.2b, 2.6, R5)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.voltage", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		claims := newClaimsOf(r)
		for i, l := range levelsOf(r, isAVS) {
			if _, f := place.ModeOf(l.Mode); f != place.Output {
				continue
			}
			if !claims.own(l, func(k int) bool {
				return yield(Case{Level: l, Extra: l, Args: args.of(
					arg(&l.Voltage, place.Level(i, "voltage")), arg(&r.Claims[k].Value, place.Claim(k)))})
			}) {
				return
			}
		}
	},
	Loose: looseClaim,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok1 := avsRange(c, &q[0])
		w, ok2 := one(&q[1], schema.KindPower)
		if !ok1 || !ok2 {
			return none
		}
		for i := range programmables() {
			a := &programmables()[i]
			if a.kind == place.PPS || !same(a.high, high) || !same(a.low, low) {
				continue
			}
			switch {
			case w <= a.over && a.kind == place.AVSSPR:
				return none // optional in smaller sources
			case w <= a.over:
				return presumed(c, breaks(causeBelowBand, w, a.over).on(a.Source, a.Standing))
			case w > a.upto && a.kind == place.AVSSPR:
				return none // an EPR source has it beside its EPR AVS
			case w > a.upto:
				return presumed(c, breaks(causeAboveBand, w, a.upto).on(a.Source, a.Standing))
			}
			return fits().on(a.Source, a.Standing)
		}
		return none
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeBelowBand {
			return q[0].String() + " belongs to sources above " + amount(j.Limit, "W") + ", but " + q[1].String() +
				" was claimed" + presumption(c)
		}
		return q[0].String() + " belongs to sources up to " + amount(j.Limit, "W") + ", but " + q[1].String() +
			" was claimed" + presumption(c)
	},
}

// Causes of ruleAVSPower.
const (
	causeBelowBand = iota
	causeAboveBand
)
