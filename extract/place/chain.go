package place

import (
	"fmt"
	"math"
	"sync/atomic"

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
	// The weights of each feature that are not zero. They are had from weights, or
	// of the program's own model from the lines of its table, when first asked for:
	// a text has few of the features.
	rows  []atomic.Pointer[[]weight]
	lines []string
	links []float64 // the weights of transitions as the table has them
}

// weight is that of a feature in one class.
type weight struct {
	class Class
	value float64
}

// row returns the weights of a feature that are not zero, by class.
func (m *Model) row(f int32) []weight {
	if row := m.rows[f].Load(); row != nil {
		return *row
	}
	var row []weight
	if m.weights == nil {
		var err error
		if row, err = parseWeights(m.lines[f]); err != nil {
			panic(fmt.Sprintf("weights.tsv: feature %s: %v", m.Index.Names[f], err))
		}
	} else {
		for c, v := range m.weights[int(f)*m.classes : int(f+1)*m.classes] {
			if v != 0 {
				row = append(row, weight{Class(c), v})
			}
		}
	}
	m.rows[f].Store(&row)
	return row
}

// transitions is where the weights of transitions begin.
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

// lattice is the chain's working memory, [mention][class]. Forward and backward
// sums are scaled to add up to 1 at each mention, so that nothing underflows.
type lattice struct {
	score, likely   []float64 // sum of the weights, and its exponential over that of the largest
	forward, behind []float64
	scale           []float64 // by mention
	logZ            float64
}

// run fills the lattice for the chain.
func (m *Model) run(chain []Observation, l *lattice) {
	n, k := len(chain), m.classes
	room := make([]float64, 4*n*k+n)
	l.score, l.likely, l.forward, l.behind, l.scale = room[:n*k], room[n*k:2*n*k], room[2*n*k:3*n*k], room[3*n*k:4*n*k], room[4*n*k:]
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
		for _, w := range m.row(f) {
			row[w.class] += w.value
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

// Infer returns the marginals of the chain.
func (m *Model) Infer(chain []Observation) *Marginals {
	var l lattice
	m.run(chain, &l)
	out := &Marginals{classes: m.classes, p: l.forward}
	for i := range out.p {
		out.p[i] *= l.behind[i]
	}
	return out
}
