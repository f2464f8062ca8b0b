package normalize

import (
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/infer"
	"saywatt/schema"
)

// The factors of facts are labelled by their places in facts, those of the cases of
// rules by the complements of their places in ruleFacts.

// caseLabel is the label of the factor of a case.
func caseLabel(i int) int32 { return ^int32(i) }

// caseOf returns the case that a factor is of; false for that of a fact.
func (e *engine) caseOf(f *infer.Factor) (*ruleFact, bool) {
	if f.Label >= 0 {
		return nil, false
	}
	return &e.ruleFacts[^f.Label], true
}

// leaveOut notes that a joint fact is not weighed for want of room: the values it
// relates are not known as well as they could be, and stay open.
func (e *engine) leaveOut(nodes []int32) {
	if e.unweighed == nil {
		e.unweighed = make([]bool, len(e.nodes))
	}
	for _, n := range nodes {
		e.unweighed[n] = e.unweighed[n] || e.doubtful(n)
	}
}

// infer turns scores and joint facts into posterior probabilities. Facts are
// read off a first pass without them; their ratios are summed out exactly on
// each connected component (package infer).
func (e *engine) infer() {
	e.alone()
	e.adapt()
	e.alone()
	e.experience()
	e.alone()
	e.countWorthwhile()
	e.resetGraph()
	if e.without&PartFacts == 0 {
		e.gather()
	}
	for i := range e.facts {
		f := &e.facts[i]
		if e.oneEach(f.nodes[:f.n]) {
			e.prove(i)
			continue
		}
		e.addFactor(f.nodes, f.n, int32(i), func(at *[maxFactNodes]int32) float64 {
			return e.ratio(f, e.readingsAt(&f.nodes, f.n, at))
		})
	}
	if e.without&PartRules == 0 {
		e.gatherRules()
	}
	var scratch [mostArgs]schema.Quantity
	for i := range e.ruleFacts {
		f := &e.ruleFacts[i]
		if f.merged {
			continue
		}
		e.addFactor(f.nodes, f.n, caseLabel(i), func(at *[maxFactNodes]int32) float64 {
			return e.ruleRatio(f, scratch[:], e.readingsAt(&f.nodes, f.n, at))
		})
	}
	e.sumOutBoth()
	e.proved.Index()
	e.countOpen()
}

// resetGraph makes the graph that of the nodes, with the readings that are weighed.
func (e *engine) resetGraph() {
	e.weighed = empty(e.weighed, len(e.nodes))
	for i := range e.nodes {
		e.weighed = append(e.weighed, e.nodes[i].weighed)
	}
	e.graph.Reset(e.weighed)
	e.proved.Reset(e.weighed)
}

// addFactor has a joint fact over n nodes judged for the combinations of their
// readings.
func (e *engine) addFactor(nodes [maxFactNodes]int32, n int, label int32,
	judge func(at *[maxFactNodes]int32) float64) {
	if !e.graph.Add(infer.Factor{Nodes: nodes, N: n, Label: label}, judge) {
		e.leaveOut(nodes[:n])
	}
}

// oneEach reports whether each of the nodes has one reading that is weighed.
func (e *engine) oneEach(nodes []int32) bool {
	for _, k := range nodes {
		if e.nodes[k].weighed != 1 {
			return false
		}
	}
	return true
}

// prove keeps fact i, of nodes with one reading each, for the reasons: it decides nothing,
// and what agrees is still the proof that a reader looks for.
func (e *engine) prove(i int) {
	f := &e.facts[i]
	e.proved.Keep(infer.Factor{Nodes: f.nodes, N: f.n, Label: int32(i)},
		e.ratio(f, e.readingsAt(&f.nodes, f.n, new([maxFactNodes]int32))))
}

// readingsAt are the readings of n nodes by their places.
func (e *engine) readingsAt(nodes *[maxFactNodes]int32, n int, at *[maxFactNodes]int32) (c [maxFactNodes]*candidate) {
	for k := range n {
		c[k] = &e.cands[e.nodes[nodes[k]].from+at[k]]
	}
	return c
}

// sumOut sums out the factors: each reading gets its marginal, and what they changed
// of it as its joint term.
func (e *engine) sumOut() {
	for i := range e.nodes {
		for k, p := 0, e.graph.P(int32(i)); k < len(p); k++ {
			p[k] = e.cands[int(e.nodes[i].from)+k].posterior
		}
	}
	e.graph.SumOut()
	for i := range e.nodes {
		for k, p := range e.graph.P(int32(i)) {
			if c := &e.cands[int(e.nodes[i].from)+k]; c.posterior != p {
				c.joint = float32(math.Log(p / math.Max(c.posterior, 1e-12)))
				c.posterior = p
			}
		}
	}
}

