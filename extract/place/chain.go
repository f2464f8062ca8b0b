package place

import (
	"math"

	"saywatt/extract/feature"
	"saywatt/schema"
)

// Link says how a mention stands to the one before.
type Link uint8

// The links, from the closest.
const (
	LinkTight    Link = iota // a joint of the grammar alone between: "20 volts at 3 amps"
	LinkNear                 // a few words between
	LinkSentence             // the next breath: more words, or a full stop
	LinkFar                  // a paragraph or many words between
	Links
)

var linkNames = [Links]string{"tight", "near", "sentence", "far"}

func (l Link) String() string { return linkNames[l] }

// Observation is what was seen at one mention.
type Observation struct {
	Kind     schema.Kind
	Link     Link
	Features []int32 // rows of the model's feature table, in any order
}

// Model holds the weights. It is not changed once made and may be used by
// several goroutines.
type Model struct {
	classes int
	Index   *feature.Index
	weights []float64 // [feature][class], then [link][before][class], then [before][class], then [first class]
}

// size is how many weights a model of n features has.
func (m *Model) transitions() int { return len(m.Index.Names) * m.classes }

func (m *Model) link(l Link, before, class Class) int {
	return m.transitions() + (int(l)*m.classes+int(before))*m.classes + int(class)
}

func (m *Model) pair(before, class Class) int {
	return m.link(Links, before, class)
}

// Weights returns the number of weights.
func (m *Model) Weights() int {
	return m.transitions() + (int(Links)+1)*m.classes*m.classes
}

// Marginals has the probability of each class at each mention.
type Marginals struct {
	classes int
	p       []float64
}

// At returns the probability that mention i is of the class.
func (m *Marginals) At(i int, c Class) float64 { return m.p[i*m.classes+int(c)] }

// Best returns the likeliest class of mention i and its probability.
func (m *Marginals) Best(i int) (Class, float64) {
	best := None
	for c := range m.classes {
		if m.p[i*m.classes+c] > m.p[i*m.classes+int(best)] {
			best = Class(c)
		}
	}
	return best, m.At(i, best)
}

// lattice is the chain's working memory.
type lattice struct {
	score, alpha, beta []float64 // [mention][class], natural logarithms
	logZ               float64
}

var impossible = math.Inf(-1)

// run fills the lattice for the chain.
func (m *Model) run(chain []Observation, l *lattice) {
	n, k := len(chain), m.classes
	grow := func(s []float64) []float64 {
		if cap(s) < n*k {
			return make([]float64, n*k)
		}
		return s[:n*k]
	}
	l.score, l.alpha, l.beta = grow(l.score), grow(l.alpha), grow(l.beta)
	for i := range chain {
		o := &chain[i]
		row := l.score[i*k : i*k+k]
		for c := range row {
			row[c] = impossible
		}
		for _, c := range Allowed(o.Kind) {
			row[c] = 0
		}
		for _, f := range o.Features {
			w := m.weights[int(f)*k : int(f)*k+k]
			for _, c := range Allowed(o.Kind) {
				row[c] += w[c]
			}
		}
	}
	var room [256]float64
	for i := range chain {
		a := l.alpha[i*k : i*k+k]
		for c := range a {
			a[c] = impossible
		}
		for _, c := range Allowed(chain[i].Kind) {
			if i == 0 {
				a[c] = l.score[c]
				continue
			}
			sum := room[:0]
			for _, b := range Allowed(chain[i-1].Kind) {
				sum = append(sum, l.alpha[(i-1)*k+int(b)]+m.weights[m.link(chain[i].Link, b, c)]+m.weights[m.pair(b, c)])
			}
			a[c] = l.score[i*k+int(c)] + logSum(sum)
		}
	}
	for i := n - 1; i >= 0; i-- {
		b := l.beta[i*k : i*k+k]
		for c := range b {
			b[c] = impossible
		}
		for _, c := range Allowed(chain[i].Kind) {
			if i == n-1 {
				b[c] = 0
				continue
			}
			sum := room[:0]
			for _, d := range Allowed(chain[i+1].Kind) {
				j := (i+1)*k + int(d)
				sum = append(sum, l.beta[j]+l.score[j]+m.weights[m.link(chain[i+1].Link, c, d)]+m.weights[m.pair(c, d)])
			}
			b[c] = logSum(sum)
		}
	}
	l.logZ = 0
	if n > 0 {
		l.logZ = logSum(l.alpha[(n-1)*k : n*k])
	}
}

// logSum returns ln Σ exp(x).
func logSum(x []float64) float64 {
	top := impossible
	for _, v := range x {
		top = max(top, v)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, v := range x {
		if v > top-40 {
			sum += math.Exp(v - top)
		}
	}
	return top + math.Log(sum)
}

// Infer returns the marginals of the chain.
func (m *Model) Infer(chain []Observation) *Marginals {
	var l lattice
	m.run(chain, &l)
	out := &Marginals{classes: m.classes, p: make([]float64, len(chain)*m.classes)}
	for i := range out.p {
		out.p[i] = math.Exp(l.alpha[i] + l.beta[i] - l.logZ)
	}
	return out
}
