package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleAirTravel notes the classes of passenger flights.
var ruleAirTravel = &Rule{
	Name: "air-travel",
	Doc:  "above 100 Wh a power bank flies only with approval, above 160 Wh not with passengers",
	Detail: "A note, not a fault. The rule speaks of the energy on the label; a computed one is a hint. At most " +
		"two power banks per person since 2026-03-27 (ICAO Doc 9284 addendum 1). Airlines and countries may be " +
		"stricter.",
	Source:   "IATA DGR passenger provisions, ICAO Doc 9284 (handbook 5.7, R34, R34b-d)",
	Standing: standard.Verified,
	Severity: schema.SeverityNote,
	Relates:  []string{"battery.pack.energy", "battery.pack.capacity", "battery.cell.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		if s, ok := storeOf(r.Battery); ok {
			yield(Case{Extra: s, Args: s.args})
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		e, ok := c.Extra.(store).joules(q)
		switch {
		case !ok:
			return none
		case e > airApproval().High:
			return odd(causeForbidden, e, airApproval().High).at(schema.SeverityNote)
		case e > airFree().High:
			return odd(causeApproval, e, airFree().High).at(schema.SeverityNote)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		t := amount(j.Got, "W.h")
		if s := c.Extra.(store); len(s.args) > 1 || s.times > 1 {
			t += " (" + s.words(q) + ")"
		}
		if j.Cause == causeForbidden {
			return t + " is above the " + amount(j.Limit, "W.h") +
				" up to which passengers may carry a power bank, as of 2026-03-27; ask the airline"
		}
		return t + " is above " + amount(j.Limit, "W.h") +
			": a flight needs the approval of the airline, and at most two go per person, as of 2026-03-27"
	},
}

// Causes of ruleAirTravel.
const (
	causeApproval = iota
	causeForbidden
)

var (
	airFree     = standard.Bound("air.free")
	airApproval = standard.Bound("air.approval")
)

// ruleChargeTime is charge time against energy over input power.
var ruleChargeTime = &Rule{
	Name: "charge-time",
	Doc:  "a pack takes at least its energy over the input power to charge, and usually 1.15 to 1.6 times that",
	Detail: "The least time is the energy of the cells over the highest input power given, without any loss: a " +
		"shorter time is impossible. Only inputs of the port that was charged at count, where that was said. With " +
		"an efficiency of 88 % and a constant-voltage taper the usual time is 1.15 to 1.6 times the energy over " +
		"what is stored of the power; outside 1 to 2.5 is worth a look. Where the port was not said and there are " +
		"several, a long time may be that of the weakest.",
	Source:   "conservation of energy; handbook 8.1 I20 and I21",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates: []string{"measurement.charge_time", "measurement.duration", "level.voltage", "level.current",
		"level.power", "battery.pack.energy", "battery.pack.capacity", "battery.cell.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		s, ok := storeOf(r.Battery)
		if !ok {
			return
		}
		for i := range r.Measurements {
			m := &r.Measurements[i]
			if m.Property != "charge_time" &&
				(m.Property != "duration" || m.Condition == nil || !place.IsInput(m.Condition.Mode)) {
				continue
			}
			if i > 0 && goesOn(&r.Measurements[i-1], m) {
				continue // the minutes of the hours before
			}
			x := charging{store: s}
			if i+1 < len(r.Measurements) && goesOn(m, &r.Measurements[i+1]) {
				x.rest = &r.Measurements[i+1].Value
			}
			port := ""
			if m.Condition != nil {
				port = m.Condition.Port
			}
			inputs := x.inputs(r, port)
			if inputs == nil {
				continue
			}
			args := joined(arg(&m.Value, place.Measurement(i)), s.args)
			if !yield(Case{Label: "charging", Extra: x, Args: append(args, inputs...)}) {
				return
			}
		}
	},
	Loose: looseCharge,
	Test: func(c *Case, q []schema.Quantity) Judgement {
		x := c.Extra.(charging)
		t, ok1 := one(&q[0], schema.KindTime)
		e, ok2 := x.store.joules(q[1:])
		inputs := 1 + len(x.store.args)
		at, p := inputPowerOf(q[inputs:])
		if !ok1 || !ok2 || p <= 0 {
			return none
		}
		t += x.seconds()
		least := e / p
		if t < least {
			return breaks(causeBelow, t, least).of(0, 1, inputs-1, inputs+at, inputs+at+1)
		}
		usual, w := chargeTaper(), chargeTaperOdd()
		at, p = x.weakest(q[inputs:])
		if p <= 0 {
			return none
		}
		least = e / p / chargeEfficiency().High
		if t > least*w.High {
			return on(w, breaks(causeAbove, t, least*w.High).aside()).of(0, 1, inputs-1, inputs+at, inputs+at+1)
		}
		j := fits()
		j.Chance = chanceInWindow(usual.Low, usual.High)
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		x := c.Extra.(charging)
		inputs := q[1+len(x.store.args):]
		_, p := inputPowerOf(inputs)
		if j.Cause != causeBelow {
			_, p = x.weakest(inputs)
		}
		took := q[0].String()
		if x.rest != nil {
			took += " " + x.rest.Quantity.String()
		}
		t := took + " for " + x.store.words(q[1:]) + " with at most " + amount(p, "W") + " in"
		if j.Cause == causeBelow {
			return t + ": it takes at least " + amount(j.Limit, "h")
		}
		return t + " is long: a full taper takes up to " + amount(j.Limit, "h")
	},
}

var (
	chargeTaper      = standard.Bound("charge.taper")
	chargeTaperOdd   = standard.Bound("charge.taper.odd")
	chargeEfficiency = standard.Bound("charge.efficiency")
)

// charging is what a charge time is compared with: the energy of the cells and
// the inputs, port by port.
type charging struct {
	store store
	ends  []int         // of each port's arguments among those of the inputs
	rest  *schema.Value // minutes said behind the hours; nil none
}

// seconds is the rest of the time.
func (x charging) seconds() float64 {
	if x.rest == nil {
		return 0
	}
	t, _ := one(&x.rest.Quantity, schema.KindTime)
	return t
}

// goesOn reports whether a time goes on in the next: "2 hours 20 minutes".
func goesOn(a, b *schema.Measurement) bool {
	u, v := &a.Value, &b.Value
	return a.Property == b.Property && len(u.Said) == 1 && len(v.Said) == 1 && v.Said[0] == u.Said[0]+1 &&
		u.Quantity.Unit.Kind() == schema.KindTime && v.Quantity.Unit.Kind() == schema.KindTime &&
		u.Quantity.Unit.Scale() > v.Quantity.Unit.Scale()
}

// inputs gives voltage and current of the input levels of a port, of all ports
// one after the other where it is "".
func (x *charging) inputs(r *schema.Record, port string) []Arg {
	ports := []string{} // in the order said
	of := map[string][]Arg{}
	left := mostLevels
	for i := range r.Levels {
		l := &r.Levels[i]
		if _, f := place.ModeOf(l.Mode); f != place.Input || l.Current == nil || port != "" && l.Port != port ||
			left == 0 {
			continue
		}
		left--
		if of[l.Port] == nil {
			ports = append(ports, l.Port)
		}
		of[l.Port] = append(of[l.Port], arg(&l.Voltage, place.Level(i, "voltage")),
			arg(l.Current, place.Level(i, "current")))
	}
	var args []Arg
	for _, p := range ports {
		args = append(args, of[p]...)
		x.ends = append(x.ends, len(args))
	}
	return args
}

// weakest is the least over the ports of what inputPowerOf has for each.
func (x charging) weakest(q []schema.Quantity) (at int, least float64) {
	from := 0
	for _, end := range x.ends {
		i, p := inputPowerOf(q[from:end])
		if p > 0 && (least == 0 || p < least) {
			at, least = from+i, p
		}
		from = end
	}
	return at, least
}

// inputPowerOf is the highest product of the pairs voltage, current, and the
// index of that pair.
func inputPowerOf(q []schema.Quantity) (at int, top float64) {
	for i := 0; i+1 < len(q); i += 2 {
		_, v, ok1 := in(&q[i], schema.KindVoltage)
		_, a, ok2 := in(&q[i+1], schema.KindCurrent)
		if ok1 && ok2 && v*a > top {
			at, top = i, v*a
		}
	}
	return at, top
}

// ruleEnergyOut compares a measured energy with the cells.
var ruleEnergyOut = &Rule{
	Name: "energy-out",
	Doc:  "a pack gives out no more than its cells hold, usually 65 % to 98 %",
	Detail: "Compares every energy measured at an output with the energy of the cells. Cells may hold a little " +
		"more than their label: above 98 % is a note, above 100 % an error.",
	Source:   "conservation of energy; handbook 8.1 I10, usual range 8.4",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"measurement.energy", "battery.pack.energy", "battery.pack.capacity", "battery.cell.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		s, ok := storeOf(r.Battery)
		if !ok {
			return
		}
		for i := range r.Measurements {
			if m := &r.Measurements[i]; isEnergyOut(m) &&
				!yield(Case{Label: "measured output", Extra: energyShareCase{1, s},
					Args: joined(arg(&m.Value, place.Measurement(i)), s.args)}) {
				return
			}
		}
	},
	Loose: either(looseEnergyOut, looseBeyond(onSameThing, 20)),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		return c.Extra.(energyShareCase).judge(q, energyOutWindow())
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return c.Extra.(energyShareCase).explain(q, j, energyOutWindow())
	},
}

