package validate

import (
	"math"
	"slices"
	"strings"
	"sync"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// efficiencies finds every efficiency given or measured.
func efficienciesOf(r *schema.Record,
	yield func(value *schema.Value, at place.Path, condition *schema.Condition) bool) {
	for i := range r.Claims {
		if c := &r.Claims[i]; c.Property == "efficiency" && !yield(&c.Value, place.Claim(i), nil) {
			return
		}
	}
	for i := range r.Measurements {
		if m := &r.Measurements[i]; m.Property == "efficiency" && !yield(&m.Value, place.Measurement(i), m.Condition) {
			return
		}
	}
}

// ruleEfficiencyBound: below 100 %.
var ruleEfficiencyBound = &Rule{
	Name: "efficiency-bound",
	Doc:  "nothing gives out more than it takes in",
	Detail: "More than 100 % is impossible. 100 % itself is so too, but as a word it is far more often a state of " +
		"charge, so it is only warned of. Above 99.5 % or below 40 % is implausible for anything in this trade; a " +
		"loss said in percent looks like that. Of a product without a battery, a load that was said with the power " +
		"it draws is no more than that power, and no more is read at its output than at its input right before or " +
		"behind.",
	Source:   "conservation of energy; handbook 8.1 I08 and I35",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates: []string{"measurement.efficiency", "claim.efficiency", "measurement.input_power",
		"measurement.output_power", "condition.power", "condition.voltage", "condition.current"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		more := true
		efficienciesOf(r, func(v *schema.Value, at place.Path, _ *schema.Condition) bool {
			more = yield(Case{Label: "efficiency", Args: []Arg{arg(v, at)}})
			return more
		})
		if more && r.Battery == nil && loadsOf(r, yield) {
			readingsOf(r, yield)
		}
	},
	Loose: looseEfficiency,
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		switch len(q) {
		case 2:
			return testReadings(q)
		case 3:
			return testLoad(q)
		}
		low, high, ok := in(&q[0], schema.KindRatio)
		if !ok || low <= 0 {
			return none
		}
		hard := efficiencyHard()
		if most := efficiencyMost().High; high >= most {
			j := breaks(causeAbove, high, most)
			if same(high, most) {
				return j.at(schema.SeverityWarning)
			}
			return j
		}
		if j := window(high, hard.Low, hard.High).aside(); j.Verdict == VerdictOdd {
			return on(hard, j)
		}
		j := window(low, hard.Low, hard.High).aside()
		if j.Verdict == VerdictOdd {
			return on(hard, j)
		}
		return j
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if len(q) == 2 {
			return q[1].String() + " come out, more than the " + q[0].String() + " that goes in"
		}
		if len(q) > 1 {
			return q[1].String() + " × " + q[2].String() + " is " + amount(j.Got, "W") + ", more than the " +
				q[0].String() + " that goes in"
		}
		if j.Verdict == VerdictBreaks {
			if same(j.Got, j.Limit) {
				return q[0].String() + " would give out all that goes in; a state of charge, or a share of something " +
					"else?"
			}
			return q[0].String() + " would give out more than goes in"
		}
		return q[0].String() + " is " + beyond(j, "%") + " that is plausible"
	},
}

// loadsOf finds every power drawn that was said with the voltage and current of the
// load: three values of one reading. It reports whether to go on.
func loadsOf(r *schema.Record, yield func(Case) bool) bool {
	for i := range r.Measurements {
		m := &r.Measurements[i]
		if x := m.Condition; m.Property != "input_power" || x == nil || x.Voltage == nil || x.Current == nil {
			continue
		}
		if !yield(Case{Label: measureLabel(m), Args: []Arg{arg(&m.Value, place.Measurement(i)),
			arg(m.Condition.Voltage, conditionPath(i, "voltage")),
			arg(m.Condition.Current, conditionPath(i, "current"))}}) {
			return false
		}
	}
	return true
}

// readingsOf finds every power read at the input that was said right before or behind
// one read at the output of the same spot.
func readingsOf(r *schema.Record, yield func(Case) bool) {
	for i := 1; i < len(r.Measurements); i++ {
		in, out := i-1, i
		if r.Measurements[in].Property != "input_power" {
			in, out = out, in
		}
		a, b := &r.Measurements[in], &r.Measurements[out]
		if a.Property != "input_power" || b.Property != "output_power" || !sameSpot(a, b) ||
			!inTurn(&a.Value, &b.Value) && !inTurn(&b.Value, &a.Value) {
			continue
		}
		if !yield(Case{Label: measureLabel(a), Args: []Arg{arg(&a.Value, place.Measurement(in)),
			arg(&b.Value, place.Measurement(out))}}) {
			return
		}
	}
}

