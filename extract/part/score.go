package part

import (
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/feature"
)

// A scorer gives segments the scores that the sum of their features has
// (feature.go, which names them, for training), without making the features:
// what grows with a segment is added to, not summed anew. A test holds the two
// together.
type scorer struct {
	*seer
	m       *Model
	bound   *bounds
	shorts  []feature.Piece // of the elements
	names   []feature.Piece
	details []feature.Piece
	room    [3][longest]int // for the nouns, the ratings and their names of one segment
}

func (m *Model) scorer(s *seer) *scorer {
	n := len(s.elements)
	room := make([]feature.Piece, 3*n)
	c := &scorer{seer: s, m: m, bound: loadBounds(), shorts: room[:n], names: room[n : 2*n], details: room[2*n:]}
	for i := range s.elements {
		e := &s.elements[i]
		c.names[i], c.details[i] = feature.Make(e.Name), feature.Make(e.Detail)
		c.shorts[i] = feature.Make(s.short(i))
	}
	return c
}

// of is the weight of a feature.
func (c *scorer) of(p feature.Piece) float64 {
	if row := c.m.index.Row(p.Hash); row >= 0 {
		return c.m.weights[row]
	}
	return 0
}

// The pieces of the names of features.
var (
	blank, comma  = feature.Make(" "), feature.Make(",")
	numbers       = numbersTo(longest + 1)
	typePieces    = typesOf()
	layoutPieces  = layoutsOf()
	pLength, pHas = feature.Make("length:"), feature.Make("has:")
	pOther        = feature.Make("other ")
	pRepeat       = feature.Make("repeat ")
	pNouns        = feature.Make("nouns:")
	pRatings      = feature.Make(" ratings:")
	pFirst, pLast = feature.Make("first:"), feature.Make("last:")
	pLone, pLeast = feature.Make("lone:"), feature.Make("least:")
	pOrder, pSet  = feature.Make("order:"), feature.Make("set:")
	pPair         = feature.Make("pair:")
	pAgain        = feature.Make("again")
	pMultiple     = feature.Make("multiple")
	pDigits       = feature.Make("digits")
	pSecond       = feature.Make("second")
	pNoNoun       = feature.Make("no noun")
	pLayout       = feature.Make("layout:")
	pNounBehind   = feature.Make("noun behind ")
	pSameNoun     = feature.Make("same noun")
	pSameFamily   = feature.Make("same family")
	pOtherNoun    = feature.Make("other noun")
	pUnfit, pFit  = feature.Make("unfit "), feature.Make("fit ")
	pOf           = feature.Make("of:")
	pUnfits       = feature.Make("unfit:")
	pFamily       = feature.Make("family:")
)

func numbersTo(n int) []feature.Piece {
	out := make([]feature.Piece, n)
	for i := range out {
		out[i] = feature.Make(strconv.Itoa(i))
	}
	return out
}

func typesOf() (out [types]feature.Piece) {
	for i := range out {
		out[i] = feature.Make(typeNames[i])
	}
	return out
}

func layoutsOf() (out [layouts]feature.Piece) {
	for i := range out {
		out[i] = feature.Make(layoutNames[i])
	}
	return out
}

// growth is what was summed of a segment so far.
type growth struct {
	tally
	order  feature.Piece // names of the elements
	least  int           // how probable the least probable rating is
	pairs  float64       // how the ratings go together
	set    []int         // ratings of different names, by name
	sets   float64       // which of them stand together
	nouns  float64       // how the nouns agree, as of the last noun or rating
	layout layout
}

// segments calls each for every segment that begins at element i, with its score
// and layout, one call at a time.
func (c *scorer) segments(i int, each func(j int, score float64, l layout)) {
	g := growth{order: pOrder, least: 5, layout: nounNone}
	g.tally.nouns, g.ratings, g.set = c.room[0][:0], c.room[1][:0], c.room[2][:0]
	for j := i + 1; j <= len(c.elements) && j-i <= c.bound.length; j++ {
		k := j - 1
		c.add(&g.tally, i, k)
		g.order = g.order.And(c.shorts[k]).And(blank)
		switch c.elements[k].Type {
		case Rating:
			g.least = min(g.least, c.elements[k].Sure)
			c.rating(&g, k)
			g.nouns, g.layout = c.nouns(&g.tally)
		case Noun:
			g.nouns, g.layout = c.nouns(&g.tally)
		default:
			if j-i == 1 {
				g.nouns, g.layout = c.nouns(&g.tally)
			}
		}
		each(j, c.inside(&g, i, j), g.layout)
	}
}