var energyOutWindow = standard.Bound("energyout.window")

// isEnergyOut reports whether an energy was measured at an output.
func isEnergyOut(m *schema.Measurement) bool {
	return (m.Property == "energy_out" || m.Property == "energy") &&
		(m.Condition == nil || !place.IsInput(m.Condition.Mode))
}

// ruleEnergyEfficiency is Wh out / Wh cells = %.
var ruleEnergyEfficiency = &Rule{
	Name: "energy-efficiency",
	Doc:  "an efficiency said after an energy is that energy over the energy of the cells",
	Detail: "Reviewers discharge a bank, read the energy, and give the percentage next. The percentage may also be " +
		"taken of the rated energy. Only the first efficiency after each energy is looked at.",
	Source:   "arithmetic; handbook 8.1 I10",
	Standing: standard.Computed,
	Severity: schema.SeverityWarning,
	Relates: []string{"measurement.efficiency", "measurement.energy", "battery.pack.energy", "battery.pack.capacity",
		"battery.cell.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		s, ok := storeOf(r.Battery)
		if !ok {
			return
		}
		energy := -1
		for i := range r.Measurements {
			m := &r.Measurements[i]
			switch {
			case isEnergyOut(m):
				energy = i
			case m.Property == "efficiency" && energy >= 0:
				args := []Arg{arg(&m.Value, place.Measurement(i)),
					arg(&r.Measurements[energy].Value, place.Measurement(energy))}
				energy = -1
				if !yield(Case{Label: "measured output", Extra: s, Args: append(args, s.args...)}) {
					return
				}
			}
		}
	},
	Loose: rests(onShare),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		share, ok1 := one(&q[0], schema.KindRatio)
		out, ok2 := one(&q[1], schema.KindEnergy)
		cells, ok3 := c.Extra.(store).joules(q[2:])
		if !ok1 || !ok2 || !ok3 {
			return none
		}
		return within(out/cells, share, energyOutShare().High)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[1].String() + " of " + c.Extra.(store).words(q[2:]) + " is " + amount(j.Got, "%") + ", but " +
			q[0].String() + " was said"
	},
	Propose: func(c *Case, q []schema.Quantity, _ Judgement) (schema.Quantity, bool) {
		if c.Extra.(store).times != 1 || len(q) != 3 || q[0].Unit != "%" {
			return schema.Quantity{}, false
		}
		cells, err := q[2].Unit.Convert(q[2].Low, q[1].Unit)
		if err != nil {
			return schema.Quantity{}, false
		}
		v, ok := q[1].Low.Shift(2).Quo(cells)
		return schema.One(v.Round(1).Trim(), "%"), ok
	},
}

var energyOutShare = standard.Bound("energyout.share")
