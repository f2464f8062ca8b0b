package normalize

import (
	"math"
	"slices"
	"strconv"

	"saywatt/schema"
)

// What a value is likely to be shows in its neighbours: sides of one body differ
// by a factor of ten at most, a level's current is a fraction of its voltage, what
// is measured with two decimals is so again. The families of this file see a
// reading beside the likeliest readings of the quantities around, as they were
// before anything was learned from others. Bins are even steps of a logarithm.

// steps cut a logarithm into bins.
type steps struct {
	perDecade   int
	least, most int // decades
}

var (
	sizeSteps  = steps{4, -12, 8} // of a value, in the coherent SI unit
	ratioSteps = steps{4, -2, 2}  // of a value to the nearest of its kind
	pairSteps  = steps{2, -10, 10}
)

func (s steps) count() int { return (s.most - s.least) * s.perDecade }

// bin is the bin of a decimal logarithm; beyond the ends the last.
func (s steps) bin(log float64) int {
	k := math.Floor(float64(s.perDecade)*log+1e-9) - float64(s.least*s.perDecade)
	return int(min(float64(s.count()-1), max(0, k)))
}

// dimension names the bins by the decades that they begin with.
func (s steps) dimension() (d dimension) {
	for i := range s.count() {
		d = append(d, "e"+strconv.FormatFloat(float64(s.least)+float64(i)/float64(s.perDecade), 'g', -1, 64))
	}
	return d
}

var (
	nearDecimalsDim = dimension{"none", "0", "1", "2", "3"}
	nearUnitDim     = dimension{"none", "unlike", "alike"}
	echoDim         = dimension{"none", "once", "more"}
	alikeDim        = dimension{"none", "same", "hair", "near", "like", "far"}
	turnDim         = dimension{"none", "unlike_one", "alike_one", "unlike_two", "alike_two"}
)

// ratioDimension is that of kind.before and kind.after: no such neighbour, the
// same value, or so many times it.
func ratioDimension() dimension { return append(dimension{"none", "same"}, ratioSteps.dimension()...) }

// mantissaDimension has the mantissas of two digits; the first is of more.
func mantissaDimension() dimension {
	d := dimension{"longer"}
	for i := 10; i < 100; i++ {
		d = append(d, strconv.Itoa(i))
	}
	return d
}

// mantissa is the index of a value's mantissa in mantissaDimension.
func mantissa(log float64) int {
	m := math.Pow(10, 1+log-math.Floor(log+1e-9))
	if k := math.Round(m); math.Abs(m-k) < 1e-6 {
		return int(k) - 9
	}
	return 0
}

// seeSize lists the traits of a reading's size in its role, by index, and in its place.
func (e *engine) seeSize(l *traitList, v *nodeView, c *candidate, role int) {
	if c.si <= 0 {
		return
	}
	l.add(roleSize, 1, role, sizeSteps.bin(c.log))
	l.add(kindMantissa, 1, int(c.kind), mantissa(c.log))
	class := int(v.m.Context.Class)
	l.add(wayClass, 1, int(c.by[0]), class)
	l.add(classKindSize, 1, class, int(c.kind), pairSteps.bin(c.log))
}

// echo is a value as it is counted over the file.
type echo struct {
	kind schema.Kind
	log  int64 // of the value, in millionths of a decade
}

func echoOf(c *candidate) echo { return echo{c.kind, int64(math.Round(c.log * 1e6))} }

// lookAround notes each node's likeliest reading, and how often each value was
// said in so many words.
func (e *engine) lookAround() {
	e.leaders = e.leaders[:0]
	e.echoes = map[echo]int{}
	for i := range e.nodes {
		n := &e.nodes[i]
		var best *candidate
		for k := n.from; k < n.to; k++ {
			if c := &e.cands[k]; !c.nothing && c.si > 0 && c.posterior > 0.5 {
				best = c
			}
		}
		e.leaders = append(e.leaders, best)
		if best != nil && best.literal {
			e.echoes[echoOf(best)]++
		}
	}
}

// leader is the likeliest reading of node i; nil where none is likely, or where there
// is no such node.
func (e *engine) leader(i int) *candidate {
	if i < 0 || i >= len(e.leaders) {
		return nil
	}
	return e.leaders[i]
}

