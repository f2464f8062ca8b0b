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

// conditionPath is the path of a condition's field.
func conditionPath(i int, name string) place.Path {
	return place.Item("measurements", i, "condition."+name)
}

// measureLabel opens a sentence about a measurement.
func measureLabel(m *schema.Measurement) string {
	property := strings.ReplaceAll(m.Property, "_", " ")
	if m.Condition == nil {
		return place.Label(m.Subject, property)
	}
	return place.Label(m.Subject, m.Condition.Port, m.Condition.Protocol, property)
}

// ruleMeasuredLoad is V × A = W of a load.
var ruleMeasuredLoad = &Rule{
	Name: "measured-load",
	Doc:  "voltage, current and power of a load said together multiply",
	Detail: "The state that something was measured in: 20 V and 3.25 A are a load of 65 W. Meters and rounding may " +
		"differ by 2.5 %.",
	Source:   "P = V × I; handbook 8.1 I02, tolerance common practice",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"condition.power", "condition.voltage", "condition.current", "measurement.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			m := &r.Measurements[i]
			x := m.Condition
			if x == nil || x.Voltage == nil || x.Current == nil {
				continue
			}
			v, a := arg(x.Voltage, conditionPath(i, "voltage")), arg(x.Current, conditionPath(i, "current"))
			if x.Power != nil && !yield(Case{Label: measureLabel(m),
				Args: []Arg{arg(x.Power, conditionPath(i, "power")), v, a}}) {
				return
			}
			if m.Property == "power" && !yield(Case{Label: measureLabel(m),
				Args: []Arg{arg(&m.Value, place.Measurement(i)), v, a}}) {
				return
			}
		}
	},
	Loose: either(looseBeyond(onSameThing, 20), looseApart(onSameThing), looseLoad),
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		w, v, a, ok := three(q, schema.KindPower, schema.KindVoltage, schema.KindCurrent)
		if !ok {
			return none
		}
		return within(v*a, w, loadShare().High*w+roundingOf(&q[0]))
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[1].String() + " × " + q[2].String() + " is " + amount(j.Got, "W") + ", but " + q[0].String() +
			" was said"
	},
}

var loadShare = standard.Bound("load.share")

// ruleRipple is a window.
var ruleRipple = &Rule{
	Name: "ripple-window",
	Doc:  "ripple is millivolts: 1 mV to 1 V at most, usually 2 to 300 mV",
	Detail: "Peak to peak in 20 MHz of bandwidth; the common limit of the trade is 100 to 200 mV. Volts for " +
		"millivolts is a lost prefix.",
	Source:   "handbook 8.3 and 7.2, common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"measurement.ripple"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			if m := &r.Measurements[i]; m.Property == "ripple" &&
				!yield(Case{Label: measureLabel(m), Args: []Arg{arg(&m.Value, place.Measurement(i))}}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		v, ok := one(&q[0], schema.KindVoltage)
		if !ok {
			return none
		}
		hard, usual := rippleWindow(), rippleUsual()
		if j := window(v, hard.Low, hard.High); j.Verdict == VerdictBreaks {
			return j
		}
		j := window(v, usual.Low, usual.High).aside()
		if j.Verdict == VerdictOdd {
			return j.at(schema.SeverityNote)
		}
		return j
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if j.Verdict == VerdictOdd {
			return q[0].String() + " is " + beyond(j, "mV") + " of usual ripple"
		}
		return q[0].String() + " is " + beyond(j, "mV") + " that ripple can plausibly be"
	},
}

var (
	rippleWindow = standard.Bound("ripple.window")
	rippleUsual  = standard.Bound("ripple.usual")
)

