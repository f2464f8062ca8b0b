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
	steps   []classRow // exponentials of the weights of transitions, [link][before], by class
	back    []classRow // the same, [link][class], by class before
	weights []float64  // [feature][class], then [link][before][class], then [before][class]
	table   *table     // of the program's own model instead
	spare   sync.Pool  // of *lattice
}

// transitions is where the weights of transitions begin.
func (m *Model) transitions() int { return m.Index.Len() * m.classes }

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

// classRow is a number for each class, in an array that is long enough for all
// tables of classes: an index that is masked needs no check of its bounds.
type classRow [maxClasses]float64

const maxClasses = 64

// at returns the place of a class in a row.
func (c Class) at() Class { return c & (maxClasses - 1) }

// leastShare is the share of a mention's probability below which a class of it
// is left out of the sums for its neighbours: results have four digits.
const leastShare = 1e-11

// run fills the lattice for the chain.
func (m *Model) run(chain []Observation, l *lattice) {
	n, k := len(chain), m.classes
	l.score, l.likely = room(l.score, n*k), room(l.likely, n*k)
	l.behind, l.scale = room(l.behind, n*k), room(l.scale, n)
	l.forward = room(l.forward, n*k)
	l.logZ = 0
	for i := range chain {
		m.weigh(&chain[i], l, i)
		m.forward(chain, l, i)
	}
	for i := n - 1; i >= 0; i-- {
		m.backward(chain, l, i)
	}
}

// weigh sums the weights of the features of mention i for its classes.
func (m *Model) weigh(o *Observation, l *lattice, i int) {
	k, classes := m.classes, o.allowed()
	row := l.score[i*k : i*k+k]
	if m.table != nil {
		m.table.sum(o.Features, row)
	} else {
		for _, f := range o.Features {
			for c, w := range m.weights[int(f)*k : int(f+1)*k] {
				row[c] += w
			}
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
	classes := chain[i].allowed()
	var sums classRow
	if i == 0 {
		for c := range sums {
			sums[c] = 1
		}
	} else {
		before, step := l.forward[(i-1)*k:i*k], m.steps[int(chain[i].Link)*k:]
		for _, b := range chain[i-1].allowed() {
			p := before[b]
			if p < leastShare {
				continue
			}
			row := &step[b]
			for _, c := range classes {
				sums[c.at()] += p * row[c.at()]
			}
		}
	}
	now, likely := l.forward[i*k:i*k+k], l.likely[i*k:i*k+k]
	for _, c := range classes {
		now[c] = sums[c.at()] * likely[c]
		total += now[c]
	}
	for _, c := range classes {
		now[c] /= total
	}
	l.scale[i] = total
	l.logZ += math.Log(total)
}

// backward goes back to mention i.
func (m *Model) backward(chain []Observation, l *lattice, i int) {
	k, classes := m.classes, chain[i].allowed()
	now := l.behind[i*k : i*k+k]
	if i == len(chain)-1 {
		for _, c := range classes {
			now[c] = 1
		}
		return
	}
	var next, sums classRow // what comes by a class of the mention behind, and what comes at all
	likely, behind := l.likely[(i+1)*k:(i+2)*k], l.behind[(i+1)*k:(i+2)*k]
	top := 0.0
	for _, d := range chain[i+1].allowed() {
		next[d.at()] = likely[d] * behind[d] / l.scale[i+1]
		top = max(top, next[d.at()])
	}
	step := m.back[int(chain[i+1].Link)*k:]
	for _, d := range chain[i+1].allowed() {
		p := next[d.at()]
		if p < top*leastShare {
			continue
		}
		row := &step[d]
		for _, c := range classes {
			sums[c.at()] += p * row[c.at()]
		}
	}
	for _, c := range classes {
		now[c] = sums[c.at()]
	}
}

// longChain bounds the chains whose working memory is kept for the next one.
const longChain = 1 << 12

// GiveBack takes the memory of marginals that are not used any more for the next.
func (m *Model) GiveBack(out *Marginals) {
	l, ok := m.spare.Get().(*lattice)
	if !ok {
		l = &lattice{}
	}
	if l.forward = out.p; len(l.forward) <= longChain*m.classes {
		m.spare.Put(l)
	}
	out.p = nil
}

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
