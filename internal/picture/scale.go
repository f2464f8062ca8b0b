package picture

import "slices"

// Values that stand far out. One misheard current of 325 A would press all
// others of a chart into its corner, so the scale is made for the rest, and
// what lies beyond is marked at the edge, with an arrow and its figure.
const (
	// farTimes is how many times the next smaller value one must be to be far
	// out (common practice, no source).
	farTimes = 4
	// farShare is the part of all values, one in so many, that can be.
	farShare = 3
)

// reach is the largest value that the scale is made for: all but the few that
// stand far above the others. It is 0 where there are no values.
func reach(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	for i := n - n/farShare; i < n; i++ {
		if i > 0 && sorted[i] > farTimes*sorted[i-1] {
			return sorted[i-1]
		}
	}
	if n == 0 {
		return 0
	}
	return sorted[n-1]
}
