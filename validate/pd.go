package validate

import (
	"math"
	"slices"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// pdTable is what the rules on fixed levels of USB Power Delivery need.
type pdTable struct {
	current, stepVoltage, stepCurrent, voltage, spr standard.Limit
	plain, required, contract, drop                 standard.Limit
	objectsSPR, objectsEPR                          standard.Limit
	few                                             int       // levels from which a list may be taken for complete
	sprPower                                        float64   // W, end of the Standard Power Range
	normative                                       []float64 // V, the optional 12 V included
	power                                           []pdpLevel
}

// pdpLevel is a row of pdp_levels.tsv: what a source of a band of PDP must
// offer at a voltage.
type pdpLevel struct {
	over, upto, voltage float64
	current             float64 // A, 0 for PDP / voltage
	standard.Ground
}

var pd = sync.OnceValue(func() *pdTable {
	t := &pdTable{
		current: standard.LimitOf("pd.current"), stepVoltage: standard.LimitOf("pd.step.voltage"),
		stepCurrent: standard.LimitOf("pd.step.current"),
		voltage:     standard.LimitOf("pd.voltage"), spr: standard.LimitOf("pd.voltage.spr"),
		plain:    standard.LimitOf("pd.power.plain"),
		required: standard.LimitOf("pd.current.required"), contract: standard.LimitOf("pd.contract"),
		drop:       standard.LimitOf("cable.drop"),
		objectsSPR: standard.LimitOf("pd.objects.spr"), objectsEPR: standard.LimitOf("pd.objects.epr"),
		few: int(standard.LimitOf("pd.list.complete").High),
	}
	for _, r := range schema.MustReadTable(tables, "tables/pd_voltages.tsv").Rows {
		t.normative = append(t.normative, mustFloat(r, "voltage"))
	}
	for _, r := range standard.PowerLevels().Rows {
		l := pdpLevel{over: mustFloat(r, "over"), upto: mustFloat(r, "upto"), voltage: mustFloat(r, "voltage"),
			Ground: standard.GroundOf(r)}
		if r.Get("current") != "x/V" {
			l.current = mustFloat(r, "current")
		}
		if l.voltage <= t.spr.High && l.current == 0 {
			t.sprPower = max(t.sprPower, l.upto)
		}
		t.power = append(t.power, l)
	}
	return t
})

// presumed softens a judgement on a level whose protocol was not said: the
// engine's evidence stays, the finding only warns.
func presumed(c *Case, j Judgement) Judgement {
	if l := c.Extra.(*schema.Level); l.Protocol == "" && j.Severity == schema.SeverityUnknown {
		return j.at(schema.SeverityWarning)
	}
	return j
}

// presumption says so in the sentence.
func presumption(c *Case) string {
	if l := c.Extra.(*schema.Level); l.Protocol == "" {
		return " (taken for USB PD, no protocol was said)"
	}
	return ""
}

// rulePDCurrentLimit is the ceiling of every USB PD object.
var rulePDCurrentLimit = &Rule{
	Name: "pd-current-limit",
	Doc:  "no USB Power Delivery level carries more than 5 A",
	Detail: "The current field of a power data object could say up to 10.23 A, but connector and cable end at 5 A. " +
		"20 V 6 A and the like exist as vendor modes with a captive cable, outside USB PD. A USB-C level without " +
		"a protocol given is read as USB PD, and then only warned of.",
	Source:   "USB PD R3.2 §6.4.1 and USB Type-C R2.4 §4.4 (handbook 2.2, 2.8, 2.9; R7, R13)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.current"},
	Find:     currents(place.IsPD),
	Loose:    loosePresumed,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			return none
		}
		if limit := pd().current.High; a > limit {
			return presumed(c, breaks(0, a, limit))
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is above the " + amount(j.Limit, "A") +
			" that USB PD, its connector and its cables end at" + presumption(c)
	},
}

