package validate

import (
	"sync"

	"saywatt/internal/knowledge"
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// inputTable is what the rules on the mains side need.
type inputTable struct {
	mains, frequency      standard.Limit
	lows, highs, nominals []float64 // V
	efficiency, corrected float64
	plain                 standard.Limit
	correction            standard.Limit
	label, fuse           standard.Limit
	margin, assumed       float64
}

var inputs = sync.OnceValue(func() *inputTable {
	t := &inputTable{
		mains: standard.LimitOf("mains.voltage"), frequency: standard.LimitOf("mains.frequency"),
		efficiency: standard.LimitOf("input.efficiency").High,
		corrected:  standard.LimitOf("input.factor.corrected").High,
		plain:      standard.LimitOf("input.plain"), correction: standard.LimitOf("input.correction"),
		label: standard.LimitOf("input.label"), fuse: standard.LimitOf("fuse.ratio"),
		margin: standard.LimitOf("input.margin").High, assumed: standard.LimitOf("input.assumed").High,
	}
	for _, r := range knowledge.MainsVoltages().Rows {
		v := mustFloat(r, "voltage")
		for _, use := range r.List("uses") {
			switch use {
			case "low":
				t.lows = append(t.lows, v)
			case "high":
				t.highs = append(t.highs, v)
			case "nominal":
				t.nominals = append(t.nominals, v)
			}
		}
	}
	return t
})

// draw bounds the input current of a product that gives w watts, on mains of
// v volts: the least with the best power factor that its size has, the most
// with the worst.
func (t *inputTable) draw(w, v float64) (least, most float64) {
	active := w / (t.efficiency * v)
	factor := t.plain.High
	if w/t.efficiency > t.correction.High {
		factor = t.corrected
	}
	return active / factor, active / t.plain.Low
}

func isMainsInput(l *schema.Level) bool {
	_, f := place.ModeOf(l.Mode)
	return f == place.Input && place.IsMains(l)
}

// ruleMainsVoltage knows the mains of the world.
var ruleMainsVoltage = &Rule{
	Name: "mains-voltage",
	Doc:  "mains voltage lies between 85 and 277 V, and ranges end at usual numbers",
	Detail: "\"100 to 240 V\" is on nearly every label. 100–200, 110–230 and the like are lawful but rare enough " +
		"to hear again. One voltage alone is only held against the outer bounds.",
	Source:   "common practice, no source (handbook 4.9, 8.5)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.voltage"},
	Find:     voltages(place.IsMains),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := in(&q[0], schema.KindVoltage)
		if !ok || high <= 0 {
			return none
		}
		t := inputs()
		switch {
		case min(low, high) < t.mains.Low:
			return breaks(causeUnder, min(low, high), t.mains.Low)
		case high > t.mains.High:
			return breaks(causeOver, high, t.mains.High)
		case q[0].Range && (member(low, t.lows) < 0 || member(high, t.highs) < 0):
			return odd(causeNotListed, high, 0).at(schema.SeverityNote)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		switch j.Cause {
		case causeUnder:
			return q[0].String() + " goes below the " + amount(j.Limit, "V") + " at which mains begins"
		case causeOver:
			return q[0].String() + " goes above the " + amount(j.Limit, "V") + " at which mains ends"
		}
		return q[0].String() + " is an unusual range of mains voltage"
	},
}

// ruleMainsFrequency knows both frequencies.
var ruleMainsFrequency = &Rule{
	Name: "mains-frequency",
	Doc:  "mains has 50 or 60 Hz",
	Detail: "Read from claims of the input side. 400 Hz of aircraft and ships is met in none of the trade's " +
		"products. 100 and 120 Hz are what a rectifier makes of them, so these only note.",
	Source:   "common practice, no source (handbook 8.5)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"claim.frequency"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for k := range r.Claims {
			c := &r.Claims[k]
			if c.Property != "frequency" {
				continue
			}
			if _, f := claimMode(c.Mode); f != place.Input && place.SocketOf(c.Port) != place.SocketMains &&
				place.ProtocolOf(c.Protocol) != place.AC {
				continue
			}
			if !yield(Case{Label: "mains", Args: []Arg{arg(&c.Value, place.Claim(k))}}) {
				return
			}
		}
	},
	Loose: looseFrequency,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := in(&q[0], schema.KindFrequency)
		if !ok || high <= 0 {
			return none
		}
		t := inputs().frequency
		if nearMains(low, t) && nearMains(high, t) {
			return fits()
		}
		return breaks(0, high, t.High)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		t := inputs().frequency
		return q[0].String() + " is not " + amount(t.Low, "Hz") + " or " + amount(t.High, "Hz")
	},
}

// nearMains reports whether a frequency is one of the two, or read on a meter and
// within what the mains may stray.
func nearMains(hertz float64, t standard.Limit) bool {
	stray := 1 + mainsStray().High
	return hertz >= t.Low/stray && hertz <= t.Low*stray || hertz >= t.High/stray && hertz <= t.High*stray
}

