package infer

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// graph is a small factor graph: how many readings each node has, and the
// factors over them, unary ones included.
type graph struct {
	size   []int32
	tables []table
}

func (g *graph) scopes() [][]int32 {
	var s [][]int32
	for i := range g.tables {
		s = append(s, g.tables[i].vars)
	}
	return s
}

// drawGraph draws a graph of 2–7 nodes with 2–4 readings each and factors of
// 1–4 nodes: a tree where no factor closes a cycle, else whatever comes.
func drawGraph(t *rapid.T) graph {
	n := rapid.IntRange(2, 7).Draw(t, "nodes")
	g := graph{size: make([]int32, n)}
	for i := range g.size {
		g.size[i] = int32(rapid.IntRange(2, 4).Draw(t, "readings"))
	}
	ratio := rapid.OneOf(
		rapid.Float64Range(1e-3, 30),
		rapid.SampledFrom([]float64{1, 1, 14, 24, 0.03, 1e-6}),
	)
	add := func(vars []int32) {
		u := table{vars: vars}
		u = new(summer).over(g.size, u.vars)
		for i := range u.data {
			u.data[i] = ratio.Draw(t, "ratio")
		}
		g.tables = append(g.tables, u)
	}
	for i := range g.size {
		add([]int32{int32(i)})
	}
	if rapid.Bool().Draw(t, "tree") {
		for i := int32(1); i < int32(n); i++ { // every node hangs on one before it
			add([]int32{int32(rapid.IntRange(0, int(i)-1).Draw(t, "parent")), i})
		}
		return g
	}
	for range rapid.IntRange(1, 8).Draw(t, "factors") {
		in := make([]bool, n)
		for range rapid.IntRange(1, min(4, n)).Draw(t, "arity") {
			in[rapid.IntRange(0, n-1).Draw(t, "member")] = true
		}
		var vars []int32
		for i, yes := range in {
			if yes {
				vars = append(vars, int32(i))
			}
		}
		add(vars)
	}
	return g
}

// enumerate returns the normalised marginals by going through every
// combination of readings.
func (g *graph) enumerate() [][]float64 {
	out := make([][]float64, len(g.size))
	for i, s := range g.size {
		out[i] = make([]float64, s)
	}
	at := make([]int32, len(g.size))
	for {
		w := 1.0
		for i := range g.tables {
			u := &g.tables[i]
			index := int32(0)
			for _, v := range u.vars {
				index = index*g.size[v] + at[v]
			}
			w *= u.data[index]
		}
		for i, r := range at {
			out[i][r] += w
		}
		k := len(at) - 1
		for ; k >= 0; k-- {
			if at[k]++; at[k] < g.size[k] {
				break
			}
			at[k] = 0
		}
		if k < 0 {
			break
		}
	}
	for i := range out {
		scale(out[i])
	}
	return out
}

// scale makes a marginal sum to 1.
func scale(m []float64) {
	sum := 0.0
	for _, p := range m {
		sum += p
	}
	for i := range m {
		m[i] /= sum
	}
}

func checkMarginals(t interface {
	Helper()
	Errorf(string, ...any)
}, got, want [][]float64) {
	t.Helper()
	for i := range want {
		for r := range want[i] {
			if math.IsNaN(got[i][r]) || math.Abs(got[i][r]-want[i][r]) > 1e-9 {
				t.Errorf("node %d reading %d: %.12g, brute force %.12g", i, r, got[i][r], want[i][r])
			}
		}
	}
}

func TestEliminateAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGraph(t)
		order, cliques := new(summer).eliminationOrder(g.size, g.scopes())
		if largest(g.size, cliques) > maxClique {
			t.Fatalf("%d nodes of 4 readings need a clique above %d", len(g.size), maxClique)
		}
		got := (&summer{tables: g.tables, next: make([]int32, 0, len(g.tables))}).eliminate(g.size, order)
		for i := range got {
			scale(got[i])
		}
		checkMarginals(t, got, g.enumerate())
	})
}

// The order of elimination changes the cost, never the result.
func TestEliminateInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGraph(t)
		var all []int32
		for i := range g.size {
			all = append(all, int32(i))
		}
		order := rapid.Permutation(all).Draw(t, "order")
		got := (&summer{tables: g.tables, next: make([]int32, 0, len(g.tables))}).eliminate(g.size, order)
		for i := range got {
			scale(got[i])
		}
		checkMarginals(t, got, g.enumerate())
	})
}

