package validate

import (
	"math"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// ruleLevelPower is the first identity of the trade.
var ruleLevelPower = &Rule{
	Name: "level-power",
	Doc:  "the power given for a level is its voltage times its current",
	Detail: "Labels round the current to two decimals and the power to a whole watt or a tenth, so 9 V × 2.22 A = " +
		"19.98 W and 12 V × 1.67 A = 20.04 W are both sold as 20 W. The band is 0.005 V + 0.005 P + half the last " +
		"place of the power as said. Three measured numbers may differ by 2 %. A programmable level (PPS, AVS) may " +
		"be said with the power of any voltage in its range, so only a power above the top of the range is worth a " +
		"note.",
	Source:   "P = V × I; tolerance: handbook 2.4 and 8.1 I01, I02 (label of R44)",
	Standing: standard.Computed,
	Severity: schema.SeverityError,
	Relates:  []string{"level.current", "level.voltage", "level.power"},
	Find: func(r *schema.Record, yield func(Case) bool) {
		for i := range r.Levels {
			l := &r.Levels[i]
			if l.Current == nil {
				continue
			}
			power, at := l.Power, place.Level(i, "power")
			if power == nil {
				k := inRow(r, i)
				if k < 0 {
					continue
				}
				power, at = &r.Claims[k].Value, place.Claim(k)
			}
			if !yield(Case{Level: l, Args: []Arg{
				arg(l.Current, place.Level(i, "current")),
				arg(&l.Voltage, place.Level(i, "voltage")),
				arg(power, at),
			}}) {
				return
			}
		}
	},
	Test: func(c *Case, q []schema.Quantity) Judgement {
		a, ok1 := one(&q[0], schema.KindCurrent)
		low, high, ok2 := in(&q[1], schema.KindVoltage)
		w, ok3 := one(&q[2], schema.KindPower)
		if !ok1 || !ok2 || !ok3 || high <= 0 {
			return none
		}
		tol := powerTolerance(c, q, high, w)
		if q[1].Range {
			if w > high*a+tol {
				return odd(causeRange, high*a, w).at(schema.SeverityNote)
			}
			if w < low*a-tol {
				return odd(causeRange, low*a, w).at(schema.SeverityNote)
			}
			return fits()
		}
		if math.Abs(high*a-w) > tol {
			return breaks(causeProduct, high*a, w)
		}
		j := fits()
		j.Chance = chanceWithin(w, tol)
		return j
	},
	Explain: func(c *Case, q []schema.Quantity, j Judgement) string {
		s := q[1].String() + " × " + q[0].String() + " is " + amount(j.Got, "W")
		if j.Cause == causeRange {
			return s + " at the near end of the range, but " + q[2].String() + " was said"
		}
		return s + ", but " + q[2].String() + " was said, and rounding explains at most " +
			amount(powerTolerance(c, q, q[1].SI(), q[2].SI()), "W")
	},
	Propose: func(c *Case, q []schema.Quantity, j Judgement) (schema.Quantity, bool) {
		if q[1].Range {
			return schema.Quantity{}, false
		}
		a, ok := q[2].Value().Quo(q[1].Value())
		if !ok || q[2].Unit != "W" || q[1].Unit != "V" {
			return schema.Quantity{}, false
		}
		return schema.One(a.Round(labelDecimals).Trim(), "A"), true
	},
}

// inRow is the claim that was said where the level before, of the same port, has its
// power: "5V 3A 15W, 9V 2.22A 30W". A power that no level makes is no level's to the
// reading engine. -1 where there is none.
func inRow(r *schema.Record, i int) int {
	if i == 0 {
		return -1
	}
	l, before := &r.Levels[i], &r.Levels[i-1]
	if before.Power == nil || before.Port != l.Port || before.Mode != l.Mode || l.Voltage.Quantity.Range ||
		!next(before.Current, before.Power) || !next(before.Power, &l.Voltage) {
		return -1
	}
	for k := range r.Claims {
		c := &r.Claims[k]
		if _, f := claimMode(c.Mode); isPower(c) && f == place.Output && c.Port == l.Port && next(l.Current, &c.Value) {
			return k
		}
	}
	return -1
}

// next reports whether b was the quantity said after a.
func next(a, b *schema.Value) bool {
	return a != nil && len(a.Said) > 0 && len(b.Said) > 0 && slices.Min(b.Said) == slices.Max(a.Said)+1
}

// Causes of ruleLevelPower.
const (
	causeProduct = iota
	causeRange
)

// labelDecimals is the number of decimals of a current on a label (handbook
// 2.4), and of the 10 mA steps of USB PD (handbook 2.7).
const labelDecimals = 2

// powerTolerance is the band in watts within which V × I may miss a power
// given, for args current, voltage, power.
func powerTolerance(c *Case, q []schema.Quantity, volts, watts float64) float64 {
	t := limits()
	if c.Args[0].Value.Basis == schema.BasisMeasured && c.Args[2].Value.Basis == schema.BasisMeasured {
		return t.measuredPower * watts
	}
	tol := t.labelVolt*volts + t.labelPower*watts + roundingOf(&q[2])
	for i := range c.Args {
		if c.Args[i].Value.Qualifier == schema.QualifierAbout {
			tol += t.hedge * watts
		}
	}
	return tol
}

// roundingOf is half the last place of a power as said, in watts, at least
// that of a tenth of a watt.
func roundingOf(q *schema.Quantity) float64 {
	t := limits()
	if q.High.Decimals() == 0 && q.Unit == "W" {
		return t.labelWhole
	}
	return t.labelTenth
}
