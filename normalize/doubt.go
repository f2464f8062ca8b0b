package normalize

import (
	"math"

	"saywatt/normalize/channel"
)

// What captions do that no distortion knows leaves a node without its right
// reading. How likely that is, by the kind of captions and by what speaks for the
// likeliest reading, is fitted too, on narrations that the weights of the readings
// were not fitted on: it is the last step of the calibration, and no confidence
// comes nearer to 1.

// doubtTraits lists the traits of the doubt that node i has any right reading,
// its likeliest being c.
func (e *engine) doubtTraits(l *traitList, i int, c *candidate) {
	l.add(doubtCaptions, 1, boolInt(e.plain))
	if e.groundless(c) {
		l.add(doubtOdd, 1, 0)
	}
	if e.tail(c) {
		l.add(doubtOdd, 1, 1)
	}
	n := &e.nodes[i]
	m, captions := e.mention(n.last-1), boolInt(e.plain)
	shape, level := e.shape(c)
	share := placeBin(m, c)
	if c.suffered(channel.UnitDropped) {
		l.add(doubtOdd, strong, 2)
		l.add(doubtElided, strong, int(m.From), int(m.Joint), share)
		l.add(doubtSource, strong, int(c.source), int(c.kind))
		l.add(doubtTurn, strong, e.turnOf(i, c.kind))
	}
	sure := e.belief(n, c)
	belief := beliefBin(sure)
	l.add(doubtBelief, 1, belief, captions)
	l.add(doubtBeliefKind, 1, belief, int(c.kind))
	for k, d := range c.by {
		if k == 0 || d != channel.Intact && d != c.by[0] {
			l.add(doubtBeliefWay, 1, belief, int(d))
			l.add(doubtWay, 1, int(d), captions)
		}
	}
	l.add(doubtShape, 1, shape, level)
	l.add(doubtPlace, 1, share)
	l.add(doubtWords, e.file.words, captions)
	l.add(doubtOpen, e.file.openRate(sure), captions)
	l.add(doubtStyle, 1, int(m.Style))
	l.add(doubtKind, 1, int(c.kind))
	if v := &e.views[i]; v.m != nil {
		l.add(doubtNear, 1, v.near)
		l.add(doubtRate, v.rate, captions)
		l.add(doubtBefore, 1, v.before, captions)
		l.add(doubtBehind, 1, v.behind, captions)
	}
	switch ear := e.heardView(e.mention(e.nodes[i].last - 1)); ear.what {
	case heardUnit:
		l.add(doubtSound, 2*strong, ear.apart)
		l.add(doubtSoundAsked, 2*strong, ear.asked)
	case heardNumber:
		l.add(doubtWord, 2*strong, ear.apart)
		l.add(doubtWordAsked, 2*strong, ear.asked)
	}
}

// belief is the probability of the quantity of a reading among those of its node.
func (e *engine) belief(n *node, c *candidate) float64 {
	p := 0.0
	for k := n.from; k < n.to; k++ {
		if o := &e.cands[k]; !o.nothing && sameQuantity(o, c) {
			p += o.posterior
		}
	}
	return p
}

// beliefDim names the steps of the probability of the likeliest reading among those
// listed.
var beliefDim = dimension{"below_even", "even", "0.8", "0.9", "0.95", "0.97", "0.98", "0.99", "0.995", "0.998"}

// beliefSteps are where they begin.
var beliefSteps = [...]float64{0.5, 0.8, 0.9, 0.95, 0.97, 0.98, 0.99, 0.995, 0.998}

func beliefBin(p float64) int {
	k := 0
	for k < len(beliefSteps) && p >= beliefSteps[k] {
		k++
	}
	return k
}

// unlisted returns the probability that no reading of node i is right, its
// likeliest being c.
func (e *engine) unlisted(i int, c *candidate) float64 {
	if e.nodes[i].settled {
		return 0
	}
	e.list.seen, e.list.families = e.list.seen[:0], loadFamilies()
	e.doubtTraits(&e.list, i, c)
	return 1 / (1 + math.Exp(-e.traits.sum(e.list.seen)))
}

// sum is what the traits weigh together.
func (w Traits) sum(l []seenTrait) float64 {
	sum := 0.0
	for _, t := range l {
		sum += w[t.row] * float64(t.value)
	}
	return sum
}
