package normalize

import (
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/normalize/infer"
	"saywatt/schema"
)

// gatherRelations lists what the values of quantities near each other have in
// common, whatever their places are: one fact for three nodes, or for two and
// a count. Nodes that a fact or a rule ties already are left to that.
func (e *engine) gatherRelations() {
	e.relations = loadRelations()
	e.graph.Index()
	tied := len(e.graph.Factors)
	n := int32(len(e.nodes))
	kinds := make([]kindSet, n)
	for i := range kinds {
		kinds[i] = e.kindsOf(int32(i))
	}
	var found []weighedFact
	for k := int32(1); k < n; k++ {
		if kinds[k] == 0 {
			continue
		}
		found = found[:0]
		for i := k - 1; i >= 0 && k-i <= e.reach.related && e.wordsFrom(i, k) <= e.reach.relatedWords; i-- {
			if kinds[i] == 0 {
				continue
			}
			if f, ok := e.countFact(i, k); ok && kinds[i]&kinds[k] != 0 && !e.tiedTogether(f.nodes[:2], tied) {
				found = e.offer(found, f)
			}
			between := e.between(kinds[i], kinds[k])
			doubt := e.doubtful(i) || e.doubtful(k)
			for j := i + 1; j < k; j++ {
				if kinds[j]&between == 0 || !doubt && !e.doubtful(j) {
					continue
				}
				f := e.relationOf(i, j, k)
				if !e.tiedTogether(f.nodes[:f.n], tied) {
					found = e.offer(found, f)
				}
			}
		}
		for _, f := range found {
			e.facts = append(e.facts, f.fact)
			e.addFactor(f.nodes, f.n, int32(len(e.facts)-1), func(at *[maxFactNodes]int32) float64 {
				return e.ratio(&f.fact, e.readingsAt(&f.nodes, f.n, at))
			})
		}
	}
}

// relationOf is the relation of three nodes, the minutes behind the hours of one of
// them taken in: "1 hour 48" is one time.
func (e *engine) relationOf(i, j, k int32) fact {
	f := fact{n: 3, nodes: [maxFactNodes]int32{i, j, k}, kind: factRelation, link: e.linkAmong(i, j, k), near: k-i == 2}
	for at, n := range [...]int32{i, j, k} {
		if behind := n + 1; behind != j && behind != k && e.timeGoesOn(n) {
			f.pair, f.n = int8(at+1), 4
			f.nodes = [maxFactNodes]int32(slices.Insert([]int32{i, j, k}, at+1, behind))
			f.near = f.nodes[3]-i == 3
			break
		}
	}
	return f
}

// timeGoesOn reports whether node n is a time and the next one the rest of it in a
// smaller unit. The words alone say so where both units were said
// (extract.Mention.Compound); here the likeliest readings do, the second unit being
// one of them: "1 hour 48".
func (e *engine) timeGoesOn(n int32) bool {
	if int(n)+1 >= len(e.nodes) || e.wordsFrom(n, n+1) > e.reach.timeJoint {
		return false
	}
	a, b := e.top(n), e.top(n+1)
	return a != nil && b != nil && restOfTime(a, b)
}

// restOfTime reports whether b is what a time leaves of its last unit: 48 minutes
// of an hour.
func restOfTime(a, b *candidate) bool {
	return a.kind == schema.KindTime && b.kind == schema.KindTime && !a.isRange && !b.isRange && a.hi.Exp == 0 &&
		b.si < a.step()
}

// joined are three readings of four, those of a time said in two units being one.
func (f *fact) joined(c *[maxFactNodes]*candidate, room *candidate) ([maxFactNodes]*candidate, bool) {
	at := f.pair - 1
	a, b := c[at], c[at+1]
	if !restOfTime(a, b) {
		return *c, false
	}
	*room = *b
	room.si += a.si
	room.hi = extract.Num{Coef: int64(math.Round(room.si / b.step()))}
	out := *c
	out[at] = room
	copy(out[at+1:], c[at+2:])
	return out, true
}

// weighedFact is a fact with what it speaks for: the share of its nodes'
// readings that meet it, times how much likelier it makes them.
type weighedFact struct {
	fact
	worth float64
}

// offer keeps a fact among the best of those found so far, best first.
func (e *engine) offer(found []weighedFact, f fact) []weighedFact {
	w := weighedFact{f, e.worth(&f)}
	if w.worth < loadBounds().leastWorth || f.n >= 3 && e.saidTwice(found, &f) {
		return found
	}
	at := len(found)
	for at > 0 && found[at-1].worth < w.worth {
		at--
	}
	found = slices.Insert(found, at, w)
	return found[:min(len(found), int(e.reach.relatedKept))]
}

