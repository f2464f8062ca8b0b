package prior

import "math"

// window holds the values that are near a value.
type window struct{ value, from, to float64 }

// around is the window of a value.
func around(v float64) window {
	w := window{v, v * (1 - nearBy), v / (1 - nearBy)}
	if v < 0 {
		w.from, w.to = w.to, w.from
	}
	return w
}

// has reports whether a value is near that of the window.
func (w *window) has(v float64) bool { return w.from <= v && v <= w.to }

// nearBy is the part of the larger of two values by which they differ at most to
// be near each other.
const nearBy = 1e-6

// Near reports whether two values are the same for all that is usual of them.
func Near(a, b float64) bool {
	return a == b || math.Abs(a-b) <= nearBy*max(math.Abs(a), math.Abs(b))
}

// inDecade is a value above zero without its power of ten.
func inDecade(v float64) float64 { return v / math.Pow10(int(math.Floor(math.Log10(v)+1e-9))) }
