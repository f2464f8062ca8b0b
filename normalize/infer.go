package normalize

import (
	"math"

	"saywatt/schema"
)

// factor is a fact ready for inference: the table of its log ratios over the
// candidates of its nodes, and the messages it sends.
type factor struct {
	fact  int32
	n     int
	nodes [4]int32
	size  [4]int32
	table []float64    // likelihood ratios, last node fastest
	out   [4][]float64 // ln message to each node
}

// maxTable bounds a factor's table; nodes with many readings are cut to their
// likeliest for it.
const maxTable = 4096

// sweeps is how often messages pass along every factor. Trees are exact after
// as many sweeps as they are deep; loops are cut off here.
const sweeps = 4

// infer turns unary scores and facts into posterior probabilities by passing
// messages along the facts (sum-product; Pearl 1988). A component without
// loops comes out exact.
func (e *engine) infer() {
	e.factors = e.factors[:0]
	for i := range e.facts {
		e.tabulate(int32(i))
	}
	e.pass()
	e.adapt()
	e.pass()
}

// adapt weighs the table's rates of two distortions against those of the file
// itself, by the first pass: how many of the values with a decimal point lost
// it, and how many voltages and powers were shown for each other. A clean
// file makes a distortion dearer, a bad one cheaper.
func (e *engine) adapt() {
	e.adaptRate(pointLost, func(c *candidate) bool { return c.lo.Exp < 0 || c.hi.Exp < 0 })
	e.adaptRate(unitSwapped, func(c *candidate) bool { return c.kind == schema.KindVoltage || c.kind == schema.KindPower })
}

// adaptRate shifts the cost of one distortion and of having escaped it, over
// the candidates that could have suffered it.
func (e *engine) adaptRate(d distortion, could func(*candidate) bool) {
	r0 := math.Exp(-float64(e.costs.cost[d]))
	did, of := 0.0, 0.0
	for i := range e.nodes {
		n := &e.nodes[i]
		for k := n.from; k < n.to; k++ {
			c := &e.cands[k]
			if c.nothing || !could(c) {
				continue
			}
			of += c.posterior
			if c.suffered(d) {
				did += c.posterior
			}
		}
	}
	w := e.weights.Adapt
	r := (did + w*r0) / (of + w)
	up, down := float32(math.Log(r/r0)), float32(math.Log((1-r)/(1-r0)))
	for i := range e.nodes {
		n := &e.nodes[i]
		for k := n.from; k < n.to; k++ {
			c := &e.cands[k]
			if c.nothing || !could(c) {
				continue
			}
			shift := down
			if c.suffered(d) {
				shift = up
			}
			c.channel += shift
			c.score += shift
		}
	}
}

func (c *candidate) suffered(d distortion) bool { return c.by[0] == d || c.by[1] == d || c.by[2] == d }

// pass sends all messages and takes the posterior probabilities.
func (e *engine) pass() {
	for i := range e.cands {
		e.cands[i].joint = 0
	}
	for i := range e.factors {
		g := &e.factors[i]
		for k := range g.n {
			clear(g.out[k])
		}
	}
	for range sweeps {
		for i := range e.factors {
			e.send(&e.factors[i])
		}
	}
	for i := range e.nodes {
		n := &e.nodes[i]
		top := math.Inf(-1)
		for k := n.from; k < n.to; k++ {
			top = math.Max(top, float64(e.cands[k].score+e.cands[k].joint))
		}
		sum := 0.0
		for k := n.from; k < n.to; k++ {
			c := &e.cands[k]
			c.posterior = math.Exp(float64(c.score+c.joint) - top)
			sum += c.posterior
		}
		for k := n.from; k < n.to; k++ {
			e.cands[k].posterior /= sum
		}
	}
}

// tabulate computes the table of a fact; facts that favour nothing are
// dropped.
func (e *engine) tabulate(i int32) {
	f := &e.facts[i]
	g := factor{fact: i, n: f.n, nodes: f.nodes}
	free := false
	total := int32(1)
	for k := range f.n {
		n := &e.nodes[f.nodes[k]]
		g.size[k] = n.to - n.from
		free = free || g.size[k] > 1
		total *= g.size[k]
	}
	if !free {
		return
	}
	for total > maxTable {
		big := 0
		for k := range f.n {
			if g.size[k] > g.size[big] {
				big = k
			}
		}
		total = total / g.size[big] * (g.size[big] - 1)
		g.size[big]--
	}
	g.table = make([]float64, total)
	var at [4]int32
	var c [4]*candidate
	plain := true
	for t := range g.table {
		for k := range f.n {
			c[k] = &e.cands[e.nodes[f.nodes[k]].from+at[k]]
		}
		r := e.ratio(f, c)
		g.table[t] = r
		plain = plain && r == 1
		for k := f.n - 1; k >= 0; k-- {
			if at[k]++; at[k] < g.size[k] {
				break
			}
			at[k] = 0
		}
	}
	if plain {
		return
	}
	for k := range f.n {
		g.out[k] = make([]float64, g.size[k])
	}
	e.factors = append(e.factors, g)
}

// send computes the factor's messages to all of its nodes and adds the change
// to their candidates.
func (e *engine) send(g *factor) {
	var belief [4][16]float64 // of each candidate without this factor, normalised
	for k := range g.n {
		n := &e.nodes[g.nodes[k]]
		sum := 0.0
		top := math.Inf(-1)
		for j := n.from; j < n.to; j++ {
			s := float64(e.cands[j].score + e.cands[j].joint)
			if j-n.from < g.size[k] {
				s -= g.out[k][j-n.from]
			}
			top = math.Max(top, s)
		}
		for j := n.from; j < n.to; j++ {
			s := float64(e.cands[j].score + e.cands[j].joint)
			if j-n.from < g.size[k] {
				s -= g.out[k][j-n.from]
			}
			s = math.Exp(s - top)
			sum += s
			if j-n.from < int32(len(belief[k])) {
				belief[k][j-n.from] = s
			}
		}
		for j := range belief[k] {
			belief[k][j] /= sum
		}
	}
	for to := range g.n {
		var message [16]float64
		var at [4]int32
		for _, r := range g.table {
			p := r
			for k := range g.n {
				if k != to {
					p *= belief[k][at[k]]
				}
			}
			message[at[to]] += p
			for k := g.n - 1; k >= 0; k-- {
				if at[k]++; at[k] < g.size[k] {
					break
				}
				at[k] = 0
			}
		}
		n := &e.nodes[g.nodes[to]]
		for j := range g.size[to] {
			ln := math.Log(math.Max(message[j], 1e-9))
			c := &e.cands[n.from+j]
			c.joint += float32(ln - g.out[to][j])
			g.out[to][j] = ln
		}
	}
}
