package normalize

import (
	"math"

	"saywatt/schema"
)

// ratio returns the likelihood ratio that a fact gives to one combination of
// readings: above 1 where it holds, below where it is broken, 1 where it does
// not apply.
func (e *engine) ratio(f *fact, c [maxFactNodes]*candidate) float64 {
	for k := range f.n {
		if c[k].nothing {
			return 1
		}
	}
	switch f.kind {
	case factRelation, factTimes:
		r, _ := e.relate(f, c)
		return r
	case factLevelPower:
		return e.levelPowerRatio(c[0], c[1], c[2])
	case factProduct:
		return e.productRatio(c[0], c[1], c[2])
	case factVolume:
		return e.volumeRatio(c)
	case factNear:
		return e.nearRatio(c[0], c[1])
	case factKnown:
		return e.knownRatio(c[0], int(f.extra))
	case factOrder:
		return e.orderRatio(c)
	case factDensity:
		return e.densityRatio(c)
	case factMultiple:
		return e.multipleRatio(c[0], c[1], f.extra)
	case factSum:
		return e.sumRatio(c[:f.n], f.extra > 0)
	case factRatio:
		return e.shareRatio(c[0], c[1], c[2])
	}
	return 1
}

// levelPowerRatio weighs volts and amperes against the power stated for them.
func (e *engine) levelPowerRatio(v, a, p *candidate) float64 {
	if v.kind != schema.KindVoltage || a.kind != schema.KindCurrent || p.kind != schema.KindPower || p.isRange ||
		a.isRange {
		return 1
	}
	got := v.si * a.si
	b := loadBounds()
	slack := b.powerSlack*p.si + b.powerSlack*got + b.powerRounding
	switch {
	case math.Abs(got-p.si) <= slack:
		return e.weights.LevelPower
	case got > p.si*b.powerOver+slack:
		return e.weights.LevelOver
	case v.isRange || got <= p.si:
		return 1
	}
	return e.weights.LevelShort
}

// productRatio weighs charge and voltage against the energy said near them.
func (e *engine) productRatio(q, v, p *candidate) float64 {
	if q.kind != schema.KindCharge || v.kind != schema.KindVoltage || p.kind != schema.KindEnergy {
		return 1
	}
	if q.isRange || v.isRange || p.isRange || !agrees(q.si*v.si, p.si, loadBounds().productSlack) {
		return 1
	}
	return e.weights.Identity
}

// edges reports whether the first three are lengths.
func edges(c [maxFactNodes]*candidate) bool {
	return c[0].kind == schema.KindLength && c[1].kind == schema.KindLength && c[2].kind == schema.KindLength
}

// volumeRatio weighs three edges against the volume said behind them.
func (e *engine) volumeRatio(c [maxFactNodes]*candidate) float64 {
	if c[3].kind == schema.KindVolume && edges(c) &&
		agrees(c[0].si*c[1].si*c[2].si, c[3].si, loadBounds().productSlack) {
		return e.weights.Identity
	}
	return 1
}

// nearRatio weighs a measured voltage against its level.
func (e *engine) nearRatio(measured, level *candidate) float64 {
	if measured.kind != schema.KindVoltage || level.kind != schema.KindVoltage || measured.isRange || level.isRange {
		return 1
	}
	if loadBounds().near(measured.si, level.si) {
		return e.weights.NearLevel
	}
	return e.weights.NearOther
}

// near reports whether a measured voltage is about that of its level.
func (b *bounds) near(measured, level float64) bool {
	r := measured / level
	return r > b.nearLow && r < b.nearHigh
}

// knownRatio weighs a rating against those that the glossary knows of the part.
func (e *engine) knownRatio(c *candidate, subject int) float64 {
	for _, q := range e.doc.Subjects[subject].Known {
		if q.Unit.Kind() == c.kind && q.Range == c.isRange && agrees(q.SI(), c.si, sameValue) {
			return e.weights.KnownRating
		}
	}
	return 1
}

// orderRatio weighs the order in which three edges were said.
func (e *engine) orderRatio(c [maxFactNodes]*candidate) float64 {
	switch {
	case !edges(c):
		return 1
	case c[0].si >= c[1].si && c[1].si >= c[2].si:
		return e.weights.SizeOrder
	case c[0].si >= c[1].si && c[0].si >= c[2].si:
		return e.weights.SizeFirst
	}
	return e.weights.SizeOther
}

// densityRatio weighs three edges and a mass against the density of gadgets.
func (e *engine) densityRatio(c [maxFactNodes]*candidate) float64 {
	if c[3].kind != schema.KindMass || !edges(c) {
		return 1
	}
	w, b := &e.weights, loadBounds()
	d := c[3].si / (c[0].si * c[1].si * c[2].si)
	switch {
	case d >= w.DensityLow && d <= w.DensityHigh:
		return w.Density
	case d >= w.DensityLow/b.densityUnder && d <= w.DensityHigh*b.densityOver:
		return 1
	}
	return 1 / w.Density
}

// multipleRatio weighs a value against that of so many equal parts.
func (e *engine) multipleRatio(one, all *candidate, count float64) float64 {
	if one.kind != all.kind || one.isRange || all.isRange || !agrees(one.si*count, all.si, loadBounds().sumSlack) {
		return 1
	}
	return e.weights.Identity
}

// sumRatio weighs powers against their total, the last of them.
func (e *engine) sumRatio(c []*candidate, elsewhere bool) float64 {
	parts, total := 0.0, c[len(c)-1]
	for _, p := range c {
		if p.kind != schema.KindPower || p.isRange {
			return 1
		}
		parts += p.si
	}
	if !agrees(parts-total.si, total.si, loadBounds().sumSlack) {
		return 1
	}
	if elsewhere {
		return e.weights.Sum
	}
	return e.weights.Identity
}

// shareRatio weighs two energies against the share stated.
func (e *engine) shareRatio(out, in, share *candidate) float64 {
	if out.kind != schema.KindEnergy || in.kind != schema.KindEnergy || share.kind != schema.KindRatio || in.si == 0 {
		return 1
	}
	if agrees(out.si/in.si, share.si, loadBounds().sumSlack) {
		return e.weights.Identity
	}
	return 1
}

// sameValue is the relative difference up to which two values are the same
// number in floats.
const sameValue = 1e-9

func agrees(a, b, tolerance float64) bool {
	return math.Abs(a-b) <= tolerance*math.Max(math.Abs(a), math.Abs(b))
}
