package normalize

import "math"

// A node's likeliest reading is right with a probability that is learned too, on
// narrations that the weights of its readings were not fitted on: what captions
// do that no distortion knows shows in how, and where, a number stands. The
// logarithm of the odds that it is wrong is a sum of traits, of which the odds
// by the engine itself are one.

// odds bounds the logarithms of odds that doubt looks at.
const mostOdds = 9

// logOdds is the logarithm of the odds of a probability, bounded.
func logOdds(p float64) float64 {
	return max(-mostOdds, min(mostOdds, math.Log((p+1e-12)/(1-p+1e-12))))
}

// doubtful lists the traits of the doubt in a reading of node i that has
// probability p.
func (e *engine) doubtTraits(l *traitList, i int, c *candidate, p float64) {
	n, v := &e.nodes[i], &e.views[i]
	literal := boolInt(!c.literal)
	if e.groundless(c) {
		l.add(doubtOdd, 1, 0)
	}
	if e.tail(c) {
		l.add(doubtOdd, 1, 1)
	}
	shape, _ := e.shape(c)
	l.add(doubtOdds, 1, v.captions, literal)
	for k, d := range c.by {
		if d != intact || k == 0 {
			l.add(doubtWay, 1, int(d))
		}
	}
	l.add(doubtShape, 1, shape, literal)
	l.add(doubtCut, float32(-logOdds(n.cut)+mostOdds))
}

// surprise is the score from which on a reading is no surprise.
const surprise = 10

// agreement tells what joint evidence made of a reading.
func agreement(c *candidate) int {
	switch {
	case c.joint < -0.1:
		return 0
	case c.joint > 1.5:
		return 3
	case c.joint > 0.1:
		return 2
	}
	return 1
}

// doubt returns the probability that a reading of node i is wrong which has the
// probability p by the engine.
func (e *engine) doubt(i int, c *candidate, p float64) float64 {
	if e.nodes[i].settled || e.without&PartTraits != 0 {
		return 1 - p
	}
	e.list = e.list[:0]
	e.doubtTraits(&e.list, i, c, p)
	sum := 0.0
	for _, t := range e.list {
		sum += e.traits[t.row] * float64(t.value)
	}
	return 1 - p*(1-1/(1+math.Exp(-sum)))
}
