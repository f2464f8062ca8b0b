package name

import (
	"math/bits"

	"saywatt/extract/feature"
)

var (
	pTKinds, pTCase, pTRank = feature.Make("T kinds:"), feature.Make("T case:"), feature.Make("T rank:")
	pTL, pTR, pTCL, pTCR    = feature.Make("T L:"), feature.Make("T R:"), feature.Make("T cL:"), feature.Make("T cR:")
	pTAt, pTFirst, pTLast   = feature.Make("T at:"), feature.Make("T first:"), feature.Make("T last:")
	pTF, pTEnd, pTWord      = feature.Make("T f:"), feature.Make("T l:"), feature.Make("T w:")
	pTClass, pTAgain, pTFar = feature.Make("T class:"), feature.Make("T again:"), feature.Make("T far:")
	pTIn, pTLeft, pTRight   = feature.Make("T in:"), feature.Make("T left:"), feature.Make("T right:")
	pTNone, pTNoneCased     = feature.Make("T none"), feature.Make("T none ")
	pTMakerNone, pTMaker    = feature.Make("T maker none"), feature.Make("T maker ")
	pWhole, pOver, pWithin  = feature.Make("whole "), feature.Make("over "), feature.Make("within ")
	nothing                 = feature.Make("")
)

// titleScorer holds what the scores of titles share.
type titleScorer struct {
	*scorer
	first  []*Choice // the likeliest maker that begins at an item
	pairs  []int     // how often an item and the one before it stand together
	words  []float64 // of each word in a title
	ending []float64 // of a title whose last item it is
}

// title returns the likeliest name of the product, of the stretches near the
// beginning and none.
func (s *scorer) title(makers []Choice) Choice {
	n := len(s.items)
	end := min(n, titleReach+titleItems)
	t := titleScorer{scorer: s, first: make([]*Choice, end), pairs: make([]int, end+1),
		words: make([]float64, end), ending: make([]float64, end)}
	for i := range makers {
		m := &makers[i]
		if m.First < end && (t.first[m.First] == nil || m.Score > t.first[m.First].Score) {
			t.first[m.First] = m
		}
	}
	s.countPairs()
	for i := range t.pairs {
		t.pairs[i] = s.pair(i)
	}
	for i := range end {
		t.words[i], t.ending[i] = t.ofWord(i), t.end(i)
	}
	best := Choice{Score: s.of(pTNone) + s.of(pTNoneCased.And(s.cased))}
	for a := 0; a < n && a < titleReach; a++ {
		if k := s.items[a].Kind; k == Word || k == Code {
			t.from(a, &best)
		}
	}
	return best
}

// from scores the titles that begin at item a.
func (t *titleScorer) from(a int, best *Choice) {
	telling, begun, beginning := false, false, 0.0
	within, in := 0.0, manyTimes
	kinds, ranks, shapes := nothing, nothing, nothing
	for b := a + 1; b <= len(t.items) && b-a <= titleItems; b++ {
		it := &t.items[b-1]
		if it.Kind == Para || it.Kind == Sign && it.Fold != "-" || it.withUnitWord() {
			return
		}
		kinds, ranks, shapes = kinds.Byte(titleKinds[it.Kind]), ranks.Byte(t.rank[b-1]), shapes.Byte(t.shape[b-1])
		within += t.words[b-1]
		if b-a > 1 {
			in = min(in, t.pairs[b-1])
		}
		telling = telling || it.Kind != Sign && it.Kind != Word || t.rank[b-1] != '1' || t.shape[b-1] == 'U'
		if !telling || it.Kind == Sign {
			continue
		}
		if !begun {
			begun, beginning = true, t.begin(a)
		}
		together := in
		if b-a == 1 {
			together = 0
		}
		cased := t.cased.And(blank).And(shapes)
		inside := numbers[together]
		score := beginning + within + t.ending[b-1] +
			t.of(pTKinds.And(kinds)) + t.of(pTKinds.And(kinds).And(blank).And(cased)) + t.of(pTCase.And(cased)) +
			t.of(pTRank.And(ranks)) + t.of(pTIn.And(inside)) + t.of(pTIn.And(inside).And(blank).And(kinds)) +
			t.of(pTLeft.And(numbers[t.pairs[a]]).And(blank).And(inside)) +
			t.of(pTRight.And(numbers[t.pairs[b]]).And(blank).And(inside)) + t.maker(a, b)
		if score > best.Score || score == best.Score && best.Last == 0 {
			*best = Choice{First: a, Last: b, Score: score}
		}
	}
}

// begin is what the features of every title that begins at item a add up to.
func (t *titleScorer) begin(a int) float64 {
	l1, l2 := t.beside(a-1), t.beside(a-2)
	sum := t.of(pTL.And(l1.word)) + t.of(pTL.And(l2.word).And(blank).And(l1.word)) + t.of(pTCL.And(l1.coarse)) +
		t.of(pTCL.And(l2.coarse).And(blank).And(l1.coarse)) + t.of(pTAt.And(numbers[bits.Len(uint(a/8+1))-1])) +
		t.of(pTFirst.Byte(t.rank[a]).Byte(t.shape[a]).And(blank).And(t.cased)) + t.known(pTF, a) +
		t.of(pTAgain.And(numbers[min(t.counts[t.word[a]], manyTimes)]).Byte(t.rank[a])) +
		t.of(pTFar.And(away(t.before[a])))
	if a > 0 {
		sum += t.of(t.neighbour(pTL, a-1))
	}
	return sum
}

// neighbour is the feature of an item beside a title by its shape.
func (t *titleScorer) neighbour(what feature.Piece, i int) feature.Piece {
	return what.And(t.cased).And(blank).Byte(t.shape[i]).Byte(t.rank[i]).And(kindPieces[t.items[i].Kind])
}

// end is what the features of every title that ends with item i add up to.
func (t *titleScorer) end(i int) float64 {
	r1, r2 := t.beside(i+1), t.beside(i+2)
	kind := titleKinds[t.items[i].Kind]
	sum := t.of(pTR.And(r1.word)) + t.of(pTCR.And(r1.coarse)) + t.of(pTCR.And(r1.coarse).And(blank).And(r2.coarse)) +
		t.of(pTCR.And(r1.coarse).And(blank).Byte(kind)) +
		t.of(pTLast.Byte(t.rank[i]).Byte(t.shape[i]).Byte(kind).And(blank).And(t.cased)) + t.known(pTEnd, i)
	if i+1 < len(t.items) {
		sum += t.of(t.neighbour(pTR, i+1))
	}
	return sum
}

// ofWord is what the features of a word in a title add up to.
func (t *titleScorer) ofWord(i int) float64 {
	if t.items[i].Kind != Word {
		return 0
	}
	sum := t.known(pTWord, i)
	if c := t.items[i].Class; c != "" {
		sum += t.of(pTClass.And(feature.Make(c)))
	}
	return sum
}

// maker is the weight of the maker that a title begins with.
func (t *titleScorer) maker(a, b int) float64 {
	m := t.first[a]
	if m == nil {
		return t.of(pTMakerNone)
	}
	within := pWithin
	switch {
	case m.Last == b:
		within = pWhole
	case m.Last > b:
		within = pOver
	}
	return t.of(pTMaker.And(within).And(feature.Make(level(m.Score))))
}
