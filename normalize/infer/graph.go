package infer

import (
	"cmp"
	"math"
	"slices"
)

// Graph is a factor graph, made for one use after the other in the same memory. The
// zero value has no nodes.
type Graph struct {
	// Factors are those that were added. A caller may put others in their place
	// between Add and SumOut.
	Factors []Factor

	start  []int32   // node n has the readings start[n] to start[n+1]
	p      []float64 // of the readings, all nodes one behind the other
	room   int       // ratios that there is still room for
	ratios arena[float64]
	of     []int32 // factors of node n: of[at[n]] to of[at[n+1]]
	at     []int32
	summer summer
}

// The ratios that all factors may have: so many, and so many more for each node. A
// review needs a dozen for each.
const (
	roomLeast  = 1 << 16
	roomOfNode = 64
)

// mostCombinations bounds the combinations of readings that one factor is asked
// for; beyond it the least likely readings of its nodes count as neither kept nor
// broken.
const mostCombinations = 512

// mostTied bounds the nodes of a component. Reviews make components of up to
// some dozens; where a text ties more together, the factors that would join two
// such components are left out (SumOut), so that the time is linear in the
// length of the text whatever it says.
const mostTied = 128

// leastP is the least probability that a reading is left with.
const leastP = 1e-12

// Reset makes g the graph of so many nodes that have nothing to do with each
// other: readings has how many readings each has, which may be none.
func (g *Graph) Reset(readings []int32) {
	clear(g.Factors)
	g.Factors = g.Factors[:0]
	g.ratios.reset()
	g.room = roomLeast + roomOfNode*len(readings)
	g.start = append(g.start[:0], 0)
	all := int32(0)
	for _, n := range readings {
		all += n
		g.start = append(g.start, all)
	}
	g.p = slices.Grow(g.p[:0], int(all))[:all]
	clear(g.p)
}

// nodes returns how many nodes there are.
func (g *Graph) nodes() int { return len(g.start) - 1 }

// size returns how many readings a node has.
func (g *Graph) size(node int32) int32 { return g.start[node+1] - g.start[node] }

// P returns the probabilities of a node's readings, to be read and set: before SumOut
// what speaks for them alone, the likeliest first, afterwards their marginals.
func (g *Graph) P(node int32) []float64 { return g.p[g.start[node]:g.start[node+1]] }

// Add asks for the ratio of every combination of readings of the factor's nodes, and
// keeps the factor where they differ. It sets f's Size and Ratio. The combination
// that judge gets is a reading of each node, in their order; it is the same memory
// each time. False: there is no room for so many ratios, and the factor is left out.
func (g *Graph) Add(f Factor, judge func(readings *[MostNodes]int32) float64) bool {
	total := int32(1)
	for k := range f.N {
		f.Size[k] = g.size(f.Nodes[k])
		total *= f.Size[k]
	}
	if total <= 1 {
		return true
	}
	for product := total; product > mostCombinations; {
		big := 0
		for k := range f.N {
			if f.Size[k] > f.Size[big] {
				big = k
			}
		}
		product = product / f.Size[big] * (f.Size[big] - 1)
		f.Size[big]--
	}
	judged := int32(1)
	for k := range f.N {
		judged *= f.Size[k]
	}
	if g.room < int(judged) {
		return false
	}
	f.Ratio = g.ratios.take(int(judged))
	var at [MostNodes]int32
	plain := true
	for i := range f.Ratio {
		f.Ratio[i] = judge(&at)
		plain = plain && f.Ratio[i] == f.Ratio[0]
		Step(&at, &f.Size, f.N)
	}
	if plain && (judged == total || f.Ratio[0] == 1) {
		g.ratios.back(int(judged))
		return true
	}
	g.room -= int(judged)
	g.Factors = append(g.Factors, f)
	return true
}

// Keep adds a factor of nodes with one reading each, of which the combination has the
// ratio. It changes no marginal.
func (g *Graph) Keep(f Factor, ratio float64) {
	for k := range f.N {
		f.Size[k] = 1
	}
	f.Ratio = g.ratios.take(1)
	f.Ratio[0] = ratio
	g.Factors = append(g.Factors, f)
}

