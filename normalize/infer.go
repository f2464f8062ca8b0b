package normalize

import (
	"cmp"
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/schema"
)

// factor is a joint fact ready for inference: likelihood ratios over the
// readings of its nodes, last node fastest.
type factor struct {
	nodes [maxFactNodes]int32
	n     int
	size  [maxFactNodes]int32 // readings of each node that were judged; the ratio of others is 1
	table []float64
	fact  int32 // index into facts, or
	rule  int32 // index into ruleFacts; -1 where it is of the other sort
}

// maxTable bounds the combinations of readings that one fact is judged for;
// beyond it the least likely readings of its nodes count as neither kept nor
// broken.
const maxTable = 512

// The numbers that the tables of all joint facts may hold: so many, and so many
// more for each quantity. A review needs a dozen for each.
const (
	roomLeast  = 1 << 16
	roomOfNode = 64
)

// leaveOut notes that a joint fact is not weighed for want of room: the values it
// relates are not known as well as they could be, and stay open.
func (e *engine) leaveOut(g *factor) {
	if e.unweighed == nil {
		e.unweighed = make([]bool, len(e.nodes))
	}
	for _, n := range g.nodes[:g.n] {
		e.unweighed[n] = e.unweighed[n] || e.doubtful(n)
	}
}

// infer turns scores and joint facts into posterior probabilities. Facts are
// read off a first pass without them; their tables are summed out exactly on
// each connected component (sumout.go).
func (e *engine) infer() {
	e.alone()
	e.adapt()
	e.alone()
	e.experience()
	e.alone()
	e.countWorthwhile()
	e.room = roomLeast + roomOfNode*len(e.nodes)
	e.factors = e.factors[:0]
	if e.without&PartFacts == 0 {
		e.gather()
	}
	for i := range e.facts {
		f := &e.facts[i]
		e.tabulate(factor{nodes: f.nodes, n: f.n, fact: int32(i), rule: -1},
			func(c [maxFactNodes]*candidate) float64 { return e.ratio(f, c) })
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
		e.tabulate(factor{nodes: f.nodes, n: f.n, fact: -1, rule: int32(i)},
			func(c [maxFactNodes]*candidate) float64 { return e.ruleRatio(f, scratch[:], c) })
	}
	e.sumOutBoth()
}

// oneSided reports whether a factor speaks against some readings and for none:
// an inequality, which most wrong readings keep as well as the right one.
func (g *factor) oneSided() bool { return g.rule >= 0 && slices.Max(g.table) <= 1 }

// sumOutBoth sums out with the inequalities and without. What they take from the
// reading that the words say is doubt, and no other reading's gain: they may open
// a value, and never repair it.
func (e *engine) sumOutBoth() {
	all := e.factors
	e.factors = make([]factor, 0, len(all))
	for _, g := range all {
		if !g.oneSided() {
			e.factors = append(e.factors, g)
		}
	}
	twoSided := len(e.factors)
	if e.without&PartFacts == 0 {
		e.gatherRelations()
	}
	if twoSided == len(all) {
		e.sumOut()
		return
	}
	all = slices.Concat(all, e.factors[twoSided:])
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
	e.factors = all
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
	}
}

// doubtful reports whether joint evidence could change a node.
func (e *engine) doubtful(n int32) bool { return e.nodes[n].weighed > 1 }

// tabulate judges a fact for the combinations of its nodes' readings and
// keeps it where it favours any.
func (e *engine) tabulate(g factor, judge func([maxFactNodes]*candidate) float64) {
	var size, judged [maxFactNodes]int32
	total := int32(1)
	for k := range g.n {
		size[k] = e.nodes[g.nodes[k]].weighed
		judged[k] = size[k]
		total *= size[k]
	}
	if total <= 1 {
		return
	}
	for product := total; product > maxTable; {
		big := 0
		for k := range g.n {
			if judged[k] > judged[big] {
				big = k
			}
		}
		product = product / judged[big] * (judged[big] - 1)
		judged[big]--
	}
	judgedAll := int32(1)
	for k := range g.n {
		judgedAll *= judged[k]
	}
	if e.room < int(judgedAll) {
		e.leaveOut(&g)
		return
	}
	g.size, g.table = judged, e.tables.take(int(judgedAll))
	var at [maxFactNodes]int32
	var c [maxFactNodes]*candidate
	plain := true
	for t := range g.table {
		for k := range g.n {
			c[k] = &e.cands[e.nodes[g.nodes[k]].from+at[k]]
		}
		g.table[t] = judge(c)
		plain = plain && g.table[t] == g.table[0]
		step(&at, &judged, g.n)
	}
	if plain && (judgedAll == total || g.table[0] == 1) {
		e.tables.back(int(judgedAll))
		return
	}
	e.room -= int(judgedAll)
	e.factors = append(e.factors, g)
}

