package normalize

import (
	"hash/fnv"
	"math"

	"saywatt/extract"
	"saywatt/schema"
)

// What the words behind a number stand for shows in the whole file: where "thirty six
// belts" can only be volts, "eighty belts" are no miles. Each spelling of a unit is
// counted with what its numbers were likeliest read as before anything was learned.
// Words said again with the same number are no second witness: captions garble the same
// words in the same way.

// unitWords are the uses of every spelling of a unit in the file.
type unitWords struct {
	of    map[uint64]*unitUses // by the words
	words []uint64             // of each node, 0 where it has none of its own
	first []int32              // the first node that has the words and the number of each
}

// unitUses is what the numbers before one spelling of a unit were read as.
type unitUses struct {
	units []unitUse
	all   float64 // probabilities of all readings, those of no quantity among them
}

type unitUse struct {
	unit schema.Unit
	p    float64
}

// countUnitWords counts what each spelling of a unit stands for.
func (e *engine) countUnitWords() {
	u := &e.unitWords
	u.of = map[uint64]*unitUses{}
	u.words, u.first = empty(u.words, len(e.nodes)), empty(u.first, len(e.nodes))
	seen := map[[2]uint64]int32{}
	for i := range e.nodes {
		words, number := e.spelled(&e.nodes[i])
		first := int32(i)
		if words != 0 {
			key := [2]uint64{words, number}
			if at, ok := seen[key]; ok {
				first = at
			} else {
				seen[key] = first
				if u.of[words] == nil {
					u.of[words] = &unitUses{}
				}
				e.countUses(u.of[words], &e.nodes[i])
			}
		}
		u.words, u.first = append(u.words, words), append(u.first, first)
	}
}

// countUses adds the readings of a node.
func (e *engine) countUses(u *unitUses, n *node) {
	for k := n.from; k < n.to; k++ {
		if c := &e.cands[k]; c.nothing {
			u.all += c.posterior
		} else {
			u.add(c.unit, c.posterior)
		}
	}
}

func (u *unitUses) add(unit schema.Unit, p float64) {
	u.all += p
	for i := range u.units {
		if u.units[i].unit == unit {
			u.units[i].p += p
			return
		}
	}
	u.units = append(u.units, unitUse{unit, p})
}

// with is the probability of all readings in the unit.
func (u *unitUses) with(unit schema.Unit) float64 {
	for i := range u.units {
		if u.units[i].unit == unit {
			return u.units[i].p
		}
	}
	return 0
}

// elsewhere returns what the words of node i's unit were read as with other numbers: how
// often as the unit, and as anything else.
func (e *engine) elsewhere(i int, unit schema.Unit) (same, other float64) {
	u := &e.unitWords
	uses := u.of[u.words[i]]
	if uses == nil {
		return 0, 0
	}
	same, all := uses.with(unit), uses.all
	n := &e.nodes[u.first[i]]
	for k := n.from; k < n.to; k++ {
		c := &e.cands[k]
		all -= c.posterior
		if !c.nothing && c.unit == unit {
			same -= c.posterior
		}
	}
	same = max(0, same)
	return same, max(0, all-same)
}

// spelled returns the words of a node's unit and those of its number; 0 where the unit
// has no words of its own.
func (e *engine) spelled(n *node) (unit, number uint64) {
	m := e.mention(n.last - 1)
	if m.From != extract.UnitOwn || m.NumEnd >= m.Last {
		return 0, 0
	}
	return e.wordsHash(e.unitStart(m), m.Last), e.wordsHash(m.First, m.NumEnd)
}

// wordsHash is a hash of the words of the tokens, whatever the case of their letters and
// what stands between them.
func (e *engine) wordsHash(first, last int32) uint64 {
	h := fnv.New64a()
	var room [64]byte
	for _, t := range e.doc.Tokens[first:last] {
		if t.Kind == extract.TokenBreak {
			continue
		}
		word := room[:0]
		for _, b := range e.doc.Transcript.Text[t.Start:t.End] {
			if 'A' <= b && b <= 'Z' {
				b += 'a' - 'A'
			}
			word = append(word, b)
		}
		h.Write(append(word, ' '))
	}
	return h.Sum64()
}

// seeUnitWords lists what the words of the unit stand for elsewhere in the file.
func (e *engine) seeUnitWords(l *traitList, i int, c *candidate) {
	same, other := e.elsewhere(i, c.unit)
	if same == 0 && other == 0 {
		return
	}
	if c.nothing {
		l.add(noUnitWords, float32(math.Log1p(same+other)))
		return
	}
	l.add(unitSame, float32(math.Log1p(same)), int(c.by[0]))
	l.add(unitOther, float32(math.Log1p(other)), int(c.by[0]))
}
