package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/schema"
)

// trySplit weighs reading a current right after another level as a voltage
// and a current run together: "15 3 amps, 25 amps" is 15 V 3 A, 20 V 5 A. It
// reports whether it made two nodes of mention i, whose candidates start at
// from.
func (e *engine) trySplit(i int32, from int32) bool {
	m := e.mention(i)
	if m.Unit.Unit.Kind() != schema.KindCurrent || m.From != extract.UnitOwn || m.Range || m.Joint == extract.JointNone {
		return false
	}
	if k, _ := e.kindBefore(i); k != schema.KindCurrent && k != schema.KindPower {
		return false
	}
	p, ok := e.pieceOf(m)
	if !ok || p.n < 2 || p.n > 3 || p.after > 0 && p.n-p.after != 2 {
		return false
	}
	// "25": twenty, five — the tens keep their zero; "153": fifteen, three
	type half struct{ v, a extract.Num }
	var halves []half
	if p.digits[0] >= '2' && p.digits[1] != '0' && p.n-p.after == 2 {
		v := extract.Num{Coef: int64(p.digits[0]-'0') * 10}
		halves = append(halves, half{v, p.number(1, p.n, p.after)})
	}
	for cut := 1; cut < p.n-p.after; cut++ {
		if p.digits[cut] != '0' {
			halves = append(halves, half{p.number(0, cut, 0), p.number(cut, p.n, p.after)})
		}
	}
	one := float32(math.Inf(-1))
	for k := from; k < int32(len(e.cands)); k++ {
		one = max(one, e.cands[k].score)
	}
	mark := len(e.cands)
	best, bestScore := -1, float32(math.Inf(-1))
	for h := range halves {
		v, a := e.halfCandidate(i, halves[h].v, "V"), e.halfCandidate(i, halves[h].a, "A")
		// both numbers were said: the run-together costs once
		score := v.score + a.score - e.costs.cost[mergedNumbers]
		if score > bestScore {
			best, bestScore = h, score
		}
	}
	if best < 0 || bestScore < one {
		return false
	}
	cut := 1 / (1 + math.Exp(float64(one-bestScore)))
	for k, n := range []struct {
		num extract.Num
		u   schema.Unit
	}{{halves[best].v, "V"}, {halves[best].a, "A"}} {
		c := e.halfCandidate(i, n.num, n.u)
		e.cands = append(e.cands, c)
		e.nodes = append(e.nodes, node{first: i, last: i + 1, from: int32(mark + k), to: int32(mark + k + 1), nothing: -1, cut: cut, share: int32(k + 1)})
	}
	return true
}

func (e *engine) halfCandidate(i int32, n extract.Num, u schema.Unit) candidate {
	m := e.mention(i)
	r := e.roleFor(m, u.Kind())
	c := candidate{lo: n, hi: n, unit: u, kind: u.Kind(), role: r.role, by: [3]distortion{mergedNumbers, intact, intact},
		context: r.weight, firstMention: i, si: n.Float(), siLo: n.Float()}
	e.weigh(&c, i)
	return c
}