// inTurn reports whether values were said one right after the other, the last of them
// last, as a speaker works a share out; or were not said but written.
func inTurn(values ...*schema.Value) bool {
	first, last := math.MaxInt, 0
	for _, v := range values {
		if len(v.Said) == 0 {
			return true
		}
		first, last = min(first, slices.Min(v.Said)), max(last, slices.Min(v.Said))
	}
	return last-first == len(values)-1 && slices.Min(values[len(values)-1].Said) == last
}

// testReadings judges a power read at the input and one read at the output.
func testReadings(q []schema.Quantity) Judgement {
	in, out, ok := two(q, schema.KindPower, schema.KindPower)
	if !ok {
		return none
	}
	if out > in+limits().measuredPower*in+roundingOf(&q[0]) {
		return breaks(causeAbove, out, in)
	}
	j := fits()
	j.Chance = evenChance
	return j
}

// testLoad judges a power drawn, and voltage and current of what it feeds.
func testLoad(q []schema.Quantity) Judgement {
	in, v, a, ok := three(q, schema.KindPower, schema.KindVoltage, schema.KindCurrent)
	if !ok || v >= mainsWindow().Low {
		return none
	}
	if v*a > in+limits().measuredPower*in+roundingOf(&q[0]) {
		return breaks(causeAbove, v*a, in)
	}
	j := fits()
	j.Chance = evenChance
	return j
}

// evenChance is that of two unrelated numbers to be in one order.
const evenChance = 0.5

var (
	efficiencyMost = standard.Bound("efficiency.bound")
	efficiencyHard = standard.Bound("efficiency.hard")
)

// efficiencyWindow is a row of efficiencies.tsv.
type efficiencyWindow struct {
	what                string
	products            []string
	powerLow, powerHigh float64 // 0 for any
	low, high           float64
	pad, battery        bool // what else a product may have that reaches down to low
	standard.Ground
}

var efficiencyWindows = sync.OnceValue(func() []efficiencyWindow {
	var rows []efficiencyWindow
	percent := percent.Scale()
	for _, r := range schema.MustReadTable(tables, "tables/efficiencies.tsv").Rows {
		w := efficiencyWindow{what: r.Get("what"), products: r.List("product"), low: mustFloat(r, "low") * percent,
			high: mustFloat(r, "high") * percent, pad: r.Get("beside") == "pad",
			battery: r.Get("beside") == "battery", Ground: standard.GroundOf(r)}
		if r.Get("power_low") != "-" {
			w.powerLow, w.powerHigh = mustFloat(r, "power_low"), mustFloat(r, "power_high")
		}
		rows = append(rows, w)
	}
	return rows
})

// ruleEfficiencyWindow is efficiency by kind and size of product.
var ruleEfficiencyWindow = &Rule{
	Name: "efficiency-window",
	Doc:  "efficiency lies in the window of the product's kind and power",
	Detail: "A 65 W charger at full load has 84 to 95.5 %, a power bank gives out 65 to 98 % of its cells, a " +
		"wireless charger 40 to 88 %. A product that has a pad or a battery too reaches down to what these have. " +
		"What was measured of a mains charger, or with a load, may be at a light one, so only the upper end counts. " +
		"A share without a percent is a power factor more often, and left alone.",
	Source:   "handbook 8.4 (R28, R33, R48, R22b), ranges common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"measurement.efficiency", "claim.efficiency", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var powers []Arg
		efficienciesOf(r, func(v *schema.Value, at place.Path, x *schema.Condition) bool {
			if powers == nil {
				powers = powerClaims(r)
			}
			e := efficiencyCase{product: r.Product.Kind, least: leastOf(r),
				loaded: x != nil && (x.Power != nil || x.Current != nil),
				light:  v.Basis != schema.BasisLabel && v.Basis != schema.BasisClaimed && len(mainsVoltages(r)) > 0}
			return yield(Case{Label: "efficiency", Extra: e, Args: joined(arg(v, at), powers)})
		})
	},
	Loose: rests(onShare),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := in(&q[0], schema.KindRatio)
		x := c.Extra.(efficiencyCase)
		w, at := x.window(q)
		if !ok || w == nil || low <= 0 || q[0].Unit != percent {
			return none
		}
		least := x.low(w)
		if high < least && (x.loaded || x.light) {
			return none
		}
		j := window(high, least, w.high).on(w.Source, w.Standing).of(0)
		if at > 0 {
			j = j.of(at)
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(efficiencyCase)
		w, _ := x.window(q)
		return q[0].String() + " is outside " + amount(x.low(w), "%") + " to " + amount(w.high, "%") +
			", the window of a " + w.what
	},
}

// percent is how an efficiency is said.
const percent schema.Unit = "%"

// efficiencyCase is the kind of product and what a reading may be of.
type efficiencyCase struct {
	product string
	least   float64 // of a pad or a battery that it has too, 0 where it has none
	loaded  bool    // a load was said
	light   bool    // measured, perhaps at a light load
}