// ruleNoLoadPower is a window and the EU limit.
var ruleNoLoadPower = &Rule{
	Name: "no-load-power",
	Doc:  "a charger without load takes 5 mW to 1 W; the EU limits are 0.10, 0.21 and 0.30 W",
	Detail: "What a power station or another product with a mains output draws for itself is left alone: an " +
		"inverter takes watts. Regulation (EU) 2019/1782 allows external power supplies 0.10 W up to 49 W, 0.21 W " +
		"above, and 0.30 W with several outputs. The rule notes a reading above; whether the regulation applies to " +
		"the product is not for it to say.",
	Source: "handbook 7.2, common practice, no source; limits: Regulation (EU) 2019/1782 Annex II (handbook 8.4, " +
		"R28), W81",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"measurement.no_load_power", "claim.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if hasInverter(r) {
			return
		}
		for i := range r.Measurements {
			if m := &r.Measurements[i]; m.Property == "no_load_power" &&
				!yield(Case{Label: measureLabel(m), Extra: idle{len(r.Ports) > 1, !hasPad(r)},
					Args: joined(arg(&m.Value, place.Measurement(i)), powerClaims(r))}) {
				return
			}
		}
	},
	Loose: looseHub,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		p, ok := one(&q[0], schema.KindPower)
		if !ok {
			return none
		}
		j := window(p, noLoadWindow().Low, noLoadWindow().High)
		if j.Verdict == VerdictBreaks {
			return j.of(0)
		}
		at, rating := highest(q[1:], schema.KindPower)
		x := c.Extra.(idle)
		if at < 0 || !x.supply {
			return j
		}
		limit := noLoadSmall()
		switch {
		case x.multiple:
			limit = noLoadMultiple()
		case rating > noLoadSplit().High:
			limit = noLoadLarge()
		}
		if p > limit.High {
			return on(limit, odd(causeRegulation, p, limit.High).at(schema.SeverityNote)).of(0, 1+at)
		}
		return j
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeRegulation {
			return q[0].String() + " without load is above " + amount(j.Limit, "W") +
				", the no-load limit of Regulation (EU) 2019/1782 for a supply of this size"
		}
		return q[0].String() + " without load is " + beyond(j, "W") + " that is plausible"
	},
}

// idle describes a product without load: whether it has several outputs, and whether
// it may be an external power supply, which the regulation is on: a pad is none.
type idle struct{ multiple, supply bool }

// hasInverter reports whether the product makes mains from its battery: a power
// station, or one whose levels have such an output.
func hasInverter(r *schema.Record) bool {
	return r.Product.Kind == "power station" || slices.ContainsFunc(r.Levels, func(l schema.Level) bool {
		_, f := place.ModeOf(l.Mode)
		return r.Battery != nil && f != place.Input &&
			(place.SocketOf(l.Port) == place.SocketMains || place.ProtocolOf(l.Protocol) == place.AC)
	})
}

// causeRegulation of ruleNoLoadPower, beside those of a window.
const causeRegulation = causeAbove + 1

var (
	noLoadWindow   = standard.Bound("noload.window")
	noLoadSmall    = standard.Bound("noload.floor.small")
	noLoadLarge    = standard.Bound("noload.floor.large")
	noLoadMultiple = standard.Bound("noload.floor.multiple")
	noLoadSplit    = standard.Bound("noload.floor.split")
)

