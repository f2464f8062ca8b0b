package spread

import (
	"fmt"
	"testing"
)

// A median that was said is that number, also where the spread is logarithmic.
func TestMedianAsSaid(t *testing.T) {
	s := Of([]Weighed{{2, 1}, {15, 1}, {400, 1}})
	if !s.Log || s.Median != 15 {
		t.Errorf("median %v, logarithmic %v; want 15 on a logarithmic axis", s.Median, s.Log)
	}
	s = Of([]Weighed{{8, 2}, {2, 2}})
	if s.Median <= 2 || s.Median >= 8 {
		t.Errorf("median of two values: %v", s.Median)
	}
}

// TestSpread: ten masses from 101 g to 109 g and one far off have the median 105 g and the
// median deviation 2 g, so a spread of 2 × 1.4826 = 2.9652 and a z-score of 45/2.9652.
func TestSpread(t *testing.T) {
	s := Of([]Weighed{{150, 1}, {101, 1}, {102, 1}, {103, 1}, {104, 1}, {105, 2}, {106, 1},
		{107, 1}, {108, 1}, {109, 1}})
	if s.Values != 11 || s.Least != 101 || s.Median != 105 || s.Most != 150 || s.Spread != 2*1.4826 || s.Log {
		t.Errorf("%+v", s)
	}
	if z := s.Z(150); z < 15.17 || z > 15.18 {
		t.Errorf("z-score %v, want 15.176", z)
	}
	n := 0
	for _, b := range s.Bins {
		n += b.N
	}
	if n != s.Values || s.Bins[0].N != 10 {
		t.Errorf("bins %v", s.Bins)
	}
}

// The edges of bars are round numbers around all values.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		least, most float64
		n           int // 0 for those of decades
		want        string
	}{
		{4.5, 188.4, 5, "[0 50 100 150 200]"},
		{0.0121, 0.0149, 5, "[0.012 0.013 0.014 0.015]"},
		{-3, 2, 5, "[-3 -2 -1 0 1 2]"},
		{9, 9.9, 6, "[9 9.2 9.4 9.6 9.8 10]"},
		{4.5, 188.4, 0, "[2 5 10 20 50 100 200]"},
		{5, 100, 0, "[5 10 20 50 100]"},
		{0.03, 3, 0, "[0.02 0.05 0.1 0.2 0.5 1 2 5]"},
		{1e-6, 3e3, 0, "[1e-06 1e-05 0.0001 0.001 0.01 0.1 1 10 100 1000 10000]"},
	} {
		edges := decadeEdges(c.least, c.most)
		if c.n > 0 {
			edges = evenEdges(c.least, c.most, c.n)
		}
		if got := fmt.Sprint(edges); got != c.want {
			t.Errorf("%g to %g: %s, want %s", c.least, c.most, got, c.want)
		}
	}
}
