package validate

import (
	"math"
	"slices"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// looseEfficiency: voltage and current said of a pad are those it is fed with, for
// none comes out; a range, all of it, a share below the plausible, or one at which
// protections trip, is one of something else: a state of charge, a loss, a tolerance.
func looseEfficiency(r *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	if len(c.Args) > 1 && hasPad(r) {
		return onSide
	}
	if q[0].Range || j.Cause == causeBelow && j.Verdict == VerdictOdd || same(j.Got, efficiencyMost().High) ||
		j.Got >= efficiencyTrip().Low && j.Got <= efficiencyTrip().High {
		return onShare
	}
	return ""
}

// looseFound: a level that was found by its voltage may be of another state, as when
// ports share.
func looseFound(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	if len(c.Args) > 2 {
		return onSameThing
	}
	return ""
}

var efficiencyTrip = standard.Bound("efficiency.trip")

// looseBodySize: beyond three edges other sizes were said with the body, and one small
// edge alone is that of something in it.
func looseBodySize(r *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if n := len(r.Body.Dimensions); n == 1 && j.Cause == causeBelow ||
		n > 3 && (j.Cause == causeBelow || apart(j.Got, j.Limit) < math.Log(unfolded().High)) {
		return onBodySize
	}
	return ""
}

// unfolded is how many times its side a thing that folds out may be long; less than a
// lost point.
var unfolded = standard.Bound("body.unfolded")

// looseHeat: wires that glow and irons are hotter than any product.
func looseHeat(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if j.Cause == causeAbove && j.Got > temperatureOther().High {
		return onHeat
	}
	return ""
}

var temperatureOther = standard.Bound("temperature.other")

// looseMass: of several masses said of the body the one that was taken may be that of
// something that came with it.
func looseMass(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	if c.Args[0].Value == r.Body.Mass && slices.ContainsFunc(r.Body.Other, func(o schema.Rating) bool {
		return o.Value.Quantity.Unit.Kind() == schema.KindMass && !o.Value.Quantity.Same(r.Body.Mass.Quantity)
	}) {
		return onMass
	}
	return ""
}

// looseFar rests on something unless the first two values were said one right after
// the other, with no more between them than the others of the case, or were not said
// but written.
func looseFar(on string) looseTest {
	return func(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
		a, b := c.Args[0].Value.Said, c.Args[1].Value.Said
		if len(a) == 0 || len(b) == 0 {
			return ""
		}
		from, to := min(slices.Max(a), slices.Max(b)), max(slices.Min(a), slices.Min(b))
		if to-from > int(breath().High) {
			return on
		}
		for n := from + 1; n < to; n++ {
			if !slices.ContainsFunc(c.Args, func(x Arg) bool { return slices.Contains(x.Value.Said, n) }) {
				return on
			}
		}
		return ""
	}
}

// looseLoad: a power with another value between it and the current and the voltage is
// that of another load.
func looseLoad(_ *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	w := c.Args[0].Value
	for _, a := range c.Args[1:] {
		if v := a.Value; len(w.Said) == 0 || len(v.Said) == 0 || next(w, v) || next(v, w) {
			return ""
		}
	}
	return onSameThing
}