// asGraph puts a graph into the form that others make: its unary tables as the
// probabilities of the readings, the others as factors. Their nodes are listed from
// the last to the first, so that a factor's own order is not the component's.
func (g *graph) asGraph() *Graph {
	out := new(Graph)
	out.Reset(g.size)
	for i := range g.size {
		for r := range out.P(int32(i)) {
			out.P(int32(i))[r] = 1
		}
	}
	for k := range g.tables {
		u := &g.tables[k]
		if len(u.vars) == 1 {
			for r, p := range u.data {
				out.P(u.vars[0])[r] *= p
			}
			continue
		}
		f := Factor{N: len(u.vars)}
		for j, v := range u.vars {
			f.Nodes[f.N-1-j] = v
		}
		fits := out.Add(f, func(at *[MostNodes]int32) float64 {
			index := int32(0)
			for j := f.N - 1; j >= 0; j-- {
				index = index*g.size[f.Nodes[j]] + at[j]
			}
			return u.data[index]
		})
		if !fits {
			panic("no room for a factor of the test")
		}
	}
	for i := range g.size {
		scale(out.P(int32(i)))
	}
	return out
}

func (g *Graph) marginals() [][]float64 {
	var out [][]float64
	for n := range g.nodes() {
		out = append(out, g.P(int32(n)))
	}
	return out
}

// sumOut gives the marginals of a graph by the way that others go.
func (g *graph) sumOut() [][]float64 {
	out := g.asGraph()
	out.SumOut()
	return out.marginals()
}

// The whole way: components, factor layout, elimination, posteriors.
func TestSumOutAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGraph(t)
		checkMarginals(t, g.sumOut(), g.enumerate())
	})
}

// A node without factors keeps its own probability, whatever the others say.
func TestSumOutLeavesLonersAlone(t *testing.T) {
	g := graph{size: []int32{2, 2, 3}, tables: []table{
		{vars: []int32{0}, size: []int32{2}, data: []float64{0.9, 0.1}},
		{vars: []int32{1}, size: []int32{2}, data: []float64{0.5, 0.5}},
		{vars: []int32{2}, size: []int32{3}, data: []float64{0.2, 0.3, 0.5}},
		{vars: []int32{0, 1}, size: []int32{2, 2}, data: []float64{1, 1, 1, 27}},
	}}
	got := g.sumOut()
	// P(0=1) = 0.1·(0.5·1+0.5·27) / (0.9·1 + 1.4) = 1.4/2.3; P(1=1) = (0.45+1.35)/2.3
	checkMarginals(t, got, [][]float64{{0.9 / 2.3, 1.4 / 2.3}, {0.5 / 2.3, 1.8 / 2.3}, {0.2, 0.3, 0.5}})
	if want := []float64{0.2, 0.3, 0.5}; !slices.Equal(got[2], want) {
		t.Errorf("a loner has %v, want %v to the bit", got[2], want)
	}
}

// cliqueGraph ties every pair of n nodes together, with the given number of
// readings each, the likelier ones first.
func cliqueGraph(n, readings int) graph {
	g := graph{size: make([]int32, n)}
	for i := range g.size {
		g.size[i] = int32(readings)
		u := table{vars: []int32{int32(i)}}
		u = new(summer).over(g.size[:i+1], u.vars)
		for r := range u.data {
			u.data[r] = math.Pow(0.4, float64(r))
		}
		g.tables = append(g.tables, u)
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			u := table{vars: []int32{int32(a), int32(b)}}
			u = new(summer).over(g.size, u.vars)
			for i := range u.data {
				u.data[i] = 1 + float64((i*7+a*3+b)%5)
			}
			g.tables = append(g.tables, u)
		}
	}
	return g
}

// Beyond maxClique the least likely readings are cut off: what is left are
// still probabilities.
func TestBeamGivesProbabilities(t *testing.T) {
	for _, c := range []struct{ nodes, readings int }{{5, 12}, {8, 8}, {15, 2}, {20, 12}, {60, 6}} {
		g := cliqueGraph(c.nodes, c.readings)
		if _, cliques := new(summer).eliminationOrder(g.size, g.scopes()); largest(g.size, cliques) <= maxClique {
			t.Fatalf("%d nodes of %d readings fit: no beam is needed", c.nodes, c.readings)
		}
		for i, m := range g.sumOut() {
			sum := 0.0
			for r, p := range m {
				if math.IsNaN(p) || p < 0 || p > 1 {
					t.Fatalf("%d×%d: node %d reading %d has probability %v", c.nodes, c.readings, i, r, p)
				}
				sum += p
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%d×%d: node %d sums to %.12g", c.nodes, c.readings, i, sum)
			}
		}
	}
}

// A cut of what hardly counts hardly counts: with the last readings next to
// impossible, the beam gives what enumeration gives.
func TestBeamCutsTheUnlikely(t *testing.T) {
	g := cliqueGraph(5, 8) // 32768 combinations: one clique above maxClique
	for i := range g.size {
		u := &g.tables[i]
		for r := range u.data {
			u.data[r] = 1
			if r >= 4 {
				u.data[r] = 1e-13
			}
		}
	}
	checkMarginals(t, g.sumOut(), g.enumerate())
}

// largest is the size of the largest clique's table.
func largest(size []int32, cliques [][]int32) float64 {
	top := 0.0
	for _, c := range cliques {
		top = math.Max(top, cliqueSize(size, c))
	}
	return top
}