var mainsStray = standard.Bound("mains.frequency.stray")

// mainsAndPower finds current and voltage of a mains input together with the
// total power of the output; products with a battery, which may give more
// than they draw, only where battery is set.
func mainsAndPower(battery bool) finder {
	return func(r *schema.Record, yield func(Case) bool) {
		if r.Battery != nil && !battery {
			return
		}
		for i, l := range levelsOf(r, isMainsInput) {
			if l.Current == nil {
				continue
			}
			product, _ := place.ModeOf(l.Mode)
			if !outputPowers(r, product, func(k int, c *schema.Claim) bool {
				return yield(Case{Label: "input", Args: []Arg{
					arg(l.Current, place.Level(i, "current")), arg(&l.Voltage, place.Level(i, "voltage")),
					arg(&c.Value, place.Claim(k))}})
			}) {
				return
			}
		}
	}
}

// outputPowers visits the claims that are the power of the whole output: the
// totals, or else the claim of the only port. It reports whether to go on.
func outputPowers(r *schema.Record, product string, visit func(k int, c *schema.Claim) bool) bool {
	found, more := false, true
	totals(r, func(k int, c *schema.Claim) bool {
		if on, _ := claimMode(c.Mode); on != "" && product != "" && on != product {
			return true
		}
		found = true
		more = visit(k, c)
		return more
	})
	sole := solePort(r)
	if found || sole == "" || sole == manyPorts {
		return more
	}
	for k := range r.Claims {
		c := &r.Claims[k]
		if _, f := claimMode(c.Mode); isPower(c) && c.Port == sole && f == place.Output && !visit(k, c) {
			return false
		}
	}
	return true
}

// ruleInputCurrent: the label's input side.
var ruleInputCurrent = &Rule{
	Name: "input-current",
	Doc:  "the input current on the label suits the power",
	Detail: "Power over efficiency, lowest mains voltage and power factor, which is 0.5 to 0.6 without correction " +
		"and 0.95 with it above 75 W: 65 W at 100 V draw 1.23 to 1.48 A. Labels round up, so 0.9 to 3 times that " +
		"is accepted.",
	Source:   "handbook 8.1 I27, 8.5; IEC 61000-3-2 (R38); window common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current", "level.voltage", "claim.power"},
	Find:     mainsAndPower(false),
	Loose:    either(looseBeyond(onWhole, 20), loosePassed, looseOneClaim),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok1 := one(&q[0], schema.KindCurrent)
		v, _, ok2 := in(&q[1], schema.KindVoltage)
		w, ok3 := one(&q[2], schema.KindPower)
		if !ok1 || !ok2 || !ok3 || v <= 0 {
			return none
		}
		t := inputs()
		least, most := t.draw(w, v)
		least, most = least*t.label.Low, most*t.label.High
		switch {
		case a < least:
			return breaks(causeUnder, a, least)
		case a > most:
			return breaks(causeOver, a, most)
		}
		j := fits()
		j.Chance = min(apart(most, least)/limits().span, 1)
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := q[0].String() + " is "
		if j.Cause == causeUnder {
			return s + "too little for " + q[2].String() + " from " + amount(q[1].LowSI(), "V") +
				", which takes at least " + amount(j.Limit, "A")
		}
		return s + "far more than the " + amount(j.Limit, "A") + " that " + q[2].String() + " from " +
			amount(q[1].LowSI(), "V") + " could account for"
	},
}

// ruleOutputWithinInput: nothing comes out that did not go in.
var ruleOutputWithinInput = &Rule{
	Name: "output-within-input",
	Doc:  "a product without a battery gives no more power than its input takes",
	Detail: "The highest mains voltage times the input current is the most that can go in, whatever the power " +
		"factor. Five percent are left for rounding. So it is with the only input of a car charger, where that is " +
		"no USB port: of those several may have been left out.",
	Source:   "conservation of energy (handbook 8.1 I07)",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"level.current", "level.voltage", "level.power", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if i := directInput(r); i >= 0 {
			directPowers(r, i, yield)
			return
		}
		mainsAndPower(false)(r, yield)
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok1 := one(&q[0], schema.KindCurrent)
		_, v, ok2 := in(&q[1], schema.KindVoltage)
		w, ok3 := one(&q[2], schema.KindPower)
		if !ok1 || !ok2 || !ok3 || v <= 0 {
			return none
		}
		if w > a*v*inputs().margin {
			return breaks(0, w, a*v)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " at " + amount(q[1].SI(), "V") + " takes in " + amount(j.Limit, "W") +
			" at most, but " + q[2].String() + " should come out"
	},
}

// directInput is the only input of a product that runs on direct current, from a car
// or a supply of its own, and has no battery; -1 where there is none.
func directInput(r *schema.Record) int {
	only := -1
	if r.Battery != nil {
		return -1
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		if _, f := place.ModeOf(l.Mode); f != place.Input {
			continue
		}
		if s := place.SocketOf(l.Port); only >= 0 || place.IsMains(l) || l.Current == nil ||
			s != place.SocketDC && s != place.SocketUnknown {
			return -1
		}
		only = i
	}
	return only
}

