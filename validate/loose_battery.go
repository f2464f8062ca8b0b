package validate

import (
	"math"
	"slices"

	"saywatt/schema"
	"saywatt/validate/standard"
)

// looseCharge: where the port was not said, there may be inputs that the speaker
// left out; and not every charge goes from empty to full.
func looseCharge(r *schema.Record, c *Case, _ []schema.Quantity, _ Judgement) string {
	for i := range r.Measurements {
		m := &r.Measurements[i]
		if &m.Value == c.Args[0].Value && (m.Condition == nil || m.Condition.Port == "") {
			return onInput
		}
	}
	return ""
}

// looseEnergyOut: what was counted may have gone in, which is up to
// energyIn times what cells hold; and a share below the window is usual over the
// air or at a weak load.
func looseEnergyOut(r *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	switch {
	case j.Got < j.Limit && apart(j.Got, j.Limit) <= math.Log(energyLittle().High):
		return onShare
	case j.Got > j.Limit && apart(j.Got, j.Limit) <= math.Log(energyIn().High) && !discharged(r, c.Args[0].Value):
		return onDirection
	}
	return ""
}

// discharged reports whether an energy was named as one that came out, with the
// voltage of the load that took it.
func discharged(r *schema.Record, v *schema.Value) bool {
	for i := range r.Measurements {
		if m := &r.Measurements[i]; &m.Value == v {
			return m.Property == "energy_out" && m.Condition != nil && m.Condition.Voltage != nil &&
				m.Condition.Current != nil
		}
	}
	return false
}

var (
	energyIn     = standard.Bound("energyout.direction")
	energyLittle = standard.Bound("energyout.little")
)

// looseChemistry: a limit near the usual one is a derated one, or that of the
// protection; a voltage alone between empty and full is that of the moment, and one
// below any battery's is of something else.
func looseChemistry(_ *schema.Record, c *Case, q []schema.Quantity, j Judgement) string {
	x := c.Extra.(cellVoltages)
	if v, ok := one(&q[0], schema.KindVoltage); ok && x.limit < 0 && j.Cause < causeSeries && heldNow(x.family, v) {
		return onNow
	}
	if x.limit < 0 || j.Cause >= causeSeries {
		return ""
	}
	v, ok := one(&q[x.limit], schema.KindVoltage)
	if ok && leastApart(chemistries()[j.Cause].limit, v)*v <= chemistryProtection().High {
		return onProtects
	}
	return ""
}

// heldNow reports whether some chemistry has a voltage between empty and full, or all
// have more.
func heldNow(family string, v float64) bool {
	least := math.Inf(1)
	for i := range chemistries() {
		row := &chemistries()[i]
		if family != "" && row.family != family {
			continue
		}
		least = min(least, row.cutoffLow)
		if v >= row.cutoffLow && v <= slices.Max(row.limit) {
			return true
		}
	}
	return v < least
}

var chemistryProtection = standard.Bound("chemistry.protection")

// looseCells is for sums over cells whose number was counted, not measured, and of
// which it was not said either how so many are joined, all in series or all in
// parallel.
func looseCells(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if b := r.Battery; b != nil && b.Cell.Count > 1 && len(r.Quantities) > 0 &&
		(b.Cell.Series > 0 && b.Cell.Parallel > 0 || b.Cell.Series+b.Cell.Parallel != b.Cell.Count) {
		return onCount
	}
	return ""
}

// looseSeries: a pack below its full voltage is not full; the number of cells is
// counted, not measured.
func looseSeries(r *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	if s := c.Extra.(seriesCells); s.series == 0 {
		return onCount
	}
	if j.Got < j.Limit && c.Args[0].Value == r.Battery.Pack.Full {
		return onFull
	}
	return ""
}

// looseStored: in a product with a battery a fuse may be on its side.
func looseStored(r *schema.Record, _ *Case, _ []schema.Quantity, _ Judgement) string {
	if r.Battery != nil {
		return onMains
	}
	return ""
}

// looseTimes: where the pack holds a whole number of times what the cells do, and
// no power of ten, more cells were not counted.
func looseTimes(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if times := j.Limit / j.Got; math.Abs(times-math.Round(times)) <= cellsShare().High*times &&
		!same(mantissa(math.Round(times)), 1) {
		return onCount
	}
	return ""
}