// saidTwice reports whether a relation differs from one kept before in one
// node only, and that one has the value of the other, so that both are one piece of evidence: 90 W for ten
// hours is not proved twice by 900 and 902 Wh.
func (e *engine) saidTwice(found []weighedFact, f *fact) bool {
	twice := func(o *fact) bool {
		if o.kind != f.kind {
			return false
		}
		var own, other int32 = -1, -1
		shared := 0
		for k := range f.n {
			if slices.Contains(o.nodes[:o.n], f.nodes[k]) {
				shared++
			} else {
				own = f.nodes[k]
			}
			if !slices.Contains(f.nodes[:f.n], o.nodes[k]) {
				other = o.nodes[k]
			}
		}
		if shared != f.n-1 {
			return false
		}
		a, b := e.top(own), e.top(other)
		return a != nil && b != nil && a.kind == b.kind && agrees(a.si, b.si, loadBounds().relatedWide)
	}
	for i := range found {
		if twice(&found[i].fact) {
			return true
		}
	}
	for i := len(e.facts) - 1; i >= 0 && i >= len(e.facts)-int((e.reach.related+1)*e.reach.relatedKept); i-- {
		if twice(&e.facts[i]) {
			return true
		}
	}
	return false
}

// worth adds up, over the readings of a fact's nodes that are weighed, their
// probability times how much likelier the fact makes them.
func (e *engine) worth(f *fact) float64 {
	var size, at [maxFactNodes]int32
	total := int32(1)
	for k := range f.n {
		size[k] = min(e.nodes[f.nodes[k]].weighed, int32(loadBounds().relatedReadings))
		total *= size[k]
	}
	sum := 0.0
	for range total {
		c := e.readingsAt(&f.nodes, f.n, &at)
		p := 1.0
		for k := range f.n {
			p *= c[k].posterior
		}
		if r := e.ratio(f, c); r != 1 {
			sum += p * (r - 1)
		}
		infer.Step(&at, &size, f.n)
	}
	return sum
}

// kindsOf returns the kinds of the weighed readings of a node.
func (e *engine) kindsOf(i int32) (s kindSet) {
	n := &e.nodes[i]
	for _, c := range e.cands[n.from : n.from+n.weighed] {
		if !c.nothing && !c.isRange {
			s |= 1 << c.kind
		}
	}
	return s
}

// between returns the kinds that are in some relation with a kind of a and one of
// b, in any order.
func (e *engine) between(a, b kindSet) (third kindSet) {
	for x := a; x != 0; x &= x - 1 {
		thirds := &e.relations.thirds[x.least()]
		for y := b; y != 0; y &= y - 1 {
			third |= thirds[y.least()]
		}
	}
	return third
}

// wordsFrom counts the tokens from the end of node i to the start of node k.
func (e *engine) wordsFrom(i, k int32) int32 {
	return e.mention(e.nodes[k].first).First - e.mention(e.nodes[i].last-1).Last
}

// linkAmong collects the links between the first of some nodes and the last,
// and right behind it.
func (e *engine) linkAmong(i, j, k int32) (l extract.Link) {
	for _, n := range [...]int32{j, k} {
		l |= e.mention(e.nodes[n].first).Link
	}
	return l | e.main(k).Link&extract.LinkTotal | e.mention(e.nodes[i].first).Link&extract.LinkTotal
}

// tiedTogether reports whether a fact or rule relates all the nodes already:
// one of the first so many factors.
func (e *engine) tiedTogether(nodes []int32, factors int) bool {
	for _, at := range e.graph.With(nodes[0]) {
		if int(at) >= factors {
			break
		}
		f := &e.graph.Factors[at]
		all := f.Nodes[:f.N]
		if f.Top() < loadBounds().tyingRatio {
			continue
		}
		if c, ok := e.caseOf(f); ok {
			all = c.all[:c.distinct]
		} else if kind := e.facts[f.Label].kind; kind == factOrder || kind == factNear {
			continue
		}
		if !slices.ContainsFunc(nodes, func(n int32) bool { return !slices.Contains(all, n) }) {
			return true
		}
	}
	return false
}

