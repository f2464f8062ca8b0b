package name

import (
	"strconv"

	"saywatt/extract/feature"
)

// A scorer gives stretches of items the scores that the sum of their features
// has (see.go and title.go, which name them, for training), without making the
// features: what depends on where a stretch begins, or where it ends, or on one
// of its words, is summed once for all stretches. A test holds the two together.
type scorer struct {
	*text
	m     *Model
	sides []side // of the items, two before the first and two behind the last
	cased feature.Piece
}

// side is an item as it stands beside a name: numbers in the memo.
type side struct{ word, coarse int32 }

// sidesBeyond is how many items before and behind a name are looked at.
const sidesBeyond = 2

func (m *Model) scorer(t *text) *scorer {
	s := &scorer{text: t, m: m, sides: make([]side, len(t.items)+2*sidesBeyond), cased: feature.Make(t.cased)}
	for i := range s.sides {
		s.sides[i] = s.sideOf(i - sidesBeyond)
	}
	return s
}

// sideOf is an item as side names it.
func (s *scorer) sideOf(i int) side {
	m := s.memo
	if i < 0 || i >= len(s.items) {
		return side{m.end, m.end}
	}
	switch it := &s.items[i]; {
	case it.Kind == Sign:
		return side{s.no[i], s.no[i]}
	case it.Kind != Word:
		return side{m.kinds[it.Kind], m.kinds[it.Kind]}
	case it.Class != "":
		return side{s.no[i], m.class(s.no[i], it.Class)}
	case s.rank[i] == 'x':
		return side{m.strange, m.strange}
	}
	return side{s.no[i], m.kinds[Word]}
}

// beside returns an item as it stands beside a name.
func (s *scorer) beside(i int) side { return s.sides[i+sidesBeyond] }

// piece is a word or other name of the memo.
func (s *scorer) piece(no int32) feature.Piece { return s.memo.words[no].piece }

// of is the weight of a feature.
func (s *scorer) of(p feature.Piece) float64 {
	if row := s.m.index.Row(p.Hash); row >= 0 {
		return s.m.weights[row]
	}
	return 0
}

// The pieces of the names of features.
var (
	blank      = feature.Make(" ")
	joined     = feature.Make(" _ ")
	numbers    = numbersTo(32)
	distances  = distancesTo(farAway)
	kindPieces = kindsOf()

	pPlace, pN, pRank, pCase = feature.Make("place"), feature.Make("n:"), feature.Make("rank:"), feature.Make("case:")
	pL, pLL, pR, pCL, pCR    = feature.Make("L:"), feature.Make("L-:"), feature.Make("R:"), feature.Make("cL:"),
		feature.Make("cR:")
	pCLR                     = feature.Make("cLR:")
	pSomeL, pSomeCL          = feature.Make(" L:"), feature.Make(" cL:")
	pSomeCR, pSomeCLR        = feature.Make(" cR:"), feature.Make(" cLR:")
	pSomeNear, pFar, pNext   = feature.Make(" near:"), feature.Make("far:"), feature.Make("next:")
	pNear, pColumn           = feature.Make("near:"), feature.Make("column:")
	pInitials, pWord, pClass = feature.Make("initials:"), feature.Make("w:"), feature.Make("class:")
	pFirst, pLast            = feature.Make("first:"), feature.Make("last:")
	pLetters, pLeast, pSmall = feature.Make("letters:"), feature.Make("least:"), feature.Make("small too ")
)

func numbersTo(n int) []feature.Piece {
	out := make([]feature.Piece, n)
	for i := range out {
		out[i] = feature.Make(strconv.Itoa(i))
	}
	return out
}

func distancesTo(n int) []feature.Piece {
	out := make([]feature.Piece, n+1)
	for i := range out {
		out[i] = feature.Make(distance(int32(i)))
	}
	return out
}

func kindsOf() (out [kinds]feature.Piece) {
	for i := range out {
		out[i] = feature.Make(kindNames[i])
	}
	return out
}

// away is the name of a distance.
func away(n int32) feature.Piece { return distances[min(n, farAway)] }

// english reports whether an item is an English word: others may be names.
func (s *scorer) english(i int) bool { return s.rank[i] != 'x' && s.rank[i] != 'n' }

