package name

import (
	"math"
	"strings"

	"saywatt/extract/feature"
)

// memo remembers the weights that a model has for what hangs on words alone, and on
// small numbers: texts share most of their words. A memo is one goroutine's alone;
// the index of its model keeps it between texts.
type memo struct {
	byText map[string]int32
	words  []wordMemo
	text   int32 // number of the text that is looked at
	next   int32 // number of its next word
	end    int32 // numbers of names that are no words
	strange,
	nothing int32
	kinds [kinds]int32
	few   fewWeights
}

// wordMemo is a word, or another name of an item or class.
type wordMemo struct {
	piece   feature.Piece
	rank    byte   // how common it is, 0 not looked up yet
	text    int32  // the text that it was met in last
	inText  int32  // and its number there
	class   string // of the item that it was last
	classNo int32  // and the number of that
	weights *wordWeights
}

// wordWeights are the weights of the features of a word: those that it alone shows,
// as one of a name or title, as their class and beside them, and those that the
// length of the name shows too, or what its words are.
type wordWeights struct {
	word, first, last, class         weight
	titleWord, titleFirst, titleLast weight
	titleClass                       weight
	left, leftBut1, right            weight
	leftClass, rightClass            weight
	titleLeft, titleRight            weight
	titleLeftClass, titleRightClass  weight
	leftLength, rightLength          [makerWords + 1]weight
	someLeft                         [someNames]weight
	someLeftClass, someRightClass    [someNames]weight
}

// fewWeights are the weights of features that small numbers give.
type fewWeights struct {
	length              [makerWords + 1]weight
	ranks               [patterns]weight
	cases, small        [2][patterns]weight // without capitals in the text, and with
	firstRank, lastRank [rankNames][makerWords + 1]weight
	letters             [8][makerWords + 1]weight
	least               [5][makerWords + 1]weight
	some                [someNames]weight
	near                [distanceNames][distanceNames]weight
	someNear            [someNames][distanceNames][distanceNames]weight
}

// patterns is how many sequences of ranks or shapes the words of a name have: two
// bits for each behind a 1.
const (
	patterns      = 2 << (2 * makerWords)
	rankNames     = 4
	someNames     = 6
	distanceNames = 8
)

// weight is that of a feature, looked up when it is first asked for: 0 before, and
// minus 0 where the feature weighs nothing.
type weight float64

// minusZero adds nothing to any sum, and is not all zero bits.
var minusZero = weight(math.Copysign(0, -1))

// ask is the weight of a feature that w remembers.
func (s *scorer) ask(w *weight, p feature.Piece) float64 {
	if math.Float64bits(float64(*w)) == 0 {
		if *w = weight(s.of(p)); *w == 0 {
			*w = minusZero
		}
	}
	return float64(*w)
}

// maxRemembered bounds the words that a memo is kept with.
const maxRemembered = 1 << 14

func borrowMemo(index *feature.Index) *memo {
	if index != nil {
		if m, ok := index.Spare.Get().(*memo); ok {
			m.text, m.next = m.text+1, 0
			return m
		}
	}
	m := &memo{byText: map[string]int32{}, text: 1}
	m.end, m.strange, m.nothing = m.number("#end"), m.number("#unknown"), m.number("")
	for k, name := range kindNames {
		m.kinds[k] = m.number(name)
	}
	return m
}

func (m *memo) giveBack(index *feature.Index) {
	if index != nil && len(m.words) <= maxRemembered {
		index.Spare.Put(m)
	}
}

// number returns the number of a word or other name.
func (m *memo) number(text string) int32 {
	no, ok := m.byText[text]
	if !ok {
		no = int32(len(m.words))
		text = strings.Clone(text)
		m.byText[text] = no
		m.words = append(m.words, wordMemo{piece: feature.Make(text)})
	}
	return no
}

// inText returns the number of a word among those of the text that is looked at.
func (m *memo) inText(no int32) int32 {
	w := &m.words[no]
	if w.text != m.text {
		w.text, w.inText = m.text, m.next
		m.next++
	}
	return w.inText
}

// rank returns how common a word is.
func (m *memo) rank(no int32, word string) byte {
	w := &m.words[no]
	if w.rank == 0 {
		w.rank = rankOf(word)
	}
	return w.rank
}

// class returns the number of the class of an item that is word no.
func (m *memo) class(no int32, class string) int32 {
	if class == "" {
		return m.nothing
	}
	if m.words[no].class != class {
		of := m.number(class)
		w := &m.words[no]
		w.class, w.classNo = class, of
	}
	return m.words[no].classNo
}

// weights returns the weights of a word.
func (m *memo) weights(no int32) *wordWeights {
	w := &m.words[no]
	if w.weights == nil {
		w.weights = &wordWeights{}
	}
	return w.weights
}
