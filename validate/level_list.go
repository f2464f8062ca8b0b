package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleLevelRepeated compares a level with itself.
var ruleLevelRepeated = &Rule{
	Name: "level-repeated",
	Doc:  "a level said twice has the same current both times",
	Detail: "Two levels of the same port, protocol and mode at the same voltage must have the same current. In " +
		"another mode of the product, or while other ports are in use, the current may lawfully differ, so there " +
		"agreement supports and difference says nothing.",
	Source:   "identity",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"level.current", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		type socket struct {
			port, protocol string
			input          bool
		}
		var args stock
		before := map[socket][]int{}
		for i, l := range levelsOf(r, place.Stated) {
			if l.Current == nil {
				continue
			}
			_, f := place.ModeOf(l.Mode)
			at := socket{l.Port, l.Protocol, f == place.Input}
			for _, k := range before[at] {
				m := &r.Levels[k]
				if !yield(Case{Level: l, Extra: l.Mode == m.Mode, Args: twoLevels(&args, i, l, k, m)}) {
					return
				}
			}
			before[at] = append(before[at], i)
		}
	},
	Loose: looseWithin(onSameThing, 5),
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok1 := one(&q[0], schema.KindCurrent)
		low, high, ok2 := in(&q[1], schema.KindVoltage)
		b, ok3 := one(&q[2], schema.KindCurrent)
		l, h, ok4 := in(&q[3], schema.KindVoltage)
		if !ok1 || !ok2 || !ok3 || !ok4 || !same(low, l) || !same(high, h) {
			return none
		}
		if same(a, b) {
			return fits()
		}
		if !c.Extra.(bool) {
			return none
		}
		return breaks(0, a, b)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " at " + q[1].String() + " here, but " + q[2].String() +
			" was said for the same level before"
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) { return q[2], true },
}

// ruleLevelOrder: lists of levels are read out upwards.
var ruleLevelOrder = &Rule{
	Name: "level-order",
	Doc:  "the fixed levels of a port are said in rising order of voltage",
	Detail: "USB PD demands that the objects rise in voltage after the 5 V one, labels follow it, and reviewers " +
		"read it off. A single step down is a hint that one of the two voltages was misheard. A list read out " +
		"downwards, and one that begins again at 5 V, are left alone; so is 4.5 V beside 5 V: below 5 V are the " +
		"direct levels of other protocols, which labels put beside the list.",
	Source:   "USB PD R3.x §6.4.1 (handbook 2.2, R8b)",
	Standing: standard.Unverified,
	Severity: schema.SeverityNote,
	Relates:  []string{"level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		before, after := chain(r)
		many := solePort(r) == manyPorts // then what has no port is no list
		neighbours(r, func(i int, l *schema.Level, k int, m *schema.Level) bool {
			if place.IsMains(l) || place.IsMains(m) || l.Port == "" && many {
				return true
			}
			// Where there is no level before or after, the nearest stands in
			// for it and does not fall.
			p, n := before[k], after[i]
			if p < 0 {
				p = k
			}
			if n < 0 {
				n = i
			}
			return yield(Case{Level: l, Extra: orderCase{&r.Levels[p].Voltage, &r.Levels[n].Voltage},
				Args: args.of(arg(&l.Voltage, place.Level(i, "voltage")), arg(&m.Voltage, place.Level(k, "voltage")))})
		})
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		later, earlier, ok := two(q, schema.KindVoltage, schema.KindVoltage)
		if !ok {
			return none
		}
		if later >= earlier {
			return fits()
		}
		x := c.Extra.(orderCase)
		if later <= pd().voltage.Low*(1+gridError) || falls(&x.before.Quantity, &q[1]) ||
			falls(&q[0], &x.after.Quantity) {
			return none
		}
		return breaks(0, later, earlier)
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		return q[0].String() + " comes after " + q[1].String() + ", though lists of levels rise"
	},
}

// orderCase holds the voltages said before and after the two compared, as they
// stand: they are no arguments, and a step is no evidence for them.
type orderCase struct{ before, after *schema.Value }

// falls reports whether the voltage b is below a.
func falls(a, b *schema.Quantity) bool {
	x, ok1 := one(a, schema.KindVoltage)
	y, ok2 := one(b, schema.KindVoltage)
	return ok1 && ok2 && y < x
}

