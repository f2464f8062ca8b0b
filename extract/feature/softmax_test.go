package feature

import (
	"math"
	"testing"
)

func TestSoftmax(t *testing.T) {
	for _, c := range []struct{ in, want []float64 }{
		{[]float64{0, 0}, []float64{0.5, 0.5}},
		{[]float64{0, math.Log(3)}, []float64{0.25, 0.75}},
		{[]float64{5000, 5000 + math.Log(3)}, []float64{0.25, 0.75}}, // exp(5000) alone overflows
		{[]float64{-7}, []float64{1}},
	} {
		got := Softmax(append([]float64{}, c.in...))
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("Softmax(%v) = %v, want %v", c.in, got, c.want)
				break
			}
		}
	}
}

func TestSum(t *testing.T) {
	if got := Sum([]float64{1, 20, 300}, []int32{2, 0, 2}); got != 601 {
		t.Errorf("Sum = %v, want 601", got)
	}
}