// isOneSided reports whether a factor speaks against some readings and for none:
// an inequality, which most wrong readings keep as well as the right one.
func isOneSided(f *infer.Factor) bool { return f.Label < 0 && f.Top() <= 1 }

// sumOutBoth sums out with the inequalities and without. What they take from the
// reading that the words say is doubt, and no other reading's gain: they may open
// a value, and never repair it.
func (e *engine) sumOutBoth() {
	g := &e.graph
	all := g.Factors
	g.Factors = make([]infer.Factor, 0, len(all))
	for i := range all {
		if !isOneSided(&all[i]) {
			g.Factors = append(g.Factors, all[i])
		}
	}
	twoSided := len(g.Factors)
	if e.without&PartFacts == 0 {
		e.gatherRelations()
	}
	if twoSided == len(all) {
		e.sumOut()
		return
	}
	all = slices.Concat(all, g.Factors[twoSided:])
	alone := make([]float64, len(e.cands))
	for i := range e.cands {
		alone[i] = e.cands[i].posterior
	}
	e.sumOut()
	without := make([]float64, len(e.cands))
	for i := range e.cands {
		c := &e.cands[i]
		without[i] = c.posterior
		c.posterior, c.joint = alone[i], 0
	}
	g.Factors = all
	e.sumOut()
	for i := range e.cands {
		if c := &e.cands[i]; !c.literal && !c.nothing && c.posterior > without[i] {
			c.posterior = without[i]
			c.joint = float32(math.Log(math.Max(c.posterior, 1e-12) / math.Max(alone[i], 1e-12)))
		}
	}
}

// alone sets the posterior of every candidate by its own score.
func (e *engine) alone() {
	for i := range e.nodes {
		n := &e.nodes[i]
		top := float32(math.Inf(-1))
		for k := n.from; k < n.to; k++ {
			top = max(top, e.cands[k].score)
		}
		sum := 0.0
		for k := n.from; k < n.to; k++ {
			p := math.Exp(float64(e.cands[k].score - top))
			e.cands[k].posterior = p
			sum += p
		}
		for k := n.from; k < n.to; k++ {
			e.cands[k].posterior /= sum
		}
	}
}

// countWorthwhile counts, for every node, the readings that joint evidence looks at.
func (e *engine) countWorthwhile() {
	least := loadBounds().worthwhile
	for i := range e.nodes {
		n := &e.nodes[i]
		n.weighed = min(1, n.to-n.from)
		for n.from+n.weighed < n.to && e.cands[n.from+n.weighed].posterior >= least {
			n.weighed++
		}
		for k := n.from + n.weighed; k < n.to; k++ {
			if e.cands[k].product {
				n.weighed = k + 1 - n.from
			}
		}
	}
}

// doubtful reports whether joint evidence could change a node.
func (e *engine) doubtful(n int32) bool { return e.nodes[n].weighed > 1 }

// adapt weighs the table's rates of some distortions against those of the file
// itself, by the first pass: how many of the values with a decimal point lost
// it, how many teens and tens were confused, how many voltages and powers were
// shown for each other. A clean file makes a distortion dearer, a bad one
// cheaper (empirical Bayes).
func (e *engine) adapt() {
	e.adaptRate(channel.PointLost, func(c *candidate) bool { return c.lo.Exp < 0 || c.hi.Exp < 0 })
	e.adaptRate(channel.TeenTy, func(c *candidate) bool { return teenOrTy(c.hi) })
	e.adaptRate(channel.UnitSwapped, func(c *candidate) bool {
		return c.kind == schema.KindVoltage ||
			c.kind == schema.KindPower
	})
}

// adaptRate shifts the cost of one distortion and of having escaped it, over
// the candidates that could have suffered it.
func (e *engine) adaptRate(d channel.Distortion, could func(*candidate) bool) {
	r0 := math.Exp(-float64(e.costs.Of(d)))
	did, of, decided := 0.0, 0.0, loadBounds().decided
	for i := range e.nodes {
		// only what is all but decided counts: doubtful ones would feed on themselves
		n := &e.nodes[i]
		for k := n.from; k < n.to; k++ {
			if c := &e.cands[k]; c.posterior >= decided && !c.nothing && could(c) {
				of++
				if c.suffered(d) {
					did++
				}
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
		sortCandidates(e.cands[n.from:n.to])
	}
}

// teenOrTy reports whether the last two whole digits of a number are 13 to 19
// or 30 to 90.
func teenOrTy(n extract.Num) bool {
	v := int64(n.Float())
	_, ok := swapTeen(v % 100)
	return ok && v < 1000
}

func (c *candidate) suffered(d channel.Distortion) bool {
	return c.by[0] == d || c.by[1] == d || c.by[2] == d
}