// ruleTripCurrent is over-current protection.
var ruleTripCurrent = &Rule{
	Name: "trip-current",
	Doc:  "a port trips above the current of its level, usually below twice that",
	Detail: "Compares with the current of the condition, or else with the levels of the same port at the same " +
		"voltage, which may be one of another state, when ports share: then only what a lost point explains is " +
		"warned of.",
	Source:   "common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"measurement.trip_current", "condition.current", "level.current"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "trip_current" || m.Condition == nil {
				continue
			}
			main := arg(&m.Value, place.Measurement(i))
			if m.Condition.Current != nil {
				if !yield(Case{Label: measureLabel(m),
					Args: []Arg{main, arg(m.Condition.Current, conditionPath(i, "current"))}}) {
					return
				}
				continue
			}
			if m.Condition.Voltage == nil {
				continue
			}
			args := []Arg{main, arg(m.Condition.Voltage, conditionPath(i, "voltage"))}
			for k := range r.Levels[:min(len(r.Levels), mostLevels)] {
				l := &r.Levels[k]
				if _, f := place.ModeOf(l.Mode); f != place.Input && l.Current != nil && l.Port == m.Condition.Port {
					args = append(args, arg(&l.Voltage, place.Level(k, "voltage")),
						arg(l.Current, place.Level(k, "current")))
				}
			}
			if len(args) > 2 && !yield(Case{Label: measureLabel(m), Args: args}) {
				return
			}
		}
	},
	Loose: either(looseFar(onSameThing), both(looseFound, looseWithin(onSameThing, 3))),
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		trip, ok := one(&q[0], schema.KindCurrent)
		at, level := levelCurrent(q)
		if !ok || at == 0 {
			return none
		}
		w := tripWindow()
		j := window(trip/level, w.Low, w.High)
		if j.Verdict == VerdictBreaks {
			j.Got, j.Limit = trip, level*[...]float64{w.Low, w.High}[j.Cause]
		}
		return j.of(0, 1, at)
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		_, level := levelCurrent(q)
		if j.Cause == causeBelow {
			return q[0].String() + " is below the " + amount(level, "A") + " that the level carries"
		}
		return q[0].String() + " is above " + amount(j.Limit, "A") + ", the most at which a level of " +
			amount(level, "A") + " usually trips"
	},
}

// levelCurrent is the current that a trip current compares with: the second
// argument, or that of the level at the voltage which is the second argument;
// with its index, 0 for none.
func levelCurrent(q []schema.Quantity) (at int, top float64) {
	if len(q) == 2 {
		if a, ok := one(&q[1], schema.KindCurrent); ok {
			return 1, a
		}
		return 0, 0
	}
	set, ok := one(&q[1], schema.KindVoltage)
	for i := 2; ok && i+1 < len(q); i += 2 {
		v, ok1 := one(&q[i], schema.KindVoltage)
		a, ok2 := one(&q[i+1], schema.KindCurrent)
		if ok1 && ok2 && same(v, set) && a > top {
			at, top = i+1, a
		}
	}
	return at, top
}

var tripWindow = standard.Bound("trip.window")

// ruleTemperatureAmbient: nothing that works is colder than the room.
var ruleTemperatureAmbient = &Rule{
	Name: "temperature-ambient",
	Doc:  "a working product is no colder than the room, and a rise added to the room is the temperature",
	Detail: "Within 3 K. The room is the ambient said with the reading, or else the one measured. A rise in kelvin " +
		"is compared with the temperature said right after it, where subject and port are the same.",
	Source:   "second law of thermodynamics; handbook 8.1 I36, slack common practice",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates: []string{"measurement.temperature", "measurement.ambient", "condition.ambient",
		"measurement.temperature_rise"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var room *Arg
		for i := range r.Measurements {
			if m := &r.Measurements[i]; m.Property == "ambient" && room == nil {
				a := arg(&m.Value, place.Measurement(i))
				room = &a
			}
		}
		rise := -1
		for i := range r.Measurements {
			m := &r.Measurements[i]
			switch m.Property {
			case "temperature_rise":
				rise = i
				continue
			case "temperature":
			default:
				continue
			}
			ambient := room
			if m.Condition != nil && m.Condition.Ambient != nil {
				a := arg(m.Condition.Ambient, conditionPath(i, "ambient"))
				ambient = &a
			}
			if ambient == nil {
				continue
			}
			args := []Arg{arg(&m.Value, place.Measurement(i)), *ambient}
			if rise >= 0 && rise == i-1 && sameSpot(&r.Measurements[rise], m) {
				args = append(args, arg(&r.Measurements[rise].Value, place.Measurement(rise)))
			}
			rise = -1
			if !yield(Case{Label: measureLabel(m), Args: args}) {
				return
			}
		}
	},
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		_, t, ok1 := kelvins(&q[0])
		room, _, ok2 := kelvins(&q[1])
		if !ok1 || !ok2 {
			return none
		}
		slack := temperatureRise().High
		if len(q) > 2 {
			rise, ok := one(&q[2], schema.KindTemperatureDifference)
			if !ok {
				return none
			}
			if gap := math.Abs(room + rise - t); gap > slack {
				j := breaks(causeRise, room+rise, t)
				j.Excess = math.Log(gap / slack)
				return j
			}
			return fits()
		}
		if t < room-slack {
			j := breaks(causeBelow, t, room)
			j.Excess = math.Log((room - t) / slack)
			return j
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		if j.Cause == causeRise {
			return "a room of " + q[1].String() + " and a rise of " + q[2].String() + " do not make " + q[0].String()
		}
		return q[0].String() + " is colder than the room of " + q[1].String()
	},
}