// inside is the score of the segment [i, j).
func (c *scorer) inside(g *growth, i, j int) float64 {
	ratings := len(g.ratings)
	few := numbers[min(ratings, 2)]
	sum := c.of(pLength.And(numbers[min(j-i, 8)])) + g.pairs + g.sets + g.nouns
	for ty := Code; ty < Rating; ty++ {
		if g.other[ty] {
			sum += c.of(pOther.And(typePieces[ty]))
		}
		if g.repeat[ty] {
			sum += c.of(pRepeat.And(typePieces[ty]))
		}
	}
	has := pHas.And(numbers[min(g.count[Noun], 2)]).And(numbers[min(g.count[Code],
		2)]).And(numbers[min(g.count[Package], 2)]).
		And(numbers[min(g.count[Maker], 2)]).And(numbers[min(ratings, 1)])
	sum += c.of(pNouns.And(numbers[min(len(g.tally.nouns), 3)]).And(pRatings).And(numbers[min(ratings, 4)])) +
		c.of(has) +
		c.of(pFirst.And(c.shorts[i])) + c.of(pLast.And(c.shorts[j-1])) +
		c.of(pLeast.And(numbers[g.least]).And(blank).And(few))
	if j-i == 1 {
		sum += c.of(pLone.And(c.shorts[i]))
		if e := &c.elements[i]; e.Type == Rating {
			sum += c.of(pLone.And(numbers[e.Sure]))
		}
	}
	if j-i <= c.bound.ordered {
		sum += c.of(g.order)
	}
	set := pSet
	for _, k := range g.set {
		set = set.And(c.names[k]).And(blank)
	}
	return sum + c.of(set)
}

// rating adds how rating k goes together with those before it.
func (c *scorer) rating(g *growth, k int) {
	e := &c.elements[k]
	for _, b := range g.ratings[:len(g.ratings)-1] {
		o := &c.elements[b]
		what := pSecond
		switch {
		case o.Kinds != e.Kinds:
			continue
		case o.Value == e.Value:
			what = pAgain
		case multiple(o.Number, e.Number):
			what = pMultiple
		case sameDigits(o.Number, e.Number):
			what = pDigits
		}
		g.pairs += c.of(what) + c.of(what.And(blank).And(c.names[k]))
	}
	at, found := slices.BinarySearchFunc(g.set, e.Name,
		func(b int, name string) int { return strings.Compare(c.elements[b].Name, name) })
	if found {
		return
	}
	for i, b := range g.set {
		first, second := b, k
		if i >= at {
			first, second = k, b
		}
		g.sets += c.of(pPair.And(c.names[first]).And(blank).And(c.names[second]))
	}
	g.set = slices.Insert(g.set, at, k)
}

// nouns is how the nouns of a segment agree with each other and with its
// ratings, and its layout.
func (c *scorer) nouns(t *tally) (float64, layout) {
	if len(t.nouns) == 0 {
		sum := c.of(pNoNoun)
		for _, k := range t.ratings {
			sum += c.of(pNoNoun.And(blank).And(c.names[k]))
		}
		return sum, nounNone
	}
	l := nounFirst
	if len(t.ratings) > 0 && t.ratings[0] < t.nouns[0] {
		l = nounBehind
	}
	few := blank.And(numbers[min(len(t.ratings), 2)])
	sum := c.of(pLayout.And(layoutPieces[l]).And(few))
	var kinds uint64
	for n, k := range t.nouns {
		e := &c.elements[k]
		kinds |= e.Kinds
		if n == 0 {
			continue
		}
		before := t.nouns[n-1]
		for b := before + 1; b < k; b++ {
			sum += c.of(pNounBehind.And(typePieces[c.elements[b].Type]))
		}
		switch b := &c.elements[before]; {
		case b.Detail == e.Detail:
			sum += c.of(pSameNoun)
		case b.Name == e.Name:
			sum += c.of(pSameFamily)
		default:
			sum += c.of(pNouns.And(c.names[before]).And(comma).And(c.names[k])) + c.of(pOtherNoun)
		}
	}
	family := c.names[t.nouns[0]]
	unfit := 0
	for _, k := range t.ratings {
		what := pFit
		if c.elements[k].Kinds&kinds == 0 {
			unfit++
			what = pUnfit
		}
		of := pOf.And(family).And(blank)
		sum += c.of(what.And(c.names[k])) + c.of(of.And(c.names[k])) + c.of(of.And(c.details[k]))
	}
	return sum + c.of(pUnfits.And(numbers[min(unfit, 2)])) + c.of(pFamily.And(family).And(few)), l
}
