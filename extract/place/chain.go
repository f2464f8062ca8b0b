package place

import (
	"math"
	"sync"

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
	links
)

var linkNames = [links]string{"tight", "near", "sentence", "far"}

func (l Link) String() string { return linkNames[l] }

// Observation is what was seen at one mention.
type Observation struct {
	Kind     schema.Kind
	Link     Link
	Features []int32 // rows of the model's feature table, in any order
	Only     []Class // the classes that it can be of; nil those of its kind
}

// allowed are the classes that the mention can be of.
func (o *Observation) allowed() []Class {
	if o.Only != nil {
		return o.Only
	}
	return Allowed(o.Kind)
}

// Model holds the weights. It is not changed once made and may be used by
// several goroutines.
type Model struct {
	classes int
	Index   *feature.Index
	steps   []float64 // exponentials of the weights of transitions, [link][before][class]
	weights []float64 // [feature][class], then [link][before][class], then [before][class]
	table   *table    // of the program's own model instead, whose weights are read as they are asked for
	links   []float64 // the weights of transitions as the table has them
	spare   sync.Pool // of *lattice
}

// transitions is where the weights of transitions begin.
func (m *Model) transitions() int { return len(m.Index.Names) * m.classes }

func (m *Model) link(l Link, before, class Class) int {
	return m.transitions() + (int(l)*m.classes+int(before))*m.classes + int(class)
}

func (m *Model) pair(before, class Class) int {
	return m.link(links, before, class)
}

// Weights returns the number of weights.
func (m *Model) Weights() int {
	return m.transitions() + (int(links)+1)*m.classes*m.classes
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

// lattice is the chain's working memory, [mention][class]. Forward and backward
// sums are scaled to add up to 1 at each mention, so that nothing underflows.
type lattice struct {
	score, likely   []float64 // sum of the weights, and its exponential over that of the largest
	forward, behind []float64
	scale           []float64 // by mention
	logZ            float64
}

// room returns n zeros, in the place of a where it is large enough.
func room(a []float64, n int) []float64 {
	if cap(a) < n {
		return make([]float64, n)
	}
	a = a[:n]
	clear(a)
	return a
}

// run fills the lattice for the chain.
func (m *Model) run(chain []Observation, l *lattice) {
	n, k := len(chain), m.classes
	l.score, l.likely, l.behind, l.scale = room(l.score, n*k), room(l.likely, n*k), room(l.behind, n*k), room(l.scale, n)
	l.forward = make([]float64, n*k)
	l.logZ = 0
	for i := range chain {
		m.weigh(&chain[i], l, i)
		m.forward(chain, l, i)
	}
	for i := n - 1; i >= 0; i-- {
		now := l.behind[i*k : i*k+k]
		if i == n-1 {
			for _, c := range chain[i].allowed() {
				now[c] = 1
			}
			continue
		}
		step := m.steps[int(chain[i+1].Link)*k*k:]
		for _, c := range chain[i].allowed() {
			row, sum := step[int(c)*k:], 0.0
			for _, d := range chain[i+1].allowed() {
				sum += row[d] * l.likely[(i+1)*k+int(d)] * l.behind[(i+1)*k+int(d)]
			}
			now[c] = sum / l.scale[i+1]
		}
	}
}

// weigh sums the weights of the features of mention i for its classes.
func (m *Model) weigh(o *Observation, l *lattice, i int) {
	k, classes := m.classes, o.allowed()
	row := l.score[i*k : i*k+k]
	for _, f := range o.Features {
		if m.table == nil {
			for c, w := range m.weights[int(f)*k : int(f+1)*k] {
				row[c] += w
			}
			continue
		}
		of, values := m.table.of(f)
		for i, c := range of {
			row[c] += values[i]
		}
	}
	top := math.Inf(-1)
	for _, c := range classes {
		top = max(top, row[c])
	}
	for _, c := range classes {
		l.likely[i*k+int(c)] = math.Exp(row[c] - top)
	}
	l.logZ += top
}

// forward goes on to mention i.
func (m *Model) forward(chain []Observation, l *lattice, i int) {
	k, total := m.classes, 0.0
	now := l.forward[i*k : i*k+k]
	for _, c := range chain[i].allowed() {
		sum := 1.0
		if i > 0 {
			sum = 0
			step := m.steps[int(chain[i].Link)*k*k:]
			for _, b := range chain[i-1].allowed() {
				sum += l.forward[(i-1)*k+int(b)] * step[int(b)*k+int(c)]
			}
		}
		now[c] = sum * l.likely[i*k+int(c)]
		total += now[c]
	}
	for _, c := range chain[i].allowed() {
		now[c] /= total
	}
	l.scale[i] = total
	l.logZ += math.Log(total)
}

// longChain bounds the chains whose working memory is kept for the next one.
const longChain = 1 << 12

// Infer returns the marginals of the chain.
func (m *Model) Infer(chain []Observation) *Marginals {
	l, ok := m.spare.Get().(*lattice)
	if !ok {
		l = &lattice{}
	}
	m.run(chain, l)
	out := &Marginals{classes: m.classes, p: l.forward}
	for i := range out.p {
		out.p[i] *= l.behind[i]
	}
	if l.forward = nil; len(chain) <= longChain {
		m.spare.Put(l)
	}
	return out
}