// sameSpot reports whether two measurements were taken at the same place.
func sameSpot(a, b *schema.Measurement) bool {
	port := func(m *schema.Measurement) string {
		if m.Condition == nil {
			return ""
		}
		return m.Condition.Port
	}
	return a.Subject == b.Subject && port(a) == port(b)
}

// causeRise of ruleTemperatureAmbient, beside those of a window.
const causeRise = causeAbove + 1

var temperatureRise = standard.Bound("temperature.rise")

// ruleTemperatureWindow is a window.
var ruleTemperatureWindow = &Rule{
	Name:     "temperature-window",
	Doc:      "temperatures read on products lie between −20 and 150 °C, rooms between 0 and 45 °C",
	Detail:   "Beyond, a unit or a digit was misheard. Infrared readings depend on emissivity.",
	Source:   "handbook 7.2 and 8.3, common practice, no source",
	Standing: standard.Practice,
	Severity: schema.SeverityWarning,
	Relates:  []string{"measurement.temperature", "measurement.ambient", "condition.ambient"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property == "temperature" &&
				!yield(Case{Label: measureLabel(m), Extra: temperatureWindow,
					Args: []Arg{arg(&m.Value, place.Measurement(i))}}) {
				return
			}
			if m.Property == "ambient" && !yield(Case{Label: "room", Extra: ambientWindow,
				Args: []Arg{arg(&m.Value, place.Measurement(i))}}) {
				return
			}
			if m.Condition != nil && m.Condition.Ambient != nil &&
				!yield(Case{Label: "room", Extra: ambientWindow,
					Args: []Arg{arg(m.Condition.Ambient, conditionPath(i, "ambient"))}}) {
				return
			}
		}
	},
	Loose: looseHeat,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		low, high, ok := kelvins(&q[0])
		if !ok {
			return none
		}
		w := c.Extra.(func() standard.Limit)()
		j := fits()
		switch {
		case high > w.High:
			j = breaks(causeAbove, high, w.High)
			j.Excess = math.Log1p((high - w.High) / (w.High - w.Low))
		case low < w.Low:
			j = breaks(causeBelow, low, w.Low)
			j.Excess = math.Log1p((w.Low - low) / (w.High - w.Low))
		}
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " is " + []string{"below", "above"}[j.Cause] + " the " + celsius(j.Limit) +
			" that such a reading plausibly has"
	},
}

var (
	temperatureWindow = standard.Bound("temperature.window")
	ambientWindow     = standard.Bound("ambient.window")
)

// kelvins gives the ends of a temperature in kelvin; false for another kind.
func kelvins(q *schema.Quantity) (low, high float64, ok bool) {
	offset, ok := offsets()[q.Unit]
	if !ok {
		return 0, 0, false
	}
	scale := q.Unit.Scale()
	return (q.Low.Float64() + offset) * scale, (q.High.Float64() + offset) * scale, true
}

// offsets are those of the units of temperature, as floats; Quantity.SI would
// convert them from fractions at every call.
var offsets = sync.OnceValue(func() map[schema.Unit]float64 {
	m := map[schema.Unit]float64{}
	for _, u := range schema.Units() {
		if u.Kind == schema.KindTemperature {
			m[u.Unit], _ = u.Offset.Float64()
		}
	}
	return m
})

// celsius writes a temperature in kelvin as °C.
func celsius(kelvin float64) string {
	return toGrid(kelvin-offsets()["Cel"], 1, "K").Low.String() + " °C"
}
