package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// mergeable reports whether mention j may be the second part of the number
// that mention i starts.
func (e *engine) mergeable(i, j int32) bool {
	a, b := e.mention(i), e.mention(j)
	if e.apart(i, a, b) {
		return false
	}
	if a.Not == extract.NotCode && (b.From != extract.UnitOwn || b.Joint != extract.JointSpace) {
		return false
	}
	if a.Not == extract.NotCount && a.Style == extract.StyleWords && b.Style == extract.StyleDigits &&
		b.From == extract.UnitOwn {
		return false // "buck coils two 10 microhenries": one breath writes a number one way
	}
	if b.Joint == extract.JointComma && e.closerBehind(j) {
		return false
	}
	if a.Not == extract.NotPronoun {
		return b.Joint == extract.JointWord && b.From == extract.UnitOwn
	}
	switch a.Not {
	case extract.NotVersion, extract.NotPrice, extract.NotYear, extract.NotScore, extract.NotCalendar:
		return false
	}
	switch b.Joint {
	case extract.JointSpace, extract.JointComma, extract.JointAnd, extract.JointStop, extract.JointColon,
		extract.JointDash, extract.JointTo, extract.JointSlash:
		return true
	case extract.JointWord, extract.JointBy:
		return b.From == extract.UnitOwn && b.NumEnd-b.First <= 2
	}
	return false
}

// apart reports whether mention i, which is a, is a number of its own beside the next
// one, b: it has a unit, is an edge of a size, of a list, or the first value of what
// changed ("from 5 to 80 percent").
func (e *engine) apart(i int32, a, b *extract.Mention) bool {
	if a.From == extract.UnitOwn || a.Range || a.From == extract.UnitGroup && b.Joint == extract.JointTo {
		return true
	}
	return b.Joint.Lists() && e.inList(i) || a.Group >= 0 && b.Group >= 0 && b.Joint == extract.JointBy &&
		b.Unit.Unit.Kind() == schema.KindLength && e.tripleGroup(i)
}

// closerBehind reports whether mention j, a number without a unit, may be one with
// the number right behind it: "74, 84 6 percent".
func (e *engine) closerBehind(j int32) bool {
	return int(j)+1 < len(e.doc.Mentions) && e.mention(j).From != extract.UnitOwn &&
		e.mention(j+1).Joint == extract.JointSpace && e.mergeable(j, j+1)
}

// tripleGroup reports whether mention i is in a product of three or more, or
// of two lengths, which is a size and no broken number.
func (e *engine) tripleGroup(i int32) bool {
	g := e.mention(i).Group
	n := 0
	for k := g; k >= 0 && int(k) < len(e.doc.Mentions) && e.mention(k).Group == g; k++ {
		n++
	}
	return n >= 2
}

