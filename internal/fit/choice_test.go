package fit

import (
	"math"
	"testing"
)

// Three answers whose features weigh ln 1, ln 2 and ln 3 are chosen with the
// probabilities 1/6, 2/6 and 3/6; the gradient agrees with finite differences.
func TestChoice(t *testing.T) {
	w := []float64{0, math.Log(2), math.Log(3)}
	for _, tt := range []struct {
		right []bool
		want  float64
	}{
		{[]bool{false, true, false}, 2.0 / 6},
		{[]bool{true, false, true}, 4.0 / 6},
		{[]bool{true, true, true}, 1},
	} {
		c := Choice{Rows: [][]int32{{0}, {1}, {2}}, Right: tt.right}
		g := make([]float64, len(w))
		ll := c.LogLikelihood(w, g)
		if math.Abs(ll-math.Log(tt.want)) > 1e-12 {
			t.Errorf("%v: probability %v, want %v", tt.right, math.Exp(ll), tt.want)
		}
		for i := range w {
			const step = 1e-6
			moved := append([]float64(nil), w...)
			moved[i] += step
			if slope := (c.LogLikelihood(moved, make([]float64, len(w))) - ll) / step; math.Abs(slope-g[i]) > 1e-5 {
				t.Errorf("%v: gradient %v of weight %d, want %v", tt.right, g[i], i, slope)
			}
		}
	}
}
