package name

import (
	"math/bits"
	"strings"

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

// titleMore are the features of a title, by the begin of their names, that are
// looked up where it may be the best, and how many of each there are.
var titleMore = [...]struct {
	begin string
	n     float64
}{{"T kinds:", 2}, {"T case:", 1}, {"T rank:", 1}, {"T in:", 2}, {"T left:", 1}, {"T right:", 1}, {"T maker ", 1}}

// mostOfTitle is more than the weights of those can add up to.
func mostOfTitle(names []string, weights []float64) float64 {
	var most [len(titleMore)]float64
	for i, name := range names {
		if len(name) < 2 || name[:2] != "T " {
			continue
		}
		for k := range titleMore {
			if strings.HasPrefix(name, titleMore[k].begin) {
				most[k] = max(most[k], weights[i])
			}
		}
	}
	sum := 0.001
	for k := range most {
		sum += most[k] * titleMore[k].n
	}
	return sum
}

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
	bound := loadBounds()
	end := bound.titleEnd(int(bound.titleReach), n)
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
		t.words[i], t.ending[i] = t.titleWord(i), t.end(i)
	}
	best := Choice{Score: s.of(pTNone) + s.of(pTNoneCased.And(s.cased))}
	for a := range bound.titleFrom(n) {
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
	for b := a + 1; b <= loadBounds().titleEnd(a, len(t.items)); b++ {
		it := &t.items[b-1]
		if it.endsTitle() {
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
		known := beginning + within + t.ending[b-1]
		if known+t.m.titleMost < best.Score {
			continue // whatever else is seen, it is not the best
		}
		together := in
		if b-a == 1 {
			together = 0
		}
		cased := t.cased.And(blank).And(shapes)
		inside := numbers[together]
		score := known + t.of(pTKinds.And(kinds)) + t.of(pTKinds.And(kinds).And(blank).And(cased)) +
			t.of(pTCase.And(cased)) +
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
	word, coarse := t.piece(l1.word), t.piece(l1.coarse)
	sum := t.ask(&t.memo.weights(l1.word).titleLeft, pTL.And(word)) +
		t.of(pTL.And(t.piece(l2.word)).And(blank).And(word)) +
		t.ask(&t.memo.weights(l1.coarse).titleLeftClass, pTCL.And(coarse)) +
		t.of(pTCL.And(t.piece(l2.coarse)).And(blank).And(coarse)) +
		t.of(pTAt.And(numbers[bits.Len(uint(a/8+1))-1])) +
		t.of(pTFirst.Byte(t.rank[a]).Byte(t.shape[a]).And(blank).And(t.cased))
	if t.english(a) {
		sum += t.ask(&t.memo.weights(t.no[a]).titleFirst, pTF.And(t.piece(t.no[a])))
	}
	sum += t.of(pTAgain.And(numbers[min(t.counts[t.word[a]], manyTimes)]).Byte(t.rank[a]))
	sum += t.of(pTFar.And(away(t.before[a])))
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
	coarse := pTCR.And(t.piece(r1.coarse))
	kind := titleKinds[t.items[i].Kind]
	sum := t.ask(&t.memo.weights(r1.word).titleRight, pTR.And(t.piece(r1.word))) +
		t.ask(&t.memo.weights(r1.coarse).titleRightClass, coarse) +
		t.of(coarse.And(blank).And(t.piece(r2.coarse))) + t.of(coarse.And(blank).Byte(kind)) +
		t.of(pTLast.Byte(t.rank[i]).Byte(t.shape[i]).Byte(kind).And(blank).And(t.cased))
	if t.english(i) {
		sum += t.ask(&t.memo.weights(t.no[i]).titleLast, pTEnd.And(t.piece(t.no[i])))
	}
	if i+1 < len(t.items) {
		sum += t.of(t.neighbour(pTR, i+1))
	}
	return sum
}

// titleWord is what the features of a word in a title add up to.
func (t *titleScorer) titleWord(i int) float64 {
	if t.items[i].Kind != Word {
		return 0
	}
	sum := 0.0
	if t.english(i) {
		sum = t.ask(&t.memo.weights(t.no[i]).titleWord, pTWord.And(t.piece(t.no[i])))
	}
	if c := t.items[i].Class; c != "" {
		no := t.memo.class(t.no[i], c)
		sum += t.ask(&t.memo.weights(no).titleClass, pTClass.And(t.piece(no)))
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
