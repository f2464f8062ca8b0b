package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// trySplit weighs reading one number as a voltage and a current run together:
//
//	"15 3 amps, 25 amps"        after a current: 20 V, 5 A
//	"12 volts at three fifty volts"  after a voltage: 3 A, 50 V
//	"5 volt 2.5 to 20 volt"     after a voltage: 2.5 A, 20 V, the amps heard as to
//
// It reports whether it made two nodes of mention i, whose candidates start
// at from.
func (e *engine) trySplit(i int32, from int32) bool {
	halves := e.halves(i)
	if len(halves) == 0 {
		return false
	}
	one := float32(math.Inf(-1))
	for k := from; k < int32(len(e.cands)); k++ {
		one = max(one, e.cands[k].score)
	}
	mark := len(e.cands)
	best, bestScore := -1, float32(math.Inf(-1))
	for h := range halves {
		e.turn = halves[h].unit.Kind()
		a := e.halfCandidate(i, halves[h].first, halves[h].unit)
		e.turn = halves[h].unit2.Kind()
		b := e.halfCandidate(i, halves[h].second, halves[h].unit2)
		// both numbers were said: the run-together costs once
		score := a.score + b.score - e.costs.Of(channel.MergedNumbers) + e.powerBonus(i, a.si*b.si)
		if h > 0 && e.mention(i).Style == extract.StylePair {
			score -= e.costs.Of(channel.TeenTy)
		}
		if score > bestScore {
			best, bestScore = h, score
		}
	}
	if bestScore < one {
		return false
	}
	cut := 1 / (1 + math.Exp(float64(one-bestScore)))
	h := &halves[best]
	for _, x := range []struct {
		n extract.Num
		u schema.Unit
	}{{h.first, h.unit}, {h.second, h.unit2}} {
		e.turn = x.u.Kind()
		e.cands = append(e.cands, e.halfCandidate(i, x.n, x.u))
	}
	for k := range int32(2) {
		e.nodes = append(e.nodes, node{first: i, last: i + 1, from: int32(mark) + k, to: int32(mark) + k + 1, cut: cut,
			share: k + 1})
	}
	return true
}

// halves lists the two quantities that mention i may be run together from.
func (e *engine) halves(i int32) []half {
	m := e.mention(i)
	kind := m.Unit.Unit.Kind()
	if m.From != extract.UnitOwn || m.Joint == extract.JointNone || kind != schema.KindCurrent &&
		kind != schema.KindVoltage {
		return nil
	}
	before, _ := e.kindBefore(i)
	if kind == schema.KindCurrent {
		if !m.Range && (before == schema.KindCurrent || before == schema.KindPower) {
			return e.splitCurrent(m)
		}
		return nil
	}
	switch {
	case before != schema.KindVoltage:
	case m.Range:
		return []half{{m.Low, m.High, "A", "V"}}
	case m.Style == extract.StylePair && m.Low.Exp == 0:
		a, v := m.Low.Coef/100, m.Low.Coef%100
		if a == 0 || v == 0 {
			return nil
		}
		all := []half{{extract.Num{Coef: a}, extract.Num{Coef: v}, "A", "V"}}
		if t, ok := swapTeen(v); ok {
			all = append(all, half{extract.Num{Coef: a}, extract.Num{Coef: t}, "A", "V"})
		}
		return all
	}
	return nil
}

// powerBonus is what a power said right behind mention i adds to a level that
// gives it. It only weighs cuts.
func (e *engine) powerBonus(i int32, power float64) float32 {
	for k := i + 1; k <= i+e.reach.powerBehind && int(k) < len(e.doc.Mentions); k++ {
		if n := e.mention(k); n.From == extract.UnitOwn && n.Unit.Unit == "W" {
			if agrees(n.High.Float(), power, 0.01) {
				return float32(math.Log(e.weights.LevelPower))
			}
			return 0
		}
	}
	return 0
}

// half is one way to cut a number in two.
type half struct {
	first, second extract.Num
	unit, unit2   schema.Unit
}

// splitCurrent lists the ways to read a current as voltage and current:
// "25" is twenty, five (the tens keep their zero), "153" fifteen, three.
func (e *engine) splitCurrent(m *extract.Mention) []half {
	p, ok := e.decoder.Digits(m)
	if !ok || p.N < 2 || p.N > 3 || p.After > 0 && p.N-p.After != 2 {
		return nil
	}
	var halves []half
	if p.Shown[0] >= '2' && p.Shown[1] != '0' && p.N-p.After == 2 {
		halves = append(halves, half{extract.Num{Coef: int64(p.Shown[0]-'0') * 10}, p.Number(1, p.N, p.After), "V",
			"A"})
	}
	for cut := 1; cut < p.N-p.After; cut++ {
		if p.Shown[cut] != '0' {
			halves = append(halves, half{p.Number(0, cut, 0), p.Number(cut, p.N, p.After), "V", "A"})
		}
	}
	return halves
}

// swapTeen turns 15 into 50 and back.
func swapTeen(v int64) (int64, bool) {
	switch {
	case v >= 13 && v <= 19:
		return v % 10 * 10, true
	case v >= 30 && v <= 90 && v%10 == 0:
		return 10 + v/10, true
	}
	return 0, false
}

func (e *engine) halfCandidate(i int32, n extract.Num, u schema.Unit) candidate {
	m := e.mention(i)
	c := candidate{lo: n, hi: n, unit: u, kind: u.Kind(), by: [3]channel.Distortion{channel.MergedNumbers},
		firstMention: i, si: n.Float(), siLo: n.Float()}
	e.weigh(&c, e.rolesFor(m, u.Kind()), i)
	return c
}
