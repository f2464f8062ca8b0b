package prior

import (
	"math"

	"saywatt/extract"
)

// digitShare[s] is the share of spoken values with s significant digits, from
// the truth of the dev captions and our own narrations (465, 458, 189, 30 and
// 1 of 1143), the tail smoothed. readingShare is that of instrument readings,
// which are said with more digits.
var (
	digitShare   = [7]float64{0, 0.40, 0.39, 0.165, 0.035, 0.007, 0.003}
	readingShare = [7]float64{0, 0.12, 0.33, 0.38, 0.15, 0.015, 0.005}
)

// fiveShare is the share of values of two and more digits that end in 5, from
// the same truth (198 of 650).
const fiveShare = 0.30

// Digits says how many significant digits a value has, and whether they end
// in 5.
type Digits struct {
	N    int
	five bool
}

// DigitsOf counts the digits that a speaker says: trailing zeros of whole
// numbers are not among them.
func DigitsOf(n extract.Num) Digits {
	c := n.Coef
	if c < 0 {
		c = -c
	}
	for c != 0 && c%10 == 0 {
		c /= 10
	}
	d := Digits{N: 1, five: c%10 == 5}
	for c /= 10; c > 0; c /= 10 {
		d.N++
	}
	return d
}

// share is the share of one value among all of so many digits in a decade.
func (d Digits) share(of *[7]float64) float64 {
	n := min(d.N, len(of)-1)
	s := of[n] / (9 * pow10(n-1))
	switch {
	case n == 1:
		return s
	case d.five:
		return s * fiveShare * 9
	}
	return s * (1 - fiveShare) * 9 / 8
}

// Each is the share of one value of so many digits among all values of a decade that
// have the role: instruments show more digits than people say.
func (o *Role) Each(d Digits) float64 {
	if o.reading {
		return d.share(&readingShare)
	}
	return d.share(&digitShare)
}

// CountShare is the probability that a count, a score or another number
// outside our trade has the value n: small whole numbers mostly.
func CountShare(n extract.Num) float64 {
	switch {
	case n.Exp < 0:
		return 0.03 * eachShare(n)
	case n.Exp == 0 && n.Coef <= 12:
		return 0.06
	case n.Exp == 0 && n.Coef <= 100:
		return 0.002
	}
	return 0.1 * eachShare(n)
}

// eachShare is the share of one value among all values given.
func eachShare(n extract.Num) float64 { return DigitsOf(n).share(&digitShare) }

// P returns P(value | role): a mixture of the role's preferred values,
// the usual and plausible parts of its range, and a floor. Values off the grid
// share their decade's probability with all others of as many digits, so that
// 3.2 and 3.25 compare fairly. The value is in the coherent SI unit; lo is another than
// hi where it is a range. form is the factor of its unit (Table.Form).
func (o *Role) P(lo, hi float64, isRange bool, d Digits, form float64) float64 {
	if isRange {
		return o.ofRange(lo, hi, d, form)
	}
	p := 0.0
	for i := range o.grid {
		if g := &o.grid[i]; !g.isSpan && g.lo.has(lo) {
			p += o.GridShare * g.share
			break
		}
	}
	if o.perDecade != nil && lo > 0 {
		m := inDecade(lo)
		for k := range o.perDecade {
			if o.perDecade[k].has(m) {
				p += o.GridShare * o.decades(lo) / float64(len(o.perDecade))
				break
			}
		}
	}
	p += (1 - o.GridShare) * o.decades(lo) * o.Each(d) * form
	return p + 1e-12
}

// setDensities shares the role's values out over decades.
func (o *Role) setDensities(w *weights) {
	width := func(lo, hi float64) float64 { return math.Max(0.1, math.Log10(hi/math.Max(lo, 1e-12))) } // in decades
	o.floor = w.floor / 12
	o.usualDensity = w.usualShare / width(o.UsualLow, o.UsualHigh)
	o.plausible = w.plausibleShare / width(o.Low, o.High)
}

// decades returns the probability per decade at v.
func (o *Role) decades(v float64) float64 {
	p := o.floor
	if v < 0 {
		v = -v
	}
	if v >= o.UsualLow*(1-1e-9) && v <= o.UsualHigh*(1+1e-9) {
		p += o.usualDensity
	}
	switch edge := o.plausible; {
	case v < o.Low*(1-1e-9):
		p += edge * fade(v/o.Low)
	case v > o.High*(1+1e-9):
		p += edge * fade(o.High/v)
	default:
		p += edge
	}
	return p
}

// fade softens the edges of a plausible range, which are practice and no law:
// a hundredth for every decade beyond.
func fade(ratio float64) float64 { return ratio * ratio }

// ofRange gives a preferred range its share, another range a small share
// of the product of its ends.
func (o *Role) ofRange(lo, hi float64, d Digits, form float64) float64 {
	for i := range o.grid {
		if g := &o.grid[i]; g.isSpan && g.lo.has(lo) && g.hi.has(hi) {
			return o.GridShare * g.share
		}
	}
	return o.P(lo, lo, false, d, form)*o.P(hi, hi, false, d, form)*loadWeights().rangeShare + 1e-15
}

// Prefers reports whether a value or range is among the preferred ones of the role.
func (o *Role) Prefers(lo, hi float64, isRange bool) bool {
	for i := range o.grid {
		g := &o.grid[i]
		if g.isSpan == isRange && g.lo.has(lo) && g.hi.has(hi) {
			return true
		}
	}
	if o.perDecade == nil || isRange || hi <= 0 {
		return false
	}
	m := inDecade(hi)
	for k := range o.perDecade {
		if o.perDecade[k].has(m) {
			return true
		}
	}
	return false
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12}

func pow10(n int) float64 {
	if n >= 0 && n < len(tens) {
		return tens[n]
	}
	return math.Pow(10, float64(n))
}
