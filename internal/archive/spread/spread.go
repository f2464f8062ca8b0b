// Package spread says how a sample of numbers is spread: its median, how far its
// values lie from it, a histogram, and how far off a single value is.
//
// Median and median absolute deviation hold where up to half of the values are wrong,
// which a mean does not. Values over several decades are looked at by their
// logarithms: resistances of 10 mΩ and 10 Ω, say.
package spread

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// Weighed is a value with how often it occurs.
type Weighed struct {
	X float64
	N int // at least 1
}

// Sample is how values are spread, in their own unit.
type Sample struct {
	Values int // each as often as it occurs
	Least  float64
	Median float64
	Most   float64
	Spread float64 // 1.4826 × median absolute deviation, in the scale of the bins
	Log    bool    // bins and spread are over the logarithm
	Bins   []Bin
}

// Bin is one bar of the histogram: values from Low up to but not including
// High, the last one's High included.
type Bin struct {
	Low, High float64
	N         int
}

// OutlierZ is the robust z-score from which a value is reported: 3.5, after
// Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993), who score by
// 0.6745 × (x − median) / MAD; 1/0.6745 = 1.4826 makes the MAD of normal
// values their standard deviation.
const (
	OutlierZ   = 3.5
	madToSigma = 1.4826
	logFrom    = 20 // most over least from which a logarithmic scale is used
)

// Of says how values are spread, of which there is one at least.
func Of(values []Weighed) Sample {
	said := slices.Clone(values)
	slices.SortStableFunc(said, byX)
	s := Sample{Least: said[0].X, Most: said[len(said)-1].X}
	for _, v := range said {
		s.Values += v.N
	}
	s.Log = s.Least > 0 && s.Most/s.Least > logFrom
	low, high := middlesOf(said)
	middle := (s.scale(low) + s.scale(high)) / 2
	if s.Median = low; low != high { // else as it was said, not by way of its logarithm
		s.Median = s.unscale(middle)
	}
	off := make([]Weighed, len(said))
	for i, v := range said {
		off[i] = Weighed{math.Abs(s.scale(v.X) - middle), v.N}
	}
	slices.SortFunc(off, byX)
	low, high = middlesOf(off)
	s.Spread = madToSigma * (low + high) / 2
	s.histogram(said)
	return s
}

func byX(a, b Weighed) int { return cmp.Compare(a.X, b.X) }

// middlesOf are the two in the middle of sorted values with their numbers, one and the
// same where they are odd: the median is their mean.
func middlesOf(sorted []Weighed) (low, high float64) {
	total := 0
	for _, w := range sorted {
		total += w.N
	}
	at := func(k int) float64 {
		for _, w := range sorted {
			if k -= w.N; k < 0 {
				return w.X
			}
		}
		return sorted[len(sorted)-1].X
	}
	return at((total - 1) / 2), at(total / 2)
}

func (s *Sample) scale(x float64) float64 {
	if s.Log {
		return math.Log10(x)
	}
	return x
}

func (s *Sample) unscale(x float64) float64 {
	if s.Log {
		return math.Pow(10, x)
	}
	return x
}

// Bounds of the number of bars; Sturges' rule between them.
const (
	fewestBins = 5
	mostBins   = 20
)

func (s *Sample) histogram(said []Weighed) {
	if s.Least == s.Most {
		s.Bins = []Bin{{s.Least, s.Most, s.Values}}
		return
	}
	n := min(max(int(math.Ceil(math.Log2(float64(s.Values))))+1, fewestBins), mostBins)
	edges := evenEdges(s.Least, s.Most, n)
	if s.Log {
		edges = decadeEdges(s.Least, s.Most)
	}
	for i := range len(edges) - 1 {
		s.Bins = append(s.Bins, Bin{Low: edges[i], High: edges[i+1]})
	}
	for _, v := range said { // one on an edge is above it
		i := sort.SearchFloat64s(edges, math.Nextafter(v.X, math.Inf(1))) - 1
		s.Bins[min(max(i, 0), len(s.Bins)-1)].N += v.N
	}
}

// evenEdges are round numbers at one distance, of which the first is at or below
// least and the last at or above most, for about n bars: the distance is 1, 2 or 5
// times a power of ten, which people read at once (common practice, no source).
func evenEdges(least, most float64, n int) []float64 {
	step := (most - least) / float64(n)
	power := int(math.Floor(math.Log10(step)))
	times := 10
	for _, t := range [...]int{1, 2, 5} {
		if float64(t)*math.Pow10(power) >= step {
			times = t
			break
		}
	}
	at := func(k float64) float64 { // exact where the number is written with few digits
		if power < 0 {
			return k * float64(times) / math.Pow10(-power)
		}
		return k * float64(times) * math.Pow10(power)
	}
	var edges []float64
	for k := math.Floor(least / at(1)); ; k++ {
		edges = append(edges, at(k))
		if len(edges) > 1 && at(k) >= most {
			return edges
		}
	}
}

// decadeEdges are the numbers 1, 2 and 5 of each power of ten from at or below least
// to at or above most; the powers alone where that would be too many bars.
func decadeEdges(least, most float64) []float64 {
	first, last := int(math.Floor(math.Log10(least))), int(math.Ceil(math.Log10(most)))
	times := []float64{1, 2, 5}
	if (last-first)*len(times) > mostBins {
		times = times[:1]
	}
	var edges []float64
	for power := first; power <= last; power++ {
		for _, t := range times {
			x := t * math.Pow10(power)
			if power < 0 {
				x = t / math.Pow10(-power)
			}
			if len(edges) == 1 && x <= least {
				edges[0] = x
				continue
			}
			if edges = append(edges, x); len(edges) > 1 && x >= most {
				return edges
			}
		}
	}
	return edges
}

// Z is the robust z-score of a value in the unit of the sample. Where more
// than half of all agree to the digit the deviation is none, and any other
// value has an infinite score.
func (s *Sample) Z(x float64) float64 {
	off := s.scale(x) - s.scale(s.Median)
	if off == 0 {
		return 0
	}
	return off / s.Spread
}
