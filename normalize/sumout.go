package normalize

import (
	"math"
	"sort"
)

// table is a function of some nodes' readings: a factor, a product of them,
// or a message. vars are positions in the component, rising; the last is
// fastest in data.
type table struct {
	vars []int32
	size []int32
	data []float64
}

// maxClique bounds the tables of variable elimination. A component that would
// need larger ones is cut to the likelier readings of its most doubtful nodes
// until it fits: a beam, and the only place where inference is not exact.
const maxClique = 1 << 14

// component sums out one connected component of factors and sets the
// posterior of its nodes' candidates. It eliminates the nodes one by one,
// cheapest first, keeping each one's clique; messages then run back down the
// tree of cliques, so that all marginals come of two passes (bucket
// elimination, Dechter 1999).
func (e *engine) component(factors []int32) {
	var nodes []int32
	for _, f := range factors {
		g := &e.factors[f]
		nodes = append(nodes, g.nodes[:g.n]...)
	}
	sort.Slice(nodes, func(i, j int) bool { return nodes[i] < nodes[j] })
	k := 0
	for i := range nodes {
		if i == 0 || nodes[i] != nodes[i-1] {
			nodes[k] = nodes[i]
			k++
		}
	}
	nodes = nodes[:k]
	place := make(map[int32]int32, len(nodes))
	size := make([]int32, len(nodes))
	for i, n := range nodes {
		place[n] = int32(i)
		size[i] = e.nodes[n].weighed
	}
	scopes := make([][]int32, 0, len(factors))
	for _, f := range factors {
		g := &e.factors[f]
		s := make([]int32, g.n)
		for j := range g.n {
			s[j] = place[g.nodes[j]]
		}
		sort.Slice(s, func(a, b int) bool { return s[a] < s[b] })
		scopes = append(scopes, s)
	}
	order, cliques := eliminationOrder(size, scopes)
	for largest(size, cliques) > maxClique {
		narrow(size, cliques)
	}
	tables := make([]table, 0, len(factors)+len(nodes))
	for i, f := range factors {
		tables = append(tables, e.factorTable(&e.factors[f], scopes[i], place, size))
	}
	for i, n := range nodes {
		t := table{vars: []int32{int32(i)}, size: []int32{size[i]}, data: make([]float64, size[i])}
		for j := range t.data {
			t.data[j] = e.cands[e.nodes[n].from+int32(j)].posterior
		}
		tables = append(tables, t)
	}
	marginals := eliminate(size, tables, order)
	for i, n := range nodes {
		e.setMarginal(&e.nodes[n], marginals[i])
	}
}

// setMarginal stores a node's marginal; what joint evidence changed goes to
// the joint term of each candidate.
func (e *engine) setMarginal(n *node, m []float64) {
	sum, mass := 0.0, 0.0 // of the marginal; of what these readings had before
	for j, p := range m {
		sum += p
		mass += e.cands[n.from+int32(j)].posterior
	}
	if sum <= 0 {
		return
	}
	for j, p := range m {
		c := &e.cands[n.from+int32(j)]
		p = math.Max(p/sum*mass, 1e-12)
		c.joint = float32(math.Log(p / math.Max(c.posterior, 1e-12)))
		c.posterior = p
	}
}

// factorTable lays out a factor over the (perhaps narrowed) readings of its
// nodes.
func (e *engine) factorTable(g *factor, scope []int32, place map[int32]int32, size []int32) table {
	t := table{vars: scope, size: make([]int32, len(scope))}
	total := int32(1)
	var stride, at [maxFactNodes]int32
	for i, v := range scope {
		t.size[i] = size[v]
		total *= size[v]
		// where this node stands in the factor's own order
		s := int32(1)
		for k := g.n - 1; k >= 0; k-- {
			if place[g.nodes[k]] == v {
				stride[i] = s
			}
			s *= e.nodes[g.nodes[k]].weighed
		}
	}
	t.data = make([]float64, total)
	for d := range t.data {
		from := int32(0)
		for i := range scope {
			from += at[i] * stride[i]
		}
		t.data[d] = g.table[from]
		for i := len(scope) - 1; i >= 0; i-- {
			if at[i]++; at[i] < t.size[i] {
				break
			}
			at[i] = 0
		}
	}
	return t
}

// eliminationOrder picks the next node to eliminate by the size of the clique
// it leaves (min-weight), ties by position, and returns the order with the
// cliques.
func eliminationOrder(size []int32, scopes [][]int32) (order []int32, cliques [][]int32) {
	n := len(size)
	near := make([]map[int32]bool, n)
	for i := range near {
		near[i] = map[int32]bool{}
	}
	for _, s := range scopes {
		for _, a := range s {
			for _, b := range s {
				if a != b {
					near[a][b] = true
				}
			}
		}
	}
	done := make([]bool, n)
	for range n {
		best, weight := -1, math.Inf(1)
		for v := range n {
			if done[v] {
				continue
			}
			w := float64(size[v])
			for u := range near[v] {
				w *= float64(size[u])
			}
			if w < weight {
				best, weight = v, w
			}
		}
		clique := []int32{int32(best)}
		for u := range near[best] {
			clique = append(clique, u)
		}
		sort.Slice(clique, func(i, j int) bool { return clique[i] < clique[j] })
		for _, a := range clique {
			for _, b := range clique {
				if a != b && a != int32(best) && b != int32(best) {
					near[a][b] = true
				}
			}
		}
		for _, u := range clique {
			delete(near[u], int32(best))
		}
		done[best] = true
		order = append(order, int32(best))
		cliques = append(cliques, clique)
	}
	return order, cliques
}