// Index notes the factors of every node, for With.
func (g *Graph) Index() {
	at := make([]int32, g.nodes()+2)
	for i := range g.Factors {
		for _, n := range g.Factors[i].Nodes[:g.Factors[i].N] {
			at[n+2]++
		}
	}
	for i := 2; i < len(at); i++ {
		at[i] += at[i-1]
	}
	g.of = make([]int32, at[len(at)-1])
	for i := range g.Factors {
		for _, n := range g.Factors[i].Nodes[:g.Factors[i].N] {
			g.of[at[n+1]] = int32(i)
			at[n+1]++
		}
	}
	g.at = at[:len(at)-1]
}

// With returns the factors of a node, by their places in Factors, rising: those that
// there were at the last Index or SumOut.
func (g *Graph) With(node int32) []int32 { return g.of[g.at[node]:g.at[node+1]] }

// SumOut puts the marginals of all nodes in the place of what their readings had by
// themselves, exactly on each connected component of nodes that share factors, of at
// most mostTied nodes each. Factors that would make larger ones leave the graph.
func (g *Graph) SumOut() {
	group := make([]int32, g.nodes())
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
	tied := make([]int32, g.nodes()) // size of the component, by its first node
	for i := range tied {
		tied[i] = 1
	}
	g.Factors = slices.DeleteFunc(g.Factors, func(f Factor) bool {
		var roots [MostNodes]int32
		n, total := 0, int32(0)
		for _, v := range f.Nodes[:f.N] {
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
	g.Index()
	// factors by component, components by their first node
	order := make([]int32, len(g.Factors))
	for i := range order {
		order[i] = int32(i)
	}
	root := func(f int32) int32 { return find(g.Factors[f].Nodes[0]) }
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(root(a), root(b)) })

	for i := 0; i < len(order); {
		j := i
		for j < len(order) && root(order[j]) == root(order[i]) {
			j++
		}
		g.component(order[i:j])
		i = j
	}
}

// component sums out one connected component of factors and sets the
// probabilities of its nodes' readings.
func (g *Graph) component(factors []int32) {
	s := &g.summer
	s.reset()
	nodes := s.nodes
	for _, f := range factors {
		nodes = append(nodes, g.Factors[f].Nodes[:g.Factors[f].N]...)
	}
	slices.Sort(nodes)
	nodes = slices.Compact(nodes)
	s.nodes = nodes
	place := func(n int32) int32 {
		i, _ := slices.BinarySearch(nodes, n)
		return int32(i)
	}
	size := s.ints.take(len(nodes))
	for i, n := range nodes {
		size[i] = g.size(n)
	}
	scopes := make([][]int32, len(factors))
	for i, at := range factors {
		f := &g.Factors[at]
		scope := s.ints.take(f.N)
		for j := range f.N {
			scope[j] = place(f.Nodes[j])
		}
		slices.Sort(scope)
		scopes[i] = scope
	}
	order, cliques := s.eliminationOrder(size, scopes)
	narrow(size, cliques)
	for i, f := range factors {
		s.tables = append(s.tables, s.layOut(&g.Factors[f], scopes[i], size))
	}
	for i, n := range nodes {
		t := table{vars: s.ints.take(1), size: size[i : i+1], data: s.floats.take(int(size[i]))}
		t.vars[0] = int32(i)
		copy(t.data, g.P(n))
		s.tables = append(s.tables, t)
	}
	marginals := s.eliminate(size, order)
	for i, n := range nodes {
		settle(g.P(n), marginals[i])
	}
}

// settle gives the readings of a node the shares that they have in the marginal m;
// those that were cut from it, the last ones, keep what they have.
func settle(p, m []float64) {
	sum, mass := 0.0, 0.0 // of the marginal; of what these readings had before
	for j := range m {
		sum += m[j]
		mass += p[j]
	}
	if sum <= 0 {
		return
	}
	for j := range m {
		p[j] = math.Max(m[j]/sum*mass, leastP)
	}
}