// rulePDVoltage knows the fixed voltages.
var rulePDVoltage = &Rule{
	Name: "pd-voltage",
	Doc:  "a fixed USB Power Delivery level is at 5, 9, 12, 15, 20, 28, 36 or 48 V",
	Detail: "The power rules name all of them but 12 V, which is optional and common. Other voltages between 5 and " +
		"48 V can be said in an object and are met as vendor levels (10 V fixed), so they are only noted; outside " +
		"5 to 48 V nothing is USB PD. Measured voltages are not judged here.",
	Source:   "USB PD R3.x §10.2 (handbook 2.2, 2.2b, 2.8; R4, R5, R11)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.voltage"},
	Find:     voltages(place.IsFixedPD),
	Loose:    loosePresumed,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		v, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		t := pd()
		switch {
		case member(v, t.normative) >= 0:
			return fits()
		case v < t.voltage.Low:
			return presumed(c, breaks(0, v, t.voltage.Low))
		case v > t.voltage.High:
			return presumed(c, breaks(0, v, t.voltage.High))
		}
		return odd(0, v, 0).at(schema.SeverityNote)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if j.Verdict == VerdictOdd {
			return q[0].String() + " is not among the usual fixed voltages " + list(pd().normative, "V")
		}
		return q[0].String() + " is outside the " + amount(pd().voltage.Low, "V") + " to " +
			amount(pd().voltage.High, "V") +
			" of fixed USB PD levels" + presumption(c)
	},
}

// rulePDVoltageStep is the grid of the voltage field.
var rulePDVoltageStep = &Rule{
	Name: "pd-voltage-step",
	Doc:  "a fixed USB Power Delivery voltage is a multiple of 50 mV",
	Detail: "The voltage field of the object counts in 50 mV. A measured voltage may be anything; this is about " +
		"what is advertised.",
	Source:   "USB PD R3.x §6.4.1 (handbook 2.7, 2.8, R7)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.voltage"},
	Find:     voltages(place.IsFixedPD),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		v, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		if step := pd().stepVoltage.High; !onGrid(v, step) {
			return presumed(c, Judgement{Verdict: VerdictBreaks, Got: v, Limit: step})
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is no multiple of " + amount(j.Limit, "mV") + ", so no object can say it" +
			presumption(c)
	},
}

// rulePDCurrentStep is the grid of the current field.
var rulePDCurrentStep = &Rule{
	Name: "pd-current-step",
	Doc:  "a fixed USB Power Delivery current is a multiple of 10 mA",
	Detail: "The current field of the object counts in 10 mA: 3.25 A can be advertised, 3.253 A can only have been " +
		"measured. Measured currents are not judged here.",
	Source:   "USB PD R3.x §6.4.1 (handbook 2.7, 2.8, R7)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.current"},
	Find:     currents(place.IsFixedPD),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok := one(&q[0], schema.KindCurrent)
		if !ok {
			return none
		}
		if step := pd().stepCurrent.High; !onGrid(a, step) {
			return presumed(c, Judgement{Verdict: VerdictBreaks, Got: a, Limit: step})
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is no multiple of " + amount(j.Limit, "mA") + ", so no object can say it" +
			presumption(c)
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		return toGrid(j.Got, labelDecimals, "A"), true
	},
}

// rulePDPower is the table of power rules.
var rulePDPower = &Rule{
	Name: "pd-power-rule",
	Doc:  "a USB Power Delivery source of a rated power offers the currents that its power rules demand",
	Detail: "A source of PDP x has 3 A at every voltage below the top one and x/V at the top one: 5, 9, 15, 20 V " +
		"up to 15, 27, 45, 100 W, then 28, 36, 48 V up to 140, 180, 240 W with 20 V 5 A below. So 65 W goes with " +
		"20 V 3.25 A, and 50 W with 20 V 2.5 A. Voltages above the top one, and 12 V, are optional at up to x/V: " +
		"30 W with 20 V 1.5 A is lawful. Currents count in 10 mA; one step either way is label rounding. More than " +
		"3 A below the top is lawful with a 5 A cable. A source above 60 W shows 20 V 3 A through a 3 A cable, " +
		"which is noted, not faulted. Powers above the claim are left to level-within-claim. A claim that is the " +
		"top of a programmable level, 33 W of 11 V 3 A, is no rated power and demands nothing.",
	Source:   "USB PD R3.x §10.2 (handbook 2.2, 2.2b, 2.3; R4, R5, R10)",
	Standing: standard.Verified,
	Severity: schema.SeverityError,
	Relates:  []string{"level.current", "level.voltage", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		var three [8]Arg // and the programmable levels, usually
		tops := topsOf(r)
		claims := newClaimsOf(r)
		for i, l := range levelsOf(r, place.IsFixedPD) {
			if _, f := place.ModeOf(l.Mode); l.Current == nil || f != place.Output {
				continue
			}
			if !claims.own(l, func(k int) bool {
				c := &r.Claims[k]
				list := append(three[:0], arg(l.Current, place.Level(i, "current")),
					arg(&l.Voltage, place.Level(i, "voltage")),
					arg(&c.Value, place.Claim(k)))
				return yield(Case{Level: l, Extra: l, Args: args.of(tops.of(c, list)...)})
			}) {
				return
			}
		}
	},
	Loose: either(loosePresumed, looseClaim),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, v, x, ok := three(q, schema.KindCurrent, schema.KindVoltage, schema.KindPower)
		if !ok || isProgrammableTop(x, q[3:]) {
			return none
		}
		return ruledLevel(c, q, a, v, x).of(0, 1, 2)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := "a source of " + q[2].String()
		switch j.Cause {
		case causePlainCable:
			return s + " that shows " + q[1].String() + " " + q[0].String() + " has a 3 A cable; its own level is " +
				amount(j.Limit, "A")
		case causeExtended:
			return s + " does not reach " + q[1].String() + ", which begins with more than 100 W"
		}
		return s + " must offer " + amount(j.Limit, "A") + " at " + q[1].String() + ", not " + q[0].String() +
			presumption(c)
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		if j.Cause != causeMinimum {
			return schema.Quantity{}, false
		}
		return toGrid(j.Limit, labelDecimals, "A"), true
	},
}