// places returns the stretches that may be a maker's name and are not all too
// improbable in their place, with their scores and the keys of their sounds.
func (s *scorer) places(key func(first, last int) string) []Choice {
	n, bound := len(s.items), loadBounds()
	words := make([]float64, n)  // of each word in a name
	ending := make([]float64, n) // of a name whose last item it is
	for i := range s.items {
		if s.items[i].Kind == Word {
			words[i], ending[i] = s.ofWord(i), s.ending(i)
		}
	}
	var out []Choice
	for a := range s.items {
		if s.items[a].Kind != Word {
			continue
		}
		begun, beginning := false, 0.0
		within := 0.0
		for b := a + 1; b-a <= makerWords && b <= n && s.items[b-1].Kind == Word; b++ {
			within += words[b-1]
			if !s.may(a, b) {
				continue
			}
			if !begun {
				begun, beginning = true, s.beginning(a)
			}
			c := Choice{First: a, Last: b, Score: beginning + within + ending[b-1] + s.stretch(a, b)}
			if bound.placed(c.Score) {
				c.Key = key(a, b)
				out = append(out, c)
			}
		}
	}
	return out
}

// ofWord is what the features of a word in a name add up to.
func (s *scorer) ofWord(i int) float64 {
	sum := 0.0
	if s.english(i) {
		sum = s.ask(&s.memo.weights(s.no[i]).word, pWord.And(s.piece(s.no[i])))
	}
	if c := s.items[i].Class; c != "" {
		no := s.memo.class(s.no[i], c)
		sum += s.ask(&s.memo.weights(no).class, pClass.And(s.piece(no)))
	}
	return sum
}

// ending is what the features of every name that ends with item i add up to.
func (s *scorer) ending(i int) float64 {
	r1, r2 := s.beside(i+1), s.beside(i+2)
	word, coarse := s.piece(r1.word), s.piece(r1.coarse)
	sum := s.ask(&s.memo.weights(r1.word).right, pR.And(word)) + s.of(pR.And(word).And(blank).And(s.piece(r2.word))) +
		s.ask(&s.memo.weights(r1.coarse).rightClass, pCR.And(coarse)) +
		s.of(pCR.And(coarse).And(blank).And(s.piece(r2.coarse))) + s.of(pNext.And(away(s.behind[i])))
	if s.english(i) {
		sum += s.ask(&s.memo.weights(s.no[i]).last, pLast.And(s.piece(s.no[i])))
	}
	return sum
}

// beginning is what the features of every name that begins at item a add up to.
func (s *scorer) beginning(a int) float64 {
	l1, l2 := s.beside(a-1), s.beside(a-2)
	word, coarse := s.piece(l1.word), s.piece(l1.coarse)
	before := s.piece(l2.word)
	sum := s.of(pPlace) + s.ask(&s.memo.weights(l1.word).left, pL.And(word)) +
		s.of(pL.And(before).And(blank).And(word)) + s.ask(&s.memo.weights(l2.word).leftBut1, pLL.And(before)) +
		s.ask(&s.memo.weights(l1.coarse).leftClass, pCL.And(coarse)) +
		s.of(pCL.And(s.piece(l2.coarse)).And(blank).And(coarse)) + s.of(pFar.And(away(s.before[a])))
	if s.english(a) {
		sum += s.ask(&s.memo.weights(s.no[a]).first, pFirst.And(s.piece(s.no[a])))
	}
	if s.column[a] != "" {
		sum += s.of(pColumn.And(feature.Make(s.column[a])))
	}
	return sum
}

// nameWords is what is seen of the words of a name.
type nameWords struct {
	rank, shape       feature.Piece
	ranks, shapes     int // as patterns
	letters, shortest int
	lower             bool // each stands in small letters somewhere
	some              int  // number of what some says of them
}

func (s *scorer) wordsOf(a, b int) nameWords {
	w := nameWords{rank: nothing, shape: nothing, ranks: 1, shapes: 1, shortest: 99, lower: true}
	unknown, capital := 0, 0
	for i := a; i < b; i++ {
		w.rank, w.shape = w.rank.Byte(s.rank[i]), w.shape.Byte(s.shape[i])
		w.ranks, w.shapes = w.ranks<<2|rankNumber(s.rank[i]), w.shapes<<2|shapeNumber(s.shape[i])
		letters := len(s.items[i].Fold)
		w.letters += letters
		w.shortest = min(w.shortest, letters)
		w.lower = w.lower && s.small[s.word[i]]
		if s.rank[i] == 'x' {
			unknown = 1
		}
		if s.shape[i] == 'U' {
			capital = 1
		}
	}
	if s.text.cased == "plain" {
		capital = 2
	}
	w.some = 3*unknown + capital
	return w
}