// directPowers finds the powers of the outputs beside an input.
func directPowers(r *schema.Record, input int, yield func(Case) bool) {
	in := &r.Levels[input]
	power := func(a Arg) bool {
		return yield(Case{Label: "input", Args: []Arg{arg(in.Current, place.Level(input, "current")),
			arg(&in.Voltage, place.Level(input, "voltage")), a}})
	}
	going := outputPowers(r, "", func(k int, c *schema.Claim) bool { return power(arg(&c.Value, place.Claim(k))) })
	for i := range r.Levels {
		l := &r.Levels[i]
		if _, f := place.ModeOf(l.Mode); going && f == place.Output && l.Power != nil {
			going = power(arg(l.Power, place.Level(i, "power")))
		}
	}
}

// ruleFuseInput and ruleFusePower size the fuse.
var ruleFuseInput = &Rule{
	Name: "fuse-input-current",
	Doc:  "the mains fuse is rated 1.2 to 6 times the input current",
	Detail: "Below, it would open in use; above, it protects little. The current is that of the label. For the " +
		"rating itself see the rules on parts.",
	Source:   "common practice, no source (handbook 8.1 I28)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.fuse.current", "level.current"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		mainsFuses(r, func(a Arg) bool {
			for i, l := range levelsOf(r, isMainsInput) {
				if l.Current != nil && !yield(Case{Label: "fuse",
					Args: []Arg{a, arg(l.Current, place.Level(i, "current"))}}) {
					return false
				}
			}
			return true
		})
	},
	Loose: either(looseStored, looseOtherFuse, loosePassed, looseLowFuse, looseAtRating),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		fuse, a, ok := two(q, schema.KindCurrent, schema.KindCurrent)
		if !ok {
			return none
		}
		return testFuse(fuse, a, a)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return explainFuse(q, j) + ", with an input current of " + q[1].String()
	},
}

var ruleFusePower = &Rule{
	Name: "fuse-input-power",
	Doc:  "the mains fuse suits the power of the product",
	Detail: "As fuse-input-current, with the input current worked out from the power: power over efficiency, " +
		"lowest mains voltage (100 V where none was said) and power factor.",
	Source:   "common practice, no source (handbook 8.1 I27, I28, 8.5)",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"component.fuse.current", "claim.power", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if r.Battery != nil {
			return
		}
		mainsFuses(r, func(a Arg) bool {
			mains := Arg{}
			for i, l := range levelsOf(r, isMainsInput) {
				mains = arg(&l.Voltage, place.Level(i, "voltage"))
				break
			}
			return outputPowers(r, "", func(k int, c *schema.Claim) bool {
				args := []Arg{a, arg(&c.Value, place.Claim(k))}
				if mains.Value != nil {
					args = append(args, mains)
				}
				return yield(Case{Label: "fuse", Args: args})
			})
		})
	},
	Loose: either(looseTotal(1), both(looseFuse, looseWithin(onMains, 6)), looseLowFuse, looseOtherPower),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		fuse, ok1 := one(&q[0], schema.KindCurrent)
		w, ok2 := one(&q[1], schema.KindPower)
		v := inputs().assumed
		if len(q) > 2 {
			if low, _, ok := in(&q[2], schema.KindVoltage); ok && low > 0 {
				v = low
			}
		}
		if !ok1 || !ok2 {
			return none
		}
		least, most := inputs().draw(w, v)
		return testFuse(fuse, least, most)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return explainFuse(q, j) + ", for a product of " + q[1].String()
	},
}

// mainsFuses visits the current ratings of the fuses on the mains side.
func mainsFuses(r *schema.Record, visit func(Arg) bool) {
	for i := range r.Components {
		c := &r.Components[i]
		if c.Kind != "fuse" || c.Side == "output" || c.Board == "BMS" {
			continue
		}
		for k := range c.Ratings {
			if c.Ratings[k].Property == "current" && !visit(arg(&c.Ratings[k].Value, place.Rating(i, k))) {
				return
			}
		}
	}
}

// testFuse judges a fuse against the least and most input current.
func testFuse(fuse, least, most float64) Judgement {
	t := inputs().fuse
	switch {
	case fuse < least*t.Low:
		return breaks(causeUnder, fuse, least*t.Low)
	case fuse > most*t.High:
		return breaks(causeOver, fuse, most*t.High)
	}
	j := fits()
	j.Chance = min(apart(most*t.High, least*t.Low)/limits().span, 1)
	return j
}

func explainFuse(q []schema.Quantity, j Judgement) string {
	if j.Cause == causeUnder {
		return q[0].String() + " is below the " + amount(j.Limit, "A") + " that it should at least have"
	}
	return q[0].String() + " is above the " + amount(j.Limit, "A") + " that it should at most have"
}
