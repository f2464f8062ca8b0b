package archive

import "testing"

// A median that was said is that number, also where the spread is logarithmic.
func TestMedianAsSaid(t *testing.T) {
	d := Distribution{}
	d.spread([]vote{{x: 2, n: 1}, {x: 15, n: 1}, {x: 400, n: 1}})
	if !d.Log || d.Median != 15 {
		t.Errorf("median %v, logarithmic %v; want 15 on a logarithmic axis", d.Median, d.Log)
	}
	d = Distribution{}
	d.spread([]vote{{x: 2, n: 2}, {x: 8, n: 2}})
	if d.Median <= 2 || d.Median >= 8 {
		t.Errorf("median of two values: %v", d.Median)
	}
}