// countFact ties two quantities of one kind where a count stands right before
// the first or between them: "four of 100 nanofarads, so 400 together".
func (e *engine) countFact(i, k int32) (fact, bool) {
	reach := e.reach.count
	f := fact{nodes: [maxFactNodes]int32{i, k}, n: 2, kind: factTimes, link: e.linkAmong(i, k, k) | e.main(i).Link,
		near: k-i == 1}
	if k-i > reach || f.link&e.relations.count.links == 0 && f.link&extract.LinkResult == 0 {
		return f, false
	}
	if f.link&extract.LinkTwice != 0 {
		f.extra = 2
		return f, true
	}
	a := e.nodes[i].first
	for b := max(a-1, 0); b < e.nodes[k].first; b++ {
		m := e.mention(b)
		if b == a || m.From != extract.UnitNone || m.Range || m.Low.Exp != 0 || m.Low.Coef < 2 ||
			m.Low.Coef > int64(loadBounds().times) {
			continue
		}
		if b < a && e.mention(a).First-m.Last > reach {
			continue
		}
		f.extra = float64(m.Low.Coef)
		return f, true
	}
	return f, false
}

// relate returns the likelihood ratio of a relation for one combination of
// readings, and the relation that holds, nil where none does.
func (e *engine) relate(f *fact, c [maxFactNodes]*candidate) (float64, *relation) {
	best, which := 1.0, (*relation)(nil)
	if f.kind == factTimes {
		o := &e.relations.count
		if r := e.related(f, o, o.timesChance(c[0], c[1], f.extra)); r > best {
			best, which = r, o
		}
		return best, which
	}
	if f.pair > 0 {
		three, ok := f.joined(&c, &e.wholeTime)
		if !ok {
			return 1, nil
		}
		c = three
	}
	if c[0].isRange || c[1].isRange || c[2].isRange {
		return 1, nil
	}
	for _, m := range e.relations.matches[e.relations.byKinds[c[0].kind][c[1].kind][c[2].kind]] {
		o, p := m.relation, m.order
		if r := e.related(f, o, o.chance(c[p[0]], c[p[1]], c[p[2]])); r > best {
			best, which = r, o
		}
	}
	return best, which
}

// related turns the probability that a relation is met by chance, 0 where it
// is not met, into its likelihood ratio.
func (e *engine) related(f *fact, o *relation, chance float64) float64 {
	if chance == 0 {
		return 1
	}
	meant := o.far
	if f.near {
		meant = o.near
	}
	if f.link&o.links != 0 && o.linked > meant {
		meant = o.linked
		if !f.near {
			meant = math.Sqrt(o.linked * math.Max(o.far, o.linked*0.01)) // in between: the link may be of others
		}
	}
	return 1 + meant/chance
}

// chance returns the probability that three values meet the relation by
// chance, 0 where they do not meet it.
func (o *relation) chance(x, y, z *candidate) float64 {
	switch o.form {
	case asProduct:
		return o.within(x.si*y.si, z)
	case asShare:
		if x.si > y.si || y.si <= 0 {
			return 0
		}
		return o.within(x.si/y.si, z)
	case asSum:
		if x.si > y.si || y.si > z.si || x.si <= 0 { // one order of the three
			return 0
		}
		b := loadBounds()
		if math.Abs(x.si+y.si-z.si) > 2*b.relatedWide*x.si {
			return 0 // further than any step allows
		}
		unit := max(x.step(), y.step(), z.step()) / 2
		if unit > b.relatedWide*x.si || math.Abs(x.si+y.si-z.si) > unit*(1+sameValue*1e3) {
			return 0
		}
		return 2 * max(unit, b.relatedSlack*x.si) / x.si / o.spread
	}
	return 0
}

// within returns the probability that a value is as near by chance to what it should be as
// its last digit, or the slack, allows, over how many of those that are meant so are as
// near; 0 where it is not.
func (o *relation) within(want float64, got *candidate) float64 {
	if want <= 0 || got.si <= 0 {
		return 0
	}
	b, off := loadBounds(), math.Abs(want/got.si-1)
	if off > b.relatedWide {
		return 0
	}
	exact := min(b.relatedWide, got.step()/2/got.si*(1+sameValue*1e3))
	slack := max(b.relatedSlack, exact)
	if off > slack {
		return 0
	}
	spread := o.spread
	if o.form == asShare && got.si < 0.5 { // efficiencies lie close together, other shares do not
		spread = b.shareSpread
	}
	switch {
	case exact == slack:
		return 2 * slack / spread
	case off <= exact:
		return 2 * exact / spread / b.relatedExact
	}
	return 2 * (slack - exact) / spread / (1 - b.relatedExact)
}

// timesChance returns the probability that one value is by chance so many
// times the other, 0 where it is not.
func (o *relation) timesChance(a, b *candidate, times float64) float64 {
	if a.kind != b.kind || a.isRange || b.isRange {
		return 0
	}
	return o.within(a.si*times, b)
}

// step is what one more in the last digit said is worth.
func (c *candidate) step() float64 {
	if c.hi.Float() == 0 {
		return c.si
	}
	return math.Abs(c.si/c.hi.Float()) * math.Pow10(int(c.hi.Exp))
}