// ruleLevelTrend: more voltage, less current, not less power.
var ruleLevelTrend = &Rule{
	Name: "level-trend",
	Doc:  "from one fixed level to the next the power does not fall, nor a current below 3 A rise",
	Detail: "As the voltage rises the power of a source stays or rises, until it is all there is; then the current " +
		"falls. A current may rise only from the 3 A that need no special cable: 15 V 3 A and 20 V 5 A are those " +
		"of a 100 W source. One percent and one watt are left for rounding. Odd products exist, so this is a hint. " +
		"Inputs are left alone: what a product takes need not follow a rule; and so are USB-A levels without a " +
		"protocol given: those of several protocols stand side by side there. SCP and other protocols of makers " +
		"raise the current with the voltage, 9 V 2 A beside 10 V 4 A.",
	Source:   "common practice, no source (follows from handbook 2.2, 3.1)",
	Standing: standard.Practice,
	Severity: schema.SeverityNote,
	Relates:  []string{"level.current", "level.voltage"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		var args stock
		many := solePort(r) == manyPorts // then what has no port is no list
		neighbours(r, func(i int, l *schema.Level, k int, m *schema.Level) bool {
			_, f := place.ModeOf(l.Mode)
			p := place.ProtocolOf(l.Protocol)
			return p == place.SCP || p == place.OtherProtocol || l.Port == "" && many || l.Current == nil ||
				m.Current == nil ||
				f == place.Input || place.IsMains(l) || place.SocketOf(l.Port) == place.SocketA && l.Protocol == "" ||
				yield(Case{Level: l, Args: twoLevels(&args, i, l, k, m)})
		})
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok1 := one(&q[0], schema.KindCurrent)
		v, ok2 := one(&q[1], schema.KindVoltage)
		b, ok3 := one(&q[2], schema.KindCurrent)
		u, ok4 := one(&q[3], schema.KindVoltage)
		if !ok1 || !ok2 || !ok3 || !ok4 || same(u, v) {
			return none
		}
		if v < u {
			a, v, b, u = b, u, a, v
		}
		if a > b*sums().share && (b < pd().required.High || a > pd().current.High) {
			return breaks(causeCurrentRises, a, b)
		}
		if u*b > v*a*sums().share+sums().rounding {
			return breaks(causePowerFalls, v*a, u*b)
		}
		return fits()
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := q[3].String() + " " + q[2].String() + " and " + q[1].String() + " " + q[0].String()
		if j.Cause == causeCurrentRises {
			return s + " side by side: the current rises with the voltage"
		}
		return s + " side by side: the power falls from " + amount(j.Limit, "W") + " to " + amount(j.Got, "W") +
			" as the voltage rises"
	},
}

// Causes of ruleLevelTrend.
const (
	causeCurrentRises = iota
	causePowerFalls
)

// twoLevels relates current and voltage of a level with those of an earlier
// one.
func twoLevels(args *stock, i int, l *schema.Level, k int, m *schema.Level) []Arg {
	return args.of(
		arg(l.Current, place.Level(i, "current")), arg(&l.Voltage, place.Level(i, "voltage")),
		arg(m.Current, place.Level(k, "current")), arg(&m.Voltage, place.Level(k, "voltage")),
	)
}

// chain gives for every stated level the one said before and the one said
// after it for the same mode, port and protocol, -1 where there is none.
func chain(r *schema.Record) (before, after []int) {
	n := len(r.Levels)
	both := make([]int, 2*n)
	before, after = both[:n], both[n:]
	for i := range both {
		both[i] = -1
	}
	neighbours(r, func(i int, _ *schema.Level, k int, _ *schema.Level) bool {
		before[i], after[k] = k, i
		return true
	})
	return before, after
}

// listOf is the list of levels that a level stands in.
type listOf struct{ mode, port, protocol string }

// neighbours visits every stated level together with the one said before it
// for the same mode, port and protocol.
func neighbours(r *schema.Record, visit func(i int, l *schema.Level, k int, m *schema.Level) bool) {
	last := map[listOf]int{}
	for i, l := range levelsOf(r, place.Stated) {
		list := listOf{l.Mode, l.Port, l.Protocol}
		if k, ok := last[list]; ok && !visit(i, l, k, &r.Levels[k]) {
			return
		}
		last[list] = i
	}
}
