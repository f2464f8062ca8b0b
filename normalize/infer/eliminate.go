package infer

import (
	"math/bits"
	"slices"
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
// until all its tables fit cutClique: a beam. The cut goes deeper than the bound
// because such components come in numbers, from texts that nobody said.
const (
	maxClique = 1 << 14
	cutClique = 1 << 11
)

// summer is the scratch memory of Graph.SumOut, used anew for each component.
type summer struct {
	ints   arena[int32]
	floats arena[float64]
	bits   arena[uint64]
	tables []table
	next   []int32 // of each table, the next one in its bucket, -1 none
	at     []int32 // index into one table by index into another
	nodes  []int32
}

func (s *summer) reset() {
	s.ints.reset()
	s.floats.reset()
	s.bits.reset()
	s.tables, s.next, s.nodes = s.tables[:0], s.next[:0], s.nodes[:0]
}

// layOut makes a table of a factor over the (perhaps narrowed) readings of its
// nodes, which are s.nodes[scope[i]].
func (s *summer) layOut(f *Factor, scope, size []int32) table {
	t := table{vars: scope, size: s.ints.take(len(scope))}
	total := int32(1)
	var order [MostNodes]int // where each node stands in the factor's own order
	for i, v := range scope {
		t.size[i] = size[v]
		total *= size[v]
		for k := range f.N {
			if f.Nodes[k] == s.nodes[v] {
				order[i] = k
			}
		}
	}
	t.data = s.floats.take(int(total))
	var at, readings [MostNodes]int32
	for d := range t.data {
		for i := range scope {
			readings[order[i]] = at[i]
		}
		t.data[d] = f.At(&readings)
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
// cliques, their nodes rising.
func (s *summer) eliminationOrder(size []int32, scopes [][]int32) (order []int32, cliques [][]int32) {
	n := len(size)
	words := (n + 63) / 64
	near := make([]bitset, n)
	for i := range near {
		near[i] = s.bits.take(words)
	}
	for _, scope := range scopes {
		for _, a := range scope {
			for _, b := range scope {
				if a != b {
					near[a].add(b)
				}
			}
		}
	}
	weight := s.floats.take(n)
	for v := range weight {
		weight[v] = near[v].weight(float64(size[v]), size)
	}
	order, cliques = s.ints.take(n)[:0], make([][]int32, 0, n)
	for range n {
		best := -1
		for v, w := range weight {
			if w > 0 && (best < 0 || w < weight[best]) {
				best = v
			}
		}
		weight[best] = 0 // done
		near[best].add(int32(best))
		clique := near[best].list(s.ints.take(near[best].count())[:0])
		for _, u := range clique {
			if u == int32(best) {
				continue
			}
			near[u].union(near[best])
			near[u].remove(u)
			near[u].remove(int32(best))
		}
		for _, u := range clique {
			if u != int32(best) {
				weight[u] = near[u].weight(float64(size[u]), size)
			}
		}
		order = append(order, int32(best))
		cliques = append(cliques, clique)
	}
	return order, cliques
}

// hopeless is a clique so large that it does not matter how much larger.
const hopeless = 1 << 40

// weight is the size of the table over a node of the size given and those of
// the set.
func (b bitset) weight(own float64, size []int32) float64 {
	for i, w := range b {
		for ; w != 0; w &= w - 1 {
			if own *= float64(size[i*64+bits.TrailingZeros64(w)]); own > hopeless {
				return hopeless
			}
		}
	}
	return own
}

func cliqueSize(size, clique []int32) float64 {
	w := 1.0
	for _, v := range clique {
		w *= float64(size[v])
	}
	return w
}

// narrow drops readings where a clique's table does not fit: the least likely
// one of the widest node in the clique, again and again.
func narrow(size []int32, cliques [][]int32) {
	if !slices.ContainsFunc(cliques, func(c []int32) bool { return cliqueSize(size, c) > maxClique }) {
		return
	}
	for _, c := range cliques {
		for cliqueSize(size, c) > cutClique {
			wide := c[0]
			for _, v := range c {
				if size[v] > size[wide] {
					wide = v
				}
			}
			size[wide]--
		}
	}
}

// eliminate returns the marginal of every node of s.tables, not normalised.
func (s *summer) eliminate(size, order []int32) [][]float64 {
	n := len(size)
	rank := s.ints.take(n)
	for i, v := range order {
		rank[v] = int32(i)
	}
	// bucket i holds the tables whose first eliminated node is order[i]
	buckets := make([]bucket, n)
	first := func(vars []int32) int32 {
		f := rank[vars[0]]
		for _, v := range vars {
			f = min(f, rank[v])
		}
		return f
	}
	put := func(b *bucket, t int32) {
		s.next = append(s.next, -1)
		if b.n == 0 {
			b.head = t
		} else {
			s.next[b.tail] = t
		}
		b.tail = t
		b.n++
	}
	for i := range s.tables {
		put(&buckets[first(s.tables[i].vars)], int32(i))
	}
	parent := s.ints.take(n)
	up := make([]table, n) // message from bucket i to its parent
	for i := range n {
		p := s.multiply(size, &buckets[i], nil, order[i])
		up[i] = s.sumTo(size, &p, s.without(p.vars, order[i]))
		normalise(up[i].data)
		parent[i] = -1
		if len(up[i].vars) > 0 {
			parent[i] = first(up[i].vars)
			s.tables = append(s.tables, up[i])
			put(&buckets[parent[i]], int32(len(s.tables)-1))
		}
	}
	marginals := make([][]float64, n)
	down := make([]table, n) // message from the parent to bucket i
	one := s.ints.take(1)
	for i := n - 1; i >= 0; i-- {
		var above *table
		if parent[i] >= 0 {
			above = &down[i]
		}
		belief := s.multiply(size, &buckets[i], above, order[i])
		one[0] = order[i]
		own := s.sumTo(size, &belief, one)
		marginals[order[i]] = own.data
		for c := range i {
			if parent[c] == int32(i) {
				down[c] = divide(s.sumTo(size, &belief, up[c].vars), up[c])
				normalise(down[c].data)
			}
		}
	}
	return marginals
}

// bucket is a list of tables, by way of summer.next.
type bucket struct{ head, tail, n int32 }

func (s *summer) without(vars []int32, v int32) []int32 {
	out := s.ints.take(len(vars))[:0]
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
		top = max(top, x)
	}
	if top > 0 {
		for i := range data {
			data[i] /= top
		}
	}
}

// multiply returns the product of a bucket's tables and, where it is given, of
// one more, over all their nodes and always over v.
func (s *summer) multiply(size []int32, b *bucket, more *table, v int32) table {
	all := bitset(s.bits.take((len(size) + 63) / 64))
	all.add(v)
	collect := func(t *table) {
		for _, u := range t.vars {
			all.add(u)
		}
	}
	for k, i := int32(0), b.head; k < b.n; k, i = k+1, s.next[i] {
		collect(&s.tables[i])
	}
	if more != nil {
		collect(more)
	}
	out := s.over(size, all.list(s.ints.take(all.count())[:0]))
	for i := range out.data {
		out.data[i] = 1
	}
	done := 0
	times := func(t *table) {
		if len(t.data) == len(out.data) {
			for i := range out.data {
				out.data[i] *= t.data[i]
			}
		} else {
			for i, j := range s.index(&out, t) {
				out.data[i] *= t.data[j]
			}
		}
		if done++; done%8 == 0 { // hundreds of ratios would leave the range of a float64
			normalise(out.data)
		}
	}
	for k, i := int32(0), b.head; k < b.n; k, i = k+1, s.next[i] {
		times(&s.tables[i])
	}
	if more != nil {
		times(more)
	}
	return out
}

// sumTo sums a table down to the nodes of vars, which are among its own.
func (s *summer) sumTo(size []int32, t *table, vars []int32) table {
	out := s.over(size, vars)
	for i, j := range s.index(t, &out) {
		out.data[j] += t.data[i]
	}
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

// over returns a table of zeros over the nodes of vars.
func (s *summer) over(size, vars []int32) table {
	t := table{vars: vars, size: s.ints.take(len(vars))}
	total := 1
	for i, v := range vars {
		t.size[i] = size[v]
		total *= int(size[v])
	}
	t.data = s.floats.take(total)
	return t
}

// index returns, for every index of t, the index of u that agrees with it; the
// nodes of u are among those of t. It holds until the next call.
func (s *summer) index(t, u *table) []int32 {
	n := len(t.vars)
	stride, at := s.ints.take(n), s.ints.take(n)
	step := int32(1)
	for k, i := len(u.vars)-1, n-1; k >= 0; k-- {
		for t.vars[i] != u.vars[k] { // both rise
			i--
		}
		stride[i] = step
		step *= u.size[k]
	}
	s.at = slices.Grow(s.at[:0], len(t.data))[:len(t.data)]
	inner, by := t.size[n-1], stride[n-1]
	j := int32(0)
	for i := 0; i < len(t.data); {
		for k := int32(0); k < inner; k++ {
			s.at[i] = j + k*by
			i++
		}
		for k := n - 2; k >= 0; k-- {
			at[k]++
			j += stride[k]
			if at[k] < t.size[k] {
				break
			}
			j -= stride[k] * t.size[k]
			at[k] = 0
		}
	}
	return s.at
}