// seeNeighbours lists the traits of a reading beside others.
func (e *engine) seeNeighbours(l *traitList, v *nodeView, c *candidate) {
	if c.si <= 0 {
		return
	}
	decimals, unit, off := 0, 0, -1.0
	for _, side := range [...]struct{ step, kind, pair int }{{-1, kindBefore, pairBefore}, {1, kindAfter, pairAfter}} {
		if o := e.leader(v.at + side.step); o != nil && o.kind != c.kind {
			l.add(side.pair, 1, int(o.kind), int(c.kind), pairSteps.bin(c.log-o.log))
		}
		o := e.nearestLeader(v.at, side.step, c.kind)
		if o == nil {
			l.add(side.kind, 1, int(c.kind), 0)
			continue
		}
		bin := 1
		by := c.log - o.log
		if off < 0 || math.Abs(by) < off {
			off = math.Abs(by)
		}
		if math.Abs(by) > 1e-6 {
			bin = 2 + ratioSteps.bin(by)
		}
		l.add(side.kind, 1, int(c.kind), bin)
		decimals = max(decimals, 1+min(3, max(0, int(-o.hi.Exp))))
		unit = max(unit, 1+boolInt(o.unit == c.unit))
	}
	l.add(kindDecimalsNear, 1, int(c.kind), max(0, int(-c.hi.Exp)), decimals)
	l.add(kindUnitNear, 1, int(c.kind), unit, int(v.m.From))
	alike := alikeBin(off)
	l.add(wayAlike, 1, int(c.by[0]), alike)
	l.add(kindAlike, 1, int(c.kind), alike)
	said := e.echoes[echoOf(c)]
	if own := e.leaders[v.at]; own != nil && own.literal && echoOf(own) == echoOf(c) {
		said--
	}
	l.add(wayEcho, 1, int(c.by[0]), min(said, 2))
}

// The decades up to which a value is alike to the nearest of its kind: by a
// thirtieth, an eighth, and twice; common practice, no source.
var alikeSteps = [...]float64{1e-6, 0.0142, 0.0512, 0.3011}

// alikeBin is the index in alikeDim of a value so many decades off the nearest of its
// kind; below 0 there is none.
func alikeBin(off float64) int {
	if off < 0 {
		return 0
	}
	k, _ := slices.BinarySearch(alikeSteps[:], off)
	return 1 + k
}

// turnOf says whether a unit of the kind at node at takes its turn: whether it followed
// the last time that the two quantities before were of the same kinds as here, or, where
// they never were, the one before. It is an index of turnDim.
func (e *engine) turnOf(at int, k schema.Kind) int {
	one, two := e.leader(at-1), e.leader(at-2)
	if one == nil {
		return 0
	}
	short := 0
	for j := at - 1; j > 0 && j >= at-int(e.reach.turn); j-- {
		now, b := e.leader(j), e.leader(j-1)
		if now == nil || b == nil || b.kind != one.kind {
			continue
		}
		if short == 0 {
			short = 1 + boolInt(now.kind == k)
		}
		if c := e.leader(j - 2); two != nil && c != nil && c.kind == two.kind {
			return 3 + boolInt(now.kind == k)
		}
	}
	return short
}

// seeSource lists the traits of a unit that was not said.
func (e *engine) seeSource(l *traitList, v *nodeView, c *candidate) {
	l.add(sourceKind, 1, int(c.source), int(c.kind))
	l.add(sourceJoint, 1, int(c.source), int(v.m.Joint))
	l.add(sourceClass, 1, int(c.source), int(v.m.Context.Class))
	l.add(turnKind, 1, e.turnOf(v.at, c.kind), int(c.kind))
}

// nearestLeader is the first likely reading of the kind on one side of node at, step by
// step; nil where none is in reach.
func (e *engine) nearestLeader(at, step int, k schema.Kind) *candidate {
	for n := 1; n <= int(e.reach.nearestKind); n++ {
		if o := e.leader(at + n*step); o != nil && o.kind == k {
			return o
		}
	}
	return nil
}