// somePieces are what some says, by number.
var somePieces = [someNames]feature.Piece{feature.Make("some:common small"), feature.Make("some:common capital"),
	feature.Make("some:common plain"), feature.Make("some:unknown small"), feature.Make("some:unknown capital"),
	feature.Make("some:unknown plain")}

func rankNumber(r byte) int {
	if r == 'x' {
		return 0
	}
	return int(r - '0')
}

func shapeNumber(shape byte) int {
	switch shape {
	case 'U':
		return 1
	case 'S':
		return 2
	case 'A':
		return 3
	}
	return 0
}

// distanceNumber numbers the names of distances.
func distanceNumber(n int32) int {
	switch {
	case n <= 3:
		return int(n)
	case n <= 6:
		return 4
	case n <= 12:
		return 5
	case n < farAway:
		return 6
	}
	return 7
}

// stretch is what the other features of items [a, b) add up to.
func (s *scorer) stretch(a, b int) float64 {
	l, r := s.beside(a-1), s.beside(b)
	n := b - a
	w := s.wordsOf(a, b)
	length := blank.And(numbers[n])
	cased := s.cased.And(blank).And(w.shape)
	ranked := blank.And(w.rank)
	lWord, lCoarse, rCoarse := s.piece(l.word), s.piece(l.coarse), s.piece(r.coarse)
	some := somePieces[w.some]
	around := lCoarse.And(joined).And(rCoarse)
	near := away(s.before[a]).And(blank).And(away(s.behind[b-1]))
	before, behind := distanceNumber(s.before[a]), distanceNumber(s.behind[b-1])
	left, leftClass, rightClass := pL.And(lWord), pCL.And(lCoarse), pCR.And(rCoarse)
	lw, lc, rw, rc := s.memo.weights(l.word), s.memo.weights(l.coarse), s.memo.weights(r.word), s.memo.weights(r.coarse)
	few := &s.memo.few
	capitals := 0
	if s.text.cased != "plain" {
		capitals = 1
	}
	sum := s.ask(&few.length[n], pN.And(numbers[n])) + s.ask(&few.ranks[w.ranks], pRank.And(w.rank)) +
		s.ask(&few.cases[capitals][w.shapes], pCase.And(cased)) + s.of(pCase.And(cased).And(ranked)) +
		s.ask(&lw.leftLength[n], left.And(length)) +
		s.ask(&rw.rightLength[n], pR.And(s.piece(r.word)).And(length)) +
		s.of(pCLR.And(around)) + s.of(pCLR.And(around).And(ranked)) + s.of(left.And(ranked)) +
		s.ask(&few.some[w.some], some) + s.ask(&lw.someLeft[w.some], some.And(pSomeL).And(lWord)) +
		s.ask(&lc.someLeftClass[w.some], some.And(pSomeCL).And(lCoarse)) +
		s.ask(&rc.someRightClass[w.some], some.And(pSomeCR).And(rCoarse)) + s.of(some.And(pSomeCLR).And(around)) +
		s.ask(&few.someNear[w.some][before][behind], some.And(pSomeNear).And(near)) +
		s.of(rightClass.And(ranked)) + s.of(rightClass.And(blank).And(cased)) + s.of(leftClass.And(blank).And(cased)) +
		s.ask(&few.near[before][behind], pNear.And(near)) + s.of(pInitials.And(feature.Make(s.initials(a, b)))) +
		s.ask(&few.firstRank[rankNumber(s.rank[a])][n], pFirst.Byte(s.rank[a]).And(length)) +
		s.ask(&few.lastRank[rankNumber(s.rank[b-1])][n], pLast.Byte(s.rank[b-1]).And(length)) +
		s.ask(&few.letters[min(w.letters, 14)/2][n], pLetters.And(numbers[min(w.letters, 14)/2]).And(length)) +
		s.ask(&few.least[min(w.shortest, 4)][n], pLeast.And(numbers[min(w.shortest, 4)]).And(length))
	if w.lower {
		sum += s.ask(&few.small[capitals][w.shapes], pSmall.And(cased))
	}
	return sum
}