// narrow takes from the widest nodes of a clique that is too large, no more
// than it must, and never the last reading.
func TestNarrow(t *testing.T) {
	size := []int32{30, 40, 40, 2, 9}
	// 40·40·2·9 is above maxClique, 11·11·2·9 above cutClique, 11·10·2·9 is not
	narrow(size, [][]int32{{0, 1}, {1, 2, 3, 4}, {3, 4}})
	if want := []int32{30, 10, 11, 2, 9}; !slices.Equal(size, want) {
		t.Errorf("narrowed to %v, want %v", size, want)
	}
	size = []int32{30, 30, 30, 2, 9}
	narrow(size, [][]int32{{0, 1}, {1, 2, 3, 4}, {3, 4}}) // 30·30·2·9 fits
	if want := []int32{30, 30, 30, 2, 9}; !slices.Equal(size, want) {
		t.Errorf("narrowed to %v, want %v", size, want)
	}
	size = make([]int32, 40)
	all := make([]int32, 40)
	for i := range size {
		size[i], all[i] = 12, int32(i)
	}
	narrow(size, [][]int32{all})
	if s := cliqueSize(size, all); s > cutClique {
		t.Errorf("a clique of %v is left, more than %d", s, cutClique)
	}
	for i, s := range size {
		if s < 1 {
			t.Errorf("node %d has no reading left", i)
		}
	}
}

// One node under very many facts, all for one reading or all against it:
// products of hundreds of likelihood ratios leave the range of a float64
// unless they are kept in bounds.
func TestManyFactorsOnOneNode(t *testing.T) {
	for _, c := range []struct {
		name     string
		ratio    float64
		n        int
		atLeast  float64
		reading0 bool
	}{
		{"for", 24, 400, 0.999, false},
		{"against", 0.03, 400, 0.999, true},
	} {
		g := graph{size: []int32{2}, tables: []table{{vars: []int32{0}, size: []int32{2}, data: []float64{0.5, 0.5}}}}
		for i := 1; i <= c.n; i++ {
			g.size = append(g.size, 2)
			v := int32(i)
			g.tables = append(g.tables,
				table{vars: []int32{v}, size: []int32{2}, data: []float64{0.5, 0.5}},
				table{vars: []int32{0, v}, size: []int32{2, 2}, data: []float64{1, 1, c.ratio, c.ratio}})
		}
		m := g.sumOut()[0]
		want := m[1]
		if c.reading0 {
			want = m[0]
		}
		if math.IsNaN(want) || want < c.atLeast {
			t.Errorf("%s: %d factors of ratio %v leave %v, want at least %v", c.name, c.n, c.ratio, want, c.atLeast)
		}
	}
	// the same with the facts on one pair of nodes
	g := graph{size: []int32{2, 2}, tables: []table{
		{vars: []int32{0}, size: []int32{2}, data: []float64{0.5, 0.5}},
		{vars: []int32{1}, size: []int32{2}, data: []float64{0.5, 0.5}},
	}}
	for range 400 {
		g.tables = append(g.tables, table{vars: []int32{0, 1}, size: []int32{2, 2}, data: []float64{1, 1, 1, 24}})
	}
	for i, m := range g.sumOut() {
		if math.IsNaN(m[1]) || m[1] < 0.999 {
			t.Errorf("400 facts for one pair of readings leave node %d at %v", i, m)
		}
	}
}

// The same graph gives the same bits, however often it is summed out.
func TestSumOutIsDeterministic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGraph(t)
		first := g.sumOut()
		for range 3 {
			for i, m := range g.sumOut() {
				if !slices.Equal(m, first[i]) {
					t.Fatalf("node %d: %v, then %v", i, first[i], m)
				}
			}
		}
	})
}

// BenchmarkSumOut is inference alone: a chain as a list of levels makes it,
// and the worst component that the bound admits.
func BenchmarkSumOut(b *testing.B) {
	chain := graph{size: make([]int32, 300)}
	for i := range chain.size {
		chain.size[i] = 6
		u := table{vars: []int32{int32(i)}}
		u = new(summer).over(chain.size, u.vars)
		for r := range u.data {
			u.data[r] = 1 / float64(r+1)
		}
		chain.tables = append(chain.tables, u)
	}
	for i := 2; i < len(chain.size); i++ {
		u := table{vars: []int32{int32(i - 2), int32(i - 1), int32(i)}}
		chain.size[i-2], chain.size[i-1], chain.size[i] = 6, 6, 6
		u = new(summer).over(chain.size, u.vars)
		for k := range u.data {
			u.data[k] = 1 + float64(k%11)
		}
		chain.tables = append(chain.tables, u)
	}
	for _, c := range []struct {
		name string
		g    graph
	}{{"chain of 300", chain}, {"clique at the bound", cliqueGraph(6, 5)},
		{"clique beyond the bound", cliqueGraph(30, 12)}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				g := c.g.asGraph()
				b.StartTimer()
				g.SumOut()
			}
		})
	}
}
