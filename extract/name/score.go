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

// side is an item as it stands beside a name.
type side struct{ word, coarse feature.Piece }

// sidesBeyond is how many items before and behind a name are looked at.
const sidesBeyond = 2

func (m *Model) scorer(t *text) *scorer {
	s := &scorer{text: t, m: m, sides: make([]side, len(t.items)+2*sidesBeyond), cased: feature.Make(t.cased)}
	for i := range s.sides {
		word, coarse := t.side(i - sidesBeyond)
		s.sides[i] = side{feature.Make(word), feature.Make(coarse)}
	}
	return s
}

// beside returns an item as it stands beside a name.
func (s *scorer) beside(i int) *side { return &s.sides[i+sidesBeyond] }

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
	pCLR, pSome              = feature.Make("cLR:"), feature.Make("some:")
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

// known is the weight of a word by itself, where it is an English one.
func (s *scorer) known(what feature.Piece, i int) float64 {
	if s.rank[i] == 'x' || s.rank[i] == 'n' {
		return 0
	}
	return s.of(what.And(feature.Make(s.items[i].Fold)))
}

// places returns the stretches that may be a maker's name and are not all too
// improbable in their place, with their scores and the keys of their sounds.
func (s *scorer) places(key func(first, last int) string) []Choice {
	n := len(s.items)
	words := make([]float64, n)  // of each word in a name
	ending := make([]float64, n) // of a name whose last item it is
	for i := range s.items {
		if s.items[i].Kind != Word {
			continue
		}
		words[i] = s.known(pWord, i)
		if c := s.items[i].Class; c != "" {
			words[i] += s.of(pClass.And(feature.Make(c)))
		}
		r1, r2 := s.beside(i+1), s.beside(i+2)
		ending[i] = s.of(pR.And(r1.word)) + s.of(pR.And(r1.word).And(blank).And(r2.word)) + s.of(pCR.And(r1.coarse)) +
			s.of(pCR.And(r1.coarse).And(blank).And(r2.coarse)) + s.of(pNext.And(away(s.behind[i]))) + s.known(pLast, i)
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
			if logistic(c.Score) >= leastPlace {
				c.Key = key(a, b)
				out = append(out, c)
			}
		}
	}
	return out
}

// beginning is what the features of every name that begins at item a add up to.
func (s *scorer) beginning(a int) float64 {
	l1, l2 := s.beside(a-1), s.beside(a-2)
	sum := s.of(pPlace) + s.of(pL.And(l1.word)) + s.of(pL.And(l2.word).And(blank).And(l1.word)) +
		s.of(pLL.And(l2.word)) +
		s.of(pCL.And(l1.coarse)) + s.of(pCL.And(l2.coarse).And(blank).And(l1.coarse)) +
		s.of(pFar.And(away(s.before[a]))) +
		s.known(pFirst, a)
	if s.column[a] != "" {
		sum += s.of(pColumn.And(feature.Make(s.column[a])))
	}
	return sum
}

// stretch is what the other features of items [a, b) add up to.
func (s *scorer) stretch(a, b int) float64 {
	l, r := s.beside(a-1), s.beside(b)
	length := blank.And(numbers[b-a])
	rank, shape := nothing, nothing
	letters, least, lower := 0, 99, true
	for i := a; i < b; i++ {
		rank, shape = rank.Byte(s.rank[i]), shape.Byte(s.shape[i])
		fold := s.items[i].Fold
		letters += len(fold)
		least = min(least, len(fold))
		lower = lower && s.small[s.word[i]]
	}
	cased := s.cased.And(blank).And(shape)
	ranked := blank.And(rank)
	some := pSome.And(feature.Make(s.some(a, b)))
	around := l.coarse.And(joined).And(r.coarse)
	near := away(s.before[a]).And(blank).And(away(s.behind[b-1]))
	left, leftClass, rightClass := pL.And(l.word), pCL.And(l.coarse), pCR.And(r.coarse)
	sum := s.of(pN.And(numbers[b-a])) + s.of(pRank.And(rank)) + s.of(pCase.And(cased)) +
		s.of(pCase.And(cased).And(ranked)) +
		s.of(left.And(length)) + s.of(pR.And(r.word).And(length)) + s.of(pCLR.And(around)) +
		s.of(pCLR.And(around).And(ranked)) +
		s.of(left.And(ranked)) + s.of(some) + s.of(some.And(pSomeL).And(l.word)) +
		s.of(some.And(pSomeCL).And(l.coarse)) +
		s.of(some.And(pSomeCR).And(r.coarse)) + s.of(some.And(pSomeCLR).And(around)) +
		s.of(some.And(pSomeNear).And(near)) +
		s.of(rightClass.And(ranked)) + s.of(rightClass.And(blank).And(cased)) + s.of(leftClass.And(blank).And(cased)) +
		s.of(pNear.And(near)) + s.of(pInitials.And(feature.Make(s.initials(a, b)))) +
		s.of(pFirst.Byte(s.rank[a]).And(length)) + s.of(pLast.Byte(s.rank[b-1]).And(length)) +
		s.of(pLetters.And(numbers[min(letters, 14)/2]).And(length)) +
		s.of(pLeast.And(numbers[min(least, 4)]).And(length))
	if lower {
		sum += s.of(pSmall.And(cased))
	}
	return sum
}
