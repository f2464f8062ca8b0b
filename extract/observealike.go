package extract

import "math"

// alike adds how the number of a mention goes with those near it, whatever their
// units: the same again ("5 volts … at 5"), nearly the same, as a measured value is
// near the one set, or a product or quotient, as a power or an efficiency is. It says
// most of a number without a unit.
func (o *observer) alike(i int, kind string) {
	if o.values[i] == 0 {
		return
	}
	w := o.x.window
	o.nearest(i, -1, int(w.alikeBefore), kind)
	o.nearest(i, 1, int(w.alikeBehind), kind)
	for n, of := range triples {
		a, b, p := i+int(of.a), i+int(of.b), i+int(of.is)
		if min(a, b, p) < 0 || max(a, b, p) >= len(o.values) {
			continue
		}
		x, y, z := o.values[a], o.values[b], o.values[p]
		if x == 0 || y == 0 || scaleOnly(x) || scaleOnly(y) {
			continue
		}
		if within(z, x*y, w.productPercent) {
			o.putKind(seenProduct, o.kindNo[i], n, "prod:", of.name, " ", kind)
			key := rowKey(0).kind(o.kindNo[i]).kind(o.kindNo[a]).kind(o.kindNo[b])
			o.putKey(seenProductKinds, key, "prod:", o.kinds[a], " ", o.kinds[b], " ", kind)
		}
		if x != y && z > float64(w.leastQuotient) && within(z, 100*min(x, y)/max(x, y), w.quotientPercent) {
			by := "quot:"
			if x > y {
				by = "quot-:"
			}
			o.putKind(seenQuotient, o.kindNo[i], 2*n+boolInt(x > y), by, of.name, " ", kind)
		}
	}
}

// triple is two mentions by their places from the one that is looked at, and the
// third, which their product may be.
type triple struct {
	a, b, is int8
	name     string
}

// triples are the ways that three neighbours can be factors and product.
var triples = [...]triple{{-2, -1, 0, "-2-10"}, {-3, -2, 0, "-3-20"}, {-3, -1, 0, "-3-10"}, {-1, 0, 1, "-101"},
	{0, 1, 2, "012"}, {-1, 0, -2, "-10-2"}}

// scaleOnly reports whether a factor changes nothing but the point: what is met by
// chance.
func scaleOnly(v float64) bool { return v == 1 || v == 10 }

// nearest adds the kind of the nearest mention on a side, of so many, that has the
// number of mention i or one near it.
func (o *observer) nearest(i, step, reach int, kind string) {
	v := o.values[i]
	side := ":"
	if step > 0 {
		side = "+:"
	}
	for j := i + step; j >= 0 && j < len(o.values) && (j-i)*step <= reach; j += step {
		w := o.values[j]
		name, far := "same", 0
		if v != w {
			if !within(v, w, o.x.window.nearPercent) {
				continue
			}
			name, far = "near", 1
		}
		key := rowKey(0).kind(o.kindNo[i]).kind(o.kindNo[j])<<2 | rowKey(2*far+boolInt(step > 0))
		o.putKey(seenAlike, key, name, side, o.kinds[j], " ", kind)
		return
	}
}

// within reports whether a value differs by so many per cent of another at most.
func within(v, of float64, percent int32) bool {
	return v > 0 && of > 0 && 100*math.Abs(v-of) <= float64(percent)*of
}

// boolInt is 1 for true.
func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
