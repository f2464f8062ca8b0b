package normalize

import (
	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// candidate is one reading of a node while it is weighed.
type candidate struct {
	lo, hi       extract.Num
	isRange      bool
	nothing      bool // no quantity at all: a count, a stray number
	literal      bool // what the words say, unchanged
	product      bool // what the two quantities before it make
	by           [3]channel.Distortion
	source       unitSource // of the unit
	role         int16
	place        int8 // which of the mention's places the role is for
	unit         schema.Unit
	kind         schema.Kind
	si, siLo     float64
	log          float64 // log10 of si
	channel      float32 // -cost of the distortions
	context      float32 // ln P(role | words around)
	prior        float32 // ln P(value | role)
	repeat       float32 // what repetition adds
	trait        float32 // what its traits weigh (traits.go)
	joint        float32 // what joint evidence added, for the reasons
	score        float32
	posterior    float64
	firstMention int32
	kept         int32 // index into engine.kept
	made         int32 // 1 + index into engine.quantities, 0 where not made yet
}

// finish orders a node's candidates and drops what cannot matter.
func (e *engine) finish(n *node) {
	c := e.cands[n.from:n.to]
	if len(c) == 0 {
		return
	}
	sortCandidates(c)
	const most = 12
	limit := len(c)
	for limit > 1 && c[limit-1].score < c[0].score-float32(e.weights.Keep) {
		limit--
	}
	limit = min(limit, most)
	limit = keepOne(c, limit, most, func(c *candidate) bool { return c.product })
	limit = keepOne(c, limit, most, func(c *candidate) bool { return c.literal })
	n.to = n.from + int32(limit)
}

// keepOne sees to it that the first reading beyond the limit that is wanted is among those
// before it, where none of these is, at most so many. It returns the limit then.
func keepOne(c []candidate, limit, most int, wanted func(*candidate) bool) int {
	for k := limit; k < len(c); k++ {
		if wanted(&c[k]) {
			at := limit - 1 + boolInt(limit < most)
			c[at], c[k] = c[k], c[at]
			return at + 1
		}
	}
	return limit
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sortCandidates sorts by falling score; ties by rising value, then unit, so
// that the same input gives the same order.
func sortCandidates(c []candidate) {
	for i := 1; i < len(c); i++ {
		for j := i; j > 0 && before(&c[j], &c[j-1]); j-- {
			c[j], c[j-1] = c[j-1], c[j]
		}
	}
}

func before(a, b *candidate) bool {
	switch {
	case a.score != b.score:
		return a.score > b.score
	case a.literal != b.literal:
		return a.literal
	case a.si != b.si:
		return a.si < b.si
	}
	return a.unit < b.unit
}
