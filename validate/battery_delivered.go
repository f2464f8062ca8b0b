package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleDelivered is charge × voltage = energy of one discharge.
var ruleDelivered = &Rule{
	Name: "charge-delivered",
	Doc:  "a charge delivered at a voltage is the energy delivered",
	Detail: "A meter between bank and load counts milliamp hours and watt hours together: 6.2 Ah at 5 V are 31 Wh. " +
		"The voltage is that of the load; a cable and the droop of the source explain 6 %. Looked at where both " +
		"were read one after the other at one load.",
	Source:   "E = Q × V (handbook 8.1 I03); slack common practice, no source",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates:  []string{"measurement.energy", "measurement.capacity_out", "condition.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := 1; i < len(r.Measurements); i++ {
			m, n := &r.Measurements[i-1], &r.Measurements[i]
			at, of := i, i-1
			if isChargeOut(n) {
				m, n, at, of = n, m, i-1, i
			}
			if !isChargeOut(m) || !isEnergyOut(n) || !sameSpot(m, n) {
				continue
			}
			volt, from := m, of
			if volt.Condition == nil || volt.Condition.Voltage == nil {
				volt, from = n, at
			}
			if volt.Condition == nil || volt.Condition.Voltage == nil {
				continue
			}
			if !yield(Case{Label: measureLabel(n), Args: []Arg{arg(&n.Value, place.Measurement(at)), arg(&m.Value,
				place.Measurement(of)),
				arg(volt.Condition.Voltage, conditionPath(from, "voltage"))}}) {
				return
			}
		}
	},
	Loose: either(looseFar(onSameThing), looseApart(onSameThing)),
	Test: func(_ *Case, q []schema.Quantity) Judgement {
		e, c, v, ok := three(q, schema.KindEnergy, schema.KindCharge, schema.KindVoltage)
		if !ok {
			return none
		}
		if apart(c*v, e) > deliveredShare().High {
			return odd(0, c*v, e)
		}
		return fits()
	},
	Explain: func(_ *Case, q []schema.Quantity, j Judgement) string {
		return q[1].String() + " at " + q[2].String() + " are " + amount(j.Got, "W.h") + ", but " + q[0].String() +
			" was " +
			"read"
	},
}

var deliveredShare = standard.Bound("delivered.share")

// isChargeOut reports whether a charge was measured at an output.
func isChargeOut(m *schema.Measurement) bool {
	return (m.Property == "capacity_out" || m.Property == "capacity") &&
		(m.Condition == nil || !place.IsInput(m.Condition.Mode))
}

// rulePartCharge is a share of the charge in a time.
var rulePartCharge = &Rule{
	Name: "part-charge",
	Doc:  "a share of the charge takes at least that share of the energy over the input power",
	Detail: "\"To 80 % in half an hour\": 80 % of the energy of the cells, over the time, is what must have gone " +
		"in at the least, whatever was lost. The highest input power given counts, 5 % are left for rounding. A " +
		"charge that did not begin at nothing takes less, which is said as a range, 20 to 80 %.",
	Source:   "conservation of energy (handbook 8.1 I20)",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates: []string{"measurement.state_of_charge", "condition.time", "measurement.charge_time", "level.voltage",
		"level.current",
		"battery.pack.energy", "battery.pack.capacity", "battery.cell.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		s, ok := storeOf(r.Battery)
		if !ok {
			return
		}
		var x charging
		inputs := x.inputs(r, "")
		if inputs == nil {
			return
		}
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "state_of_charge" {
				continue
			}
			time := timeOf(r, i)
			if time == nil {
				continue
			}
			args := append(joined(arg(&m.Value, place.Measurement(i)), []Arg{*time}), s.args...)
			if !yield(Case{Label: "charging", Extra: s, Args: append(args, inputs...)}) {
				return
			}
		}
	},
	Loose: looseTimed,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		s := c.Extra.(store)
		low, high, ok1 := in(&q[0], schema.KindRatio)
		t, ok2 := one(&q[1], schema.KindTime)
		e, ok3 := s.joules(q[2:])
		from := 2 + len(s.args)
		at, p := inputPowerOf(q[from:])
		if !ok1 || !ok2 || !ok3 || p <= 0 || high <= 0 || high > 1 {
			return none
		}
		share := high
		if q[0].Range {
			share = high - low
		}
		if got := share * e / t; got > p*inputMargin() {
			return odd(0, got, p).of(0, 1, 2, from-1, from+at, from+at+1)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " of " + c.Extra.(store).words(q[2:]) + " in " + q[1].String() + " takes " +
			amount(j.Got,
				"W") +
			" at the least, but " + amount(j.Limit, "W") + " is the most that goes in"
	},
}

func inputMargin() float64 { return inputs().margin }

// timeOf is the time that a share of the charge was reached in: its condition,
// or the charge time measured right before or after it.
func timeOf(r *schema.Record, i int) *Arg {
	if x := r.Measurements[i].Condition; x != nil && x.Time != nil {
		a := arg(x.Time, conditionPath(i, "time"))
		return &a
	}
	for _, k := range [...]int{i + 1, i - 1} {
		if k >= 0 && k < len(r.Measurements) {
			if p := r.Measurements[k].Property; p == "charge_time" || p == "duration" {
				a := arg(&r.Measurements[k].Value, place.Measurement(k))
				return &a
			}
		}
	}
	return nil
}

// looseTimed: a share and a time that were not said in one breath, or where the
// charge may not have begun at nothing.
func looseTimed(_ *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if !q[0].Range || !together(c.Args[0].Value, c.Args[1].Value) {
		return onInput
	}
	return ""
}