// at returns the ratio of a combination of readings of the factor's nodes.
func (g *factor) at(readings *[maxFactNodes]int32) float64 {
	i := int32(0)
	for k := range g.n {
		if readings[k] >= g.size[k] {
			return 1
		}
		i = i*g.size[k] + readings[k]
	}
	return g.table[i]
}

// step counts up a mixed-radix number, last digit fastest.
func step(at, size *[maxFactNodes]int32, n int) {
	for k := n - 1; k >= 0; k-- {
		if at[k]++; at[k] < size[k] {
			return
		}
		at[k] = 0
	}
}

// adapt weighs the table's rates of some distortions against those of the file
// itself, by the first pass: how many of the values with a decimal point lost
// it, how many teens and tens were confused, how many voltages and powers were
// shown for each other. A clean file makes a distortion dearer, a bad one
// cheaper (empirical Bayes).
func (e *engine) adapt() {
	e.adaptRate(pointLost, func(c *candidate) bool { return c.lo.Exp < 0 || c.hi.Exp < 0 })
	e.adaptRate(teenTy, func(c *candidate) bool { return teenOrTy(c.hi) })
	e.adaptRate(unitSwapped, func(c *candidate) bool {
		return c.kind == schema.KindVoltage ||
			c.kind == schema.KindPower
	})
}

// adaptRate shifts the cost of one distortion and of having escaped it, over
// the candidates that could have suffered it.
func (e *engine) adaptRate(d distortion, could func(*candidate) bool) {
	r0 := math.Exp(-float64(e.costs.cost[d]))
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

func (c *candidate) suffered(d distortion) bool { return c.by[0] == d || c.by[1] == d || c.by[2] == d }

// indexFactors lists the factors of every node.
func (e *engine) indexFactors() {
	at := make([]int32, len(e.nodes)+2)
	for i := range e.factors {
		for _, n := range e.factors[i].nodes[:e.factors[i].n] {
			at[n+2]++
		}
	}
	for i := 2; i < len(at); i++ {
		at[i] += at[i-1]
	}
	e.factorsOf = make([]int32, at[len(at)-1])
	for i := range e.factors {
		for _, n := range e.factors[i].nodes[:e.factors[i].n] {
			e.factorsOf[at[n+1]] = int32(i)
			at[n+1]++
		}
	}
	e.factorsAt = at[:len(at)-1]
}

// factorsWith returns the factors of node i.
func (e *engine) factorsWith(i int) []int32 {
	return e.factorsOf[e.factorsAt[i]:e.factorsAt[i+1]]
}

// sumOut computes the posterior of every node from its own scores and the
// factors, exactly on each connected component of nodes that share factors, of
// at most mostTied nodes each.
func (e *engine) sumOut() {
	group := make([]int32, len(e.nodes))
	for i := range group {
		group[i] = int32(i)
	}
	find := func(i int32) int32 {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	tied := make([]int32, len(e.nodes)) // size of the component, by its first node
	for i := range tied {
		tied[i] = 1
	}
	e.factors = slices.DeleteFunc(e.factors, func(g factor) bool {
		var roots [maxFactNodes]int32
		n, total := 0, int32(0)
		for _, v := range g.nodes[:g.n] {
			if r := find(v); !slices.Contains(roots[:n], r) {
				roots[n] = r
				n++
				total += tied[r]
			}
		}
		if total > mostTied {
			return true
		}
		first := slices.Min(roots[:n])
		for _, r := range roots[:n] {
			group[r] = first
		}
		tied[first] = total
		return false
	})
	e.indexFactors()
	// factors by component, components by their first node
	order := make([]int32, len(e.factors))
	for i := range order {
		order[i] = int32(i)
	}
	root := func(f int32) int32 { return find(e.factors[f].nodes[0]) }
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(root(a), root(b)) })

	for i := 0; i < len(order); {
		j := i
		for j < len(order) && root(order[j]) == root(order[i]) {
			j++
		}
		e.component(&e.summer, order[i:j])
		i = j
	}
}