// ruledLevel judges the level a at v of a source of x watts.
func ruledLevel(c *Case, q []schema.Quantity, a, v, x float64) Judgement {
	t := pd()
	level, top := t.demand(x, v)
	if top == nil {
		return none // no such PDP
	}
	tol := t.stepCurrent.High + roundingOf(&q[2])/v
	if level == nil {
		return t.optional(a, v, x, tol, top)
	}
	want := level.current
	if want == 0 {
		want = x / v
	} else {
		tol = t.stepCurrent.High
	}
	switch {
	case a > want+tol:
		return none
	case a >= want-tol:
		j := fits().on(level.Source, level.Standing)
		j.Chance = chanceWithin(want, tol)
		return j
	case x > t.plain.High && level.voltage == top.voltage && top.upto <= t.sprPower && same(a, t.required.High):
		return odd(causePlainCable, a, want).at(schema.SeverityNote)
	}
	return presumed(c, breaks(causeMinimum, a, want).on(level.Source, level.Standing))
}

// tops are the programmable levels of a record that state a current, as
// arguments that only help to judge a claim.
type tops struct {
	levels *levelsFor // nil where there are none
	args   [][2]Arg   // current and voltage of each level, by its index
}

func topsOf(r *schema.Record) tops {
	want := func(l *schema.Level) bool { return statedPPS(l) && l.Current != nil }
	n := 0
	for range levelsOf(r, want) {
		n++
	}
	if n == 0 {
		return tops{}
	}
	t := tops{newLevelsFor(r, want), make([][2]Arg, len(r.Levels))}
	values := make([]schema.Value, 0, 2*n) // never grows: arguments point into it
	for i, l := range levelsOf(r, want) {
		values = append(values, *l.Current, l.Voltage)
		n := len(values)
		values[n-2].Said, values[n-1].Said = nil, nil
		t.args[i] = [2]Arg{arg(&values[n-2], place.Level(i, "current")), arg(&values[n-1], place.Level(i, "voltage"))}
	}
	return t
}

// statedPPS accepts a stated level of the protocol PPS by name.
func statedPPS(l *schema.Level) bool {
	return place.ProtocolOf(l.Protocol) == place.PPS && place.Stated(l)
}

// of appends to args those of the levels that a claim is of.
func (t *tops) of(c *schema.Claim, args []Arg) []Arg {
	if t.levels != nil {
		t.levels.of(c, func(i int) bool {
			args = append(args, t.args[i][:]...)
			return true
		})
	}
	return args
}

// isProgrammableTop reports whether x watts are the highest voltage times the
// current of one of the programmable levels, and not what its nominal voltage
// gives: then x is what the level reaches at its end, no rated power.
func isProgrammableTop(x float64, q []schema.Quantity) bool {
	for i := 0; i+1 < len(q); i += 2 {
		a, ok1 := one(&q[i], schema.KindCurrent)
		_, high, ok2 := in(&q[i+1], schema.KindVoltage)
		if ok1 && ok2 && math.Abs(high*a-x) <= limits().labelPower*x+sums().rounding &&
			nominalOf(high)*a < x*(1-limits().labelPower)-sums().rounding {
			return true
		}
	}
	return false
}

// Causes of rulePDPower.
const (
	causeMinimum = iota
	causePlainCable
	causeExtended
)

// demand gives the row for a source of x watts at v volts, nil where that
// voltage is optional, and the row of the top voltage, nil where no band has
// x.
func (t *pdTable) demand(x, v float64) (level, top *pdpLevel) {
	for i := range t.power {
		if l := &t.power[i]; x > l.over && x <= l.upto {
			top = l
			if same(l.voltage, v) {
				level = l
			}
		}
	}
	return level, top
}