// low is the lower end of a window for the product, with what it has beside its kind.
func (x efficiencyCase) low(w *efficiencyWindow) float64 {
	if x.least > 0 {
		return min(w.low, x.least)
	}
	return w.low
}

// leastOf is the least usual efficiency of what a product has beside its kind: a pad,
// a battery; 0 where it has neither.
func leastOf(r *schema.Record) float64 {
	least := 0.0
	for i := range efficiencyWindows() {
		w := &efficiencyWindows()[i]
		if w.pad && hasPad(r) || w.battery && r.Battery != nil {
			if least == 0 || w.low < least {
				least = w.low
			}
		}
	}
	return least
}

// hasPad reports whether the product charges over the air.
func hasPad(r *schema.Record) bool {
	isPad := func(p schema.Port) bool { return place.SocketOf(p.Name) == place.SocketPad }
	return slices.ContainsFunc(r.Ports, isPad) ||
		slices.ContainsFunc(r.Claims, func(c schema.Claim) bool { return isWireless(c.Port, c.Protocol) })
}

// window is the row for the product at the highest power of q[1:], nil where
// none is, and the index of that power, 0 where it does not matter.
func (x efficiencyCase) window(q []schema.Quantity) (*efficiencyWindow, int) {
	at, power := highest(q[1:], schema.KindPower)
	for i := range efficiencyWindows() {
		w := &efficiencyWindows()[i]
		for _, p := range w.products {
			if strings.HasPrefix(x.product, p) && (w.powerHigh == 0 || power > w.powerLow && power <= w.powerHigh) {
				if w.powerHigh == 0 {
					at = -1
				}
				return w, 1 + at
			}
		}
	}
	return nil, 0
}

// ruleHeatBalance is P_out = η × P_in, and the loss between.
var ruleHeatBalance = &Rule{
	Name: "heat-balance",
	Doc:  "input power, output power and efficiency, or a loss, said together agree",
	Detail: "An efficiency measured with a load given or an output read, beside the input power or the loss " +
		"measured just before or after: output over input is the efficiency, within 2 %, and output × " +
		"(1/efficiency − 1) is the loss, within 5 %.",
	Source:   "conservation of energy; handbook 8.1 I08 and I09",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates: []string{"measurement.efficiency", "measurement.input_power",
		"measurement.output_power", "measurement.power", "measurement.loss", "condition.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "efficiency" {
				continue
			}
			out := outputAt(r, i)
			for _, k := range [...]int{i - 2, i - 1, i + 1, i + 2} {
				if k < 0 || k >= len(r.Measurements) || out.Value == nil {
					continue
				}
				o := &r.Measurements[k]
				read := m.Condition == nil || m.Condition.Power == nil
				input := o.Property == "input_power" && read && sameSpot(o, m) &&
					inTurn(out.Value, &o.Value, &m.Value) ||
					o.Property == "power" && o.Condition != nil && place.IsInput(o.Condition.Mode)
				if !input && (o.Property != "loss" || k < i-1 || k > i+1) {
					continue
				}
				if !yield(Case{Label: measureLabel(m), Extra: input, Args: []Arg{arg(&m.Value, place.Measurement(i)),
					out, arg(&o.Value, place.Measurement(k))}}) {
					return
				}
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		share, out, other, ok := three(q, schema.KindRatio, schema.KindPower, schema.KindPower)
		if !ok {
			return none
		}
		if c.Extra.(bool) {
			return within(out/other, share, balancePower().High*share)
		}
		loss := out * (1/share - 1)
		return within(loss, other, balanceLoss().High*other)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		if c.Extra.(bool) {
			return q[1].String() + " out of " + q[2].String() + " is " + amount(j.Got, "%") + ", but " + q[0].String() +
				" was said"
		}
		return q[1].String() + " at " + q[0].String() + " loses " + amount(j.Got, "W") + ", but " + q[2].String() +
			" was said"
	},
}

var (
	balancePower = standard.Bound("balance.power.share")
	balanceLoss  = standard.Bound("balance.share")
)

// outputAt is the output power that an efficiency, measurement i, was read at: that of
// its condition, or one read right before or behind; without a value where none was.
func outputAt(r *schema.Record, i int) Arg {
	m := &r.Measurements[i]
	if m.Condition != nil && m.Condition.Power != nil {
		return arg(m.Condition.Power, conditionPath(i, "power"))
	}
	for _, k := range [...]int{i - 1, i + 1, i - 2, i + 2} {
		if k >= 0 && k < len(r.Measurements) && r.Measurements[k].Property == "output_power" &&
			sameSpot(&r.Measurements[k], m) {
			return arg(&r.Measurements[k].Value, place.Measurement(k))
		}
	}
	return Arg{}
}
