package part

import (
	"math"

	"saywatt/extract/feature"
)

// Example is a list of elements with what is known of their parts: for each
// the numbers of the parts that it can be said of, a bit each of a set. Two
// elements can be in one group where they can be said of one part; neighbours
// that can be of one and the same part alone, must.
type Example struct {
	segments []segment // by first element, then length
	from     []int     // segments of element i: from[i] to from[i+1]
	gaps     [][]int32
	links    []Link
	n        int
}

// Set is a set of parts.
type Set []uint64

// Add puts part p into the set.
func (s *Set) Add(p int) {
	for len(*s) <= p/64 {
		*s = append(*s, 0)
	}
	(*s)[p/64] |= 1 << (p % 64)
}

func (s Set) and(o Set) Set {
	out := make(Set, min(len(s), len(o)))
	for i := range out {
		out[i] = s[i] & o[i]
	}
	return out
}

func (s Set) size() int {
	n := 0
	for _, w := range s {
		for ; w != 0; w &= w - 1 {
			n++
		}
	}
	return n
}

// segment is a possible group of an example.
type segment struct {
	last     int
	layout   layout
	allowed  bool
	features []int32
}

// NewExample makes an example. name gives features their rows, -1 for none.
func NewExample(elements []Element, parts []Set, name func(string) int32) *Example {
	s := &seer{elements, feature.List{Name: name}}
	e := &Example{n: len(elements)}
	must := musts(parts)
	for i := range elements {
		e.links = append(e.links, elements[i].Link)
		e.from = append(e.from, len(e.segments))
		s.Rows = s.Rows[:0]
		if i > 0 {
			s.gap(i)
		}
		e.gaps = append(e.gaps, append([]int32(nil), s.Rows...))
		common := parts[i]
		s.segments(i, func(j int, features []int32, l layout) {
			common = common.and(parts[j-1])
			ok := common.size() > 0 && (i == 0 || !must[i]) && (j == len(elements) || !must[j])
			e.segments = append(e.segments, segment{j, l, ok, append([]int32(nil), features...)})
		})
	}
	e.from = append(e.from, len(e.segments))
	return e
}

// musts says before which elements no group can end: an element before and
// one behind are of the same part, and all between can be.
func musts(parts []Set) []bool {
	must := make([]bool, len(parts)+1)
	for i := range parts {
		if parts[i].size() != 1 {
			continue
		}
		for j := i + 1; j < len(parts) && j-i < loadBounds().length; j++ {
			if parts[j].and(parts[i]).size() == 0 {
				break
			}
			if parts[j].size() == 1 {
				for k := i + 1; k <= j; k++ {
					must[k] = true
				}
				break
			}
		}
	}
	return must
}

// Possible reports whether the known parts allow a division at all.
func (e *Example) Possible() bool {
	reach := make([]bool, e.n+1)
	reach[0] = true
	for i := range e.n {
		for _, s := range e.segments[e.from[i]:e.from[i+1]] {
			if reach[i] && s.allowed {
				reach[s.last] = true
			}
		}
	}
	return reach[e.n]
}

// LogLikelihood adds the gradient of ln P(a division that the parts allow) to
// grad, which is as long as the weights, and returns it.
func (m *Model) LogLikelihood(e *Example, grad []float64) float64 {
	return m.pass(e, true, grad, 1) - m.pass(e, false, grad, -1)
}

// pass returns ln Z over the allowed divisions, or all, and adds the expected
// features times sign to grad.
func (m *Model) pass(e *Example, constrained bool, grad []float64, sign float64) float64 {
	alpha, beta := make([][layouts]float64, e.n+1), make([][layouts]float64, e.n+1)
	inf := math.Inf(-1)
	for i := range alpha {
		for l := range layouts {
			alpha[i][l], beta[i][l] = inf, inf
		}
	}
	alpha[0][nounNone] = 0
	for l := range layouts {
		beta[e.n][l] = 0
	}
	scores := make([]float64, len(e.segments))
	for i := range e.n {
		gap := feature.Sum(m.weights, e.gaps[i])
		for k := e.from[i]; k < e.from[i+1]; k++ {
			if s := &e.segments[k]; !constrained || s.allowed {
				scores[k] = gap + feature.Sum(m.weights, s.features)
				v := inf
				for b := range layouts {
					v = logAdd(v, alpha[i][b]+m.turned(e, i, b, s.layout))
				}
				alpha[s.last][s.layout] = logAdd(alpha[s.last][s.layout], v+scores[k])
			}
		}
	}
	for i := e.n - 1; i >= 0; i-- {
		for k := e.from[i]; k < e.from[i+1]; k++ {
			if s := &e.segments[k]; !constrained || s.allowed {
				for b := range layouts {
					beta[i][b] = logAdd(beta[i][b], m.turned(e, i, b, s.layout)+scores[k]+beta[s.last][s.layout])
				}
			}
		}
	}
	z := beta[0][nounNone]
	for i := range e.n {
		here := 0.0
		for k := e.from[i]; k < e.from[i+1]; k++ {
			s := &e.segments[k]
			if constrained && !s.allowed {
				continue
			}
			p := 0.0
			for b := range layouts {
				q := math.Exp(alpha[i][b] + m.turned(e, i, b, s.layout) + scores[k] + beta[s.last][s.layout] - z)
				if i > 0 {
					grad[m.turn(e.links[i], b, s.layout)] += sign * q
				}
				p += q
			}
			here += p
			for _, f := range s.features {
				grad[f] += sign * p
			}
		}
		for _, f := range e.gaps[i] {
			grad[f] += sign * here
		}
	}
	return z
}

func (m *Model) turned(e *Example, i int, before, now layout) float64 {
	if i == 0 {
		return 0
	}
	return m.weights[m.turn(e.links[i], before, now)]
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(a, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}
