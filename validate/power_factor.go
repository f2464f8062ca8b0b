package validate

import (
	"slices"
	"strings"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// correctionPart begins the kinds of part of a power factor stage.
const correctionPart = "PFC"

// hasStage reports whether a power factor stage was said: a part of it, or its name
// alone.
func hasStage(r *schema.Record) bool {
	return hasStagePart(r) || slices.ContainsFunc(r.Terms, func(t schema.SaidTerm) bool {
		return t.Kind == schema.TermComponent && t.Status != schema.StatusOpen &&
			strings.HasPrefix(t.Meant, correctionPart)
	})
}

// hasStagePart reports whether the record has a part of a power factor stage.
func hasStagePart(r *schema.Record) bool {
	return slices.ContainsFunc(r.Components, func(c schema.Component) bool {
		return strings.HasPrefix(c.Kind, correctionPart)
	})
}

// looseNamed rests on whether there is a stage of which no more than the name was
// said: "it has no PFC" names it too.
func looseNamed(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if hasStagePart(r) {
		return ""
	}
	return onStaged
}

// ruleCorrection expects a power factor stage.
var ruleCorrection = &Rule{
	Name: "power-factor-stage",
	Doc:  "a supply that draws more than 75 W from the mains has a power factor stage",
	Detail: "Harmonic currents are limited above 75 W of input power, which is hardly kept without a stage of its " +
		"own. Looked at where the parts of the mains side were said, a bulk capacitor at the least; the speaker " +
		"may have left the stage out, so this only notes.",
	Source:   "IEC 61000-3-2 class D, scope (R38); efficiency handbook 8.5",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"claim.power", "component.bulk capacitor.capacitance"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		bulk := slices.ContainsFunc(r.Components, func(c schema.Component) bool { return c.Kind == "bulk capacitor" })
		if !bulk || len(mainsVoltages(r)) == 0 || hasStage(r) {
			return
		}
		outputPowers(r, "", func(k int, c *schema.Claim) bool {
			return yield(Case{Claim: c, Args: []Arg{arg(&c.Value, place.Claim(k))}})
		})
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		w, ok := one(&q[0], schema.KindPower)
		if !ok {
			return none
		}
		if drawn := w / inputs().efficiency; drawn > inputs().correction.High {
			return odd(0, drawn, inputs().correction.High)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " out takes about " + amount(j.Got, "W") + " in: above " + amount(j.Limit,
			"W") + " a power factor stage is expected, and none was said"
	},
}

// ruleBulkBehindStage rates bulk capacitors behind a power factor stage.
var ruleBulkBehindStage = &Rule{
	Name: "bulk-behind-stage",
	Doc:  "a bulk capacitor behind a power factor stage is rated for 400 V and more, usually 420 or 450 V",
	Detail: "The stage raises its output to about 380 to 400 V, whatever the mains. Below 400 V the part " +
		"cannot serve there; 400 V leave no margin and are only noted.",
	Source:   "common practice, no source (handbook 4.9)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.bulk capacitor.voltage"},
	Loose:    looseNamed,
	Find: func(r *schema.Record, yield func(Case) bool) {
		if hasStage(r) {
			ratingCases(r, yield, "voltage", "bulk capacitor")
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		v, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		switch w := stageBulk(); {
		case v < w.Low:
			return odd(causeMust, v, w.Low).at(schema.SeverityWarning)
		case v < w.High:
			return odd(causeUsual, v, w.High).at(schema.SeverityNote)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeUsual {
			return q[0].String() + " is close to the 380 to 400 V that a power factor stage makes; usual is " +
				amount(j.Limit, "V") + " or more"
		}
		return q[0].String() + " is below the " + amount(j.Limit, "V") + " that a power factor stage takes"
	},
}

var stageBulk = standard.Bound("stage.bulk")