func cliqueSize(size, clique []int32) float64 {
	w := 1.0
	for _, v := range clique {
		w *= float64(size[v])
	}
	return w
}

func largest(size []int32, cliques [][]int32) float64 {
	top := 0.0
	for _, c := range cliques {
		top = math.Max(top, cliqueSize(size, c))
	}
	return top
}

// narrow drops the least likely reading of the widest node in the largest
// clique.
func narrow(size []int32, cliques [][]int32) {
	worst, top := 0, 0.0
	for i, c := range cliques {
		if s := cliqueSize(size, c); s > top {
			worst, top = i, s
		}
	}
	wide := cliques[worst][0]
	for _, v := range cliques[worst] {
		if size[v] > size[wide] {
			wide = v
		}
	}
	size[wide]--
}

// eliminate returns the marginal of every node, not normalised.
func eliminate(size []int32, tables []table, order []int32) [][]float64 {
	n := len(size)
	rank := make([]int32, n)
	for i, v := range order {
		rank[v] = int32(i)
	}
	// bucket i holds the tables whose first eliminated node is order[i]
	buckets := make([][]table, n)
	first := func(vars []int32) int32 {
		f := vars[0]
		for _, v := range vars {
			if rank[v] < rank[f] {
				f = v
			}
		}
		return rank[f]
	}
	for _, t := range tables {
		b := first(t.vars)
		buckets[b] = append(buckets[b], t)
	}
	parent := make([]int32, n)
	up := make([]table, n) // message from bucket i to its parent
	for i := range n {
		p := multiply(size, buckets[i], order[i])
		up[i] = sumTo(size, p, without(p.vars, order[i]))
		normalise(up[i].data)
		parent[i] = -1
		if len(up[i].vars) > 0 {
			parent[i] = first(up[i].vars)
			buckets[parent[i]] = append(buckets[parent[i]], up[i])
		}
	}
	marginals := make([][]float64, n)
	down := make([]table, n) // message from the parent to bucket i
	for i := n - 1; i >= 0; i-- {
		with := buckets[i]
		if parent[i] >= 0 {
			with = append(with[:len(with):len(with)], down[i])
		}
		belief := multiply(size, with, order[i])
		marginals[order[i]] = sumTo(size, belief, []int32{order[i]}).data
		for c := range i {
			if parent[c] == int32(i) {
				down[c] = divide(sumTo(size, belief, up[c].vars), up[c])
				normalise(down[c].data)
			}
		}
	}
	return marginals
}

func without(vars []int32, v int32) []int32 {
	out := make([]int32, 0, len(vars))
	for _, u := range vars {
		if u != v {
			out = append(out, u)
		}
	}
	return out
}

func normalise(data []float64) {
	top := 0.0
	for _, x := range data {
		top = math.Max(top, x)
	}
	if top > 0 {
		for i := range data {
			data[i] /= top
		}
	}
}

// multiply returns the product of tables, over all their nodes and always
// over v.
func multiply(size []int32, ts []table, v int32) table {
	seen := map[int32]bool{v: true}
	out := table{vars: []int32{v}}
	for _, t := range ts {
		for _, u := range t.vars {
			if !seen[u] {
				seen[u] = true
				out.vars = append(out.vars, u)
			}
		}
	}
	sort.Slice(out.vars, func(i, j int) bool { return out.vars[i] < out.vars[j] })
	out.alloc(size)
	for i := range out.data {
		out.data[i] = 1
	}
	for k, t := range ts {
		out.walk(&t, func(i, j int32) { out.data[i] *= t.data[j] })
		if k%8 == 7 { // hundreds of ratios would leave the range of a float64
			normalise(out.data)
		}
	}
	return out
}

// sumTo sums a table down to the nodes of vars, which are among its own.
func sumTo(size []int32, t table, vars []int32) table {
	out := table{vars: vars}
	out.alloc(size)
	t.walk(&out, func(i, j int32) { out.data[j] += t.data[i] })
	return out
}

// divide returns t / u over the same nodes, 0 where both are 0.
func divide(t, u table) table {
	for i := range t.data {
		if u.data[i] > 0 {
			t.data[i] /= u.data[i]
		} else {
			t.data[i] = 0
		}
	}
	return t
}

func (t *table) alloc(size []int32) {
	total := int32(1)
	t.size = make([]int32, len(t.vars))
	for i, v := range t.vars {
		t.size[i] = size[v]
		total *= size[v]
	}
	t.data = make([]float64, total)
}

// walk calls do with every index of t and the index of u that agrees with it;
// the nodes of u are among those of t.
func (t *table) walk(u *table, do func(i, j int32)) {
	n := len(t.vars)
	stride := make([]int32, n)
	s := int32(1)
	for k := len(u.vars) - 1; k >= 0; k-- {
		for i, v := range t.vars {
			if v == u.vars[k] {
				stride[i] = s
			}
		}
		s *= u.size[k]
	}
	at := make([]int32, n)
	j := int32(0)
	for i := range t.data {
		do(int32(i), j)
		for k := n - 1; k >= 0; k-- {
			at[k]++
			j += stride[k]
			if at[k] < t.size[k] {
				break
			}
			j -= stride[k] * t.size[k]
			at[k] = 0
		}
	}
}