// merge weighs the reading of two mentions as one number against reading them
// apart, and keeps the better cut; the other one's weight lowers the
// confidence. It reports whether the node before took nd in.
func (e *engine) merge(prev, nd *node, m *extract.Mention) bool {
	i := nd.last - 1
	a := e.mention(prev.last - 1)
	asked := e.cuts.between(i-1, i)
	if prev.last-prev.first > 1 || asked == cutApart {
		return false
	}
	e.decoder.Pair(a, m)
	if len(e.decoder.List) == 0 {
		return false
	}
	e.options = e.options[:0]
	e.setTurn(prev.last - 1)
	if m.From == extract.UnitOwn {
		e.units(i)
	} else {
		e.bareUnit(prev.last-1, i)
	}
	if len(e.options) == 0 {
		return false
	}
	from := len(e.cands)
	e.product(i, 1)
	if asked == cutTogether {
		*prev = node{first: prev.first, last: nd.last, from: int32(from), to: int32(len(e.cands)), cut: 1}
		return true
	}
	without := e.strayCost(a) // the number before being nothing
	apart := e.best(prev) + e.best(nd)
	if prev.to == prev.from {
		apart = e.best(nd) - without
		if a.Not == extract.NotPronoun {
			apart = e.best(nd) // "this one costs 5 watts"
		}
	}
	odd := float32(0) // of two numbers with nothing between them
	switch {
	case m.Joint != extract.JointSpace:
	case e.leads(m):
		odd = float32(e.weights.BarePoint)
	case e.stray(prev):
		odd = float32(e.weights.StraySpace)
	}
	apart -= odd
	together := float32(math.Inf(-1))
	for k := from; k < len(e.cands); k++ {
		together = max(together, e.cands[k].score+e.nearBonus(&e.cands[k], prev.first, m))
	}
	diff := float64(together - apart)
	p := 1 / (1 + math.Exp(-diff))
	if diff <= 0 {
		e.keepMerged(nd, from, apart-e.best(nd))
		prev.cut *= 1 - p
		return false
	}
	// the second mention alone, the first being stray, stays among the
	// readings; the edge of a product is never stray
	for k := nd.from; k < nd.to && a.Group < 0; k++ {
		c := e.cands[k]
		c.channel -= without + odd
		c.score -= without + odd
		e.cands = append(e.cands, c)
	}
	*prev = node{first: prev.first, last: nd.last, from: int32(from), to: int32(len(e.cands)), cut: p}
	return true
}

// strayCost is the cost of a number that stands before another and is nothing:
// that there is one and, where nothing around says what it is, that it is just
// this one.
func (e *engine) strayCost(m *extract.Mention) float32 {
	cost := e.costs.Of(channel.Stray)
	if m.Not == extract.NotNothing {
		cost -= float32(math.Log(prior.CountShare(m.Low)))
	}
	return cost
}

// keepMerged leaves the readings of a refused cut among those of the second
// mention, weighed against it standing alone: joint evidence may yet turn the
// balance, and a person may choose them. Where one of them wins, the mention
// before is part of it (see results).
func (e *engine) keepMerged(nd *node, from int, alone float32) {
	limit := e.best(nd) - float32(e.weights.Keep)
	k := from
	for j := from; j < len(e.cands); j++ {
		c := e.cands[j]
		c.channel -= alone
		c.score -= alone
		if c.score >= limit {
			e.cands[k] = c
			k++
		}
	}
	e.cands = e.cands[:k]
	nd.to = int32(k)
}

// stray reports whether a node is likeliest no quantity.
func (e *engine) stray(n *node) bool {
	best := n.from
	for k := n.from; k < n.to; k++ {
		if e.cands[k].score > e.cands[best].score {
			best = k
		}
	}
	return n.from == n.to || e.cands[best].nothing
}

// leads reports whether the mention's digits stand behind a bare point: ".8".
func (e *engine) leads(m *extract.Mention) bool {
	t := e.doc.Tokens[m.First]
	return t.Kind == extract.TokenNumber && e.doc.Transcript.Text[t.Start] == '.'
}

// nearBonus is what the level under test, said before mention i, adds to a
// measured voltage near it. It only weighs cuts; the fact itself is counted
// with the others.
func (e *engine) nearBonus(c *candidate, i int32, m *extract.Mention) float32 {
	if m.Context.Property != "output_voltage" || c.kind != schema.KindVoltage {
		return 0
	}
	for k := i - 1; k >= 0 && k >= i-e.reach.nearLevel; k-- {
		n := e.mention(k)
		if n.From == extract.UnitOwn && n.Unit.Unit == "V" && n.Context.Property != "output_voltage" &&
			n.High.Float() >= 2 {
			if loadBounds().near(c.si, n.High.Float()) {
				return float32(math.Log(e.weights.NearLevel))
			}
			return 0
		}
	}
	return 0
}

func (e *engine) best(n *node) float32 {
	b := float32(-20)
	for k := n.from; k < n.to; k++ {
		b = max(b, e.cands[k].score)
	}
	return b
}