// optional judges a level at a voltage that the rules leave open.
func (t *pdTable) optional(a, v, x, tol float64, top *pdpLevel) Judgement {
	if v > t.spr.High && x <= t.sprPower {
		return odd(causeExtended, v, x).on("USB PD R3.1 (handbook 2.2b)", standard.Unverified)
	}
	want := x / v
	if a > want+tol {
		return none
	}
	j := fits()
	if math.Abs(a-want) <= tol {
		j.Chance = chanceWithin(want, tol)
	} else {
		j.Chance = 1
	}
	return j
}

// rulePDMissing looks for what the list of levels lacks.
var rulePDMissing = &Rule{
	Name: "pd-missing-level",
	Doc:  "a list of USB Power Delivery levels has every voltage that its rated power demands",
	Detail: "Only asked where at least three levels of the port were said, and only a note: a speaker may leave " +
		"levels out, the 5 V one that every source has most of all, so that is not asked for. Optional levels (12 " +
		"V always; 20 V of a 30 W or 45 W source) are never missing, and a claim that is the top of a programmable " +
		"level, 33 W of 11 V 3 A, demands none.",
	Source:   "USB PD R3.x §10.2 (handbook 2.2, T2, T19; R10)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"claim.power", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var all []Arg // of all cases, one after the other
		tops := topsOf(r)
		levels := newLevelsFor(r, place.IsFixedPD)
		for k := range r.Claims {
			c := &r.Claims[k]
			if _, f := claimMode(c.Mode); !isPower(c) || f != place.Output {
				continue
			}
			from := len(all)
			all = append(all, arg(&c.Value, place.Claim(k)))
			levels.of(c, func(i int) bool {
				all = append(all, arg(&r.Levels[i].Voltage, place.Level(i, "voltage")))
				return true
			})
			fixed := len(all) - from
			if fixed <= pd().few {
				all = all[:from]
				continue
			}
			all = tops.of(c, all)
			if !yield(Case{Claim: c, Extra: fixed, Args: all[from:len(all):len(all)]}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x, ok := one(&q[0], schema.KindPower)
		fixed := c.Extra.(int)
		if !ok || isProgrammableTop(x, q[fixed:]) {
			return none
		}
		missing, known := 0.0, false
		for i := range pd().power {
			l := &pd().power[i]
			if x <= l.over || x > l.upto {
				continue
			}
			known = true
			stated := same(l.voltage, pd().voltage.Low) ||
				slices.ContainsFunc(q[1:fixed], func(q schema.Quantity) bool {
					v, ok := one(&q, schema.KindVoltage)
					return ok && same(v, l.voltage)
				})
			if !stated {
				missing = l.voltage
			}
		}
		if !known {
			return none
		}
		if missing > 0 {
			return odd(0, missing, x).of(0)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return "a source of " + q[0].String() + " has a level at " + amount(j.Got, "V") + ", but none was said"
	},
}

// rulePDObjects counts.
var rulePDObjects = &Rule{
	Name: "pd-object-count",
	Doc:  "a USB Power Delivery source offers at most 7 levels, or 11 with Extended Power Range",
	Detail: "Fixed and programmable output levels of one port and mode count together; an input lists what it may " +
		"ask for. A longer list is two ports, two modes or two protocols taken for one.",
	Source:   "USB PD R3.x §6.4.1 (handbook 2.2, R8b)",
	Standing: standard.Unverified,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		lists := map[listOf][]Arg{}
		first := make([]int, 0, 8) // of each list
		gives := func(l *schema.Level) bool { return place.IsStatedPD(l) && !place.IsInput(l.Mode) }
		for i, l := range levelsOf(r, gives) {
			list := listOf{l.Mode, l.Port, ""}
			if lists[list] == nil {
				first = append(first, i)
			}
			lists[list] = append(lists[list], arg(&l.Voltage, place.Level(i, "voltage")))
		}
		for _, i := range first {
			l := &r.Levels[i]
			if !yield(Case{Level: l, Args: lists[listOf{l.Mode, l.Port, ""}]}) {
				return
			}
		}
	},
	Loose: rests(onList),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		limit := pd().objectsSPR.High
		for i := range q {
			if _, v, ok := in(&q[i], schema.KindVoltage); ok && v > pd().spr.High {
				limit = pd().objectsEPR.High
			}
		}
		if n := float64(len(q)); n > limit {
			return breaks(0, n, limit)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return amount(j.Got, "") + " levels were said, more than the " + amount(j.Limit, "") +
			" that a source can offer"
	},
}
