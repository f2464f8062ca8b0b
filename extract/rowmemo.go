package extract

import (
	"slices"
	"strings"

	"saywatt/extract/feature"
	"saywatt/extract/place"
)

// rowMemo remembers the rows that a model has for the features of words and
// events: the same words come again in a text and in the next one. Rows are
// stored with 2 added: 0 is not looked up yet, 1 no row. A memo is one
// goroutine's alone; it is kept by the index of its model between documents.
type rowMemo struct {
	index *feature.Index
	kinds []string
	words []wordRows
	byKey map[string]int32
	ofKey []int32 // rows of the events: [name][eventFeatures]
	// rows of an event with a kind: [name*maxKinds+kind], made when asked for
	eventKinds []*[eventKindFeatures]int32
	rows       rowTable // of the other features that hang on few things
	each       int      // rows of a mention of the text before, as many as it had in the mean

	room observerRoom
}

// observerRoom is memory of an observer that the next one writes anew.
type observerRoom struct {
	words, breath, tells, in, begins []int32
	last, older, newer               []int32
	topics, ways, turned             []int32
	events                           []event
	spoken, around                   []spokenWord
}

// longText bounds the tokens of texts whose memory is kept for the next one.
const longText = 1 << 16

// keep takes the memory of an observer that is done, without what it points to.
func (r *observerRoom) keep(o *observer) {
	if len(o.tokens) > longText {
		*r = observerRoom{}
		return
	}
	clear(o.spoken)
	clear(o.around)
	*r = observerRoom{words: o.words, breath: o.breath, tells: o.tells, in: o.in, begins: o.begins,
		last: o.last, older: o.older, newer: o.newer,
		topics: o.topics, ways: o.ways, turned: o.turned, events: o.events, spoken: o.spoken, around: o.around}
}

// zeros returns n zeros, in the place of a where it is large enough.
func zeros(a []int32, n int) []int32 {
	a = slices.Grow(a[:0], n)[:n]
	clear(a)
	return a
}

// wordRows are the rows of a word.
type wordRows struct {
	rows  [wordFeatures]int32
	kinds []*[wordKindFeatures]int32 // by kind, made when asked for
}

// maxWords bounds the words that a memo remembers, and maxKinds the kinds of
// quantity, of which there are fewer.
const (
	maxWords = 1 << 15
	maxKinds = 64
)

// borrowMemo takes a memo of a model, or makes one.
func borrowMemo(index *feature.Index) *rowMemo {
	if index != nil {
		if m, ok := index.Spare.Get().(*rowMemo); ok {
			return m
		}
	}
	return &rowMemo{index: index, byKey: map[string]int32{}}
}

// giveBack keeps the memo for the next document, unless it has grown too large.
func (m *rowMemo) giveBack() {
	if m.index != nil && len(m.words) <= maxWords {
		m.index.Spare.Put(m)
	}
}

// kind returns the number of a kind of quantity.
func (m *rowMemo) kind(name string) int32 {
	for i, k := range m.kinds {
		if k == name {
			return int32(i)
		}
	}
	m.kinds = append(m.kinds, name)
	return int32(len(m.kinds) - 1)
}

// word returns the number of a word.
func (m *rowMemo) word(fold string) int32 {
	if m.index == nil {
		return 0 // features are named, not looked up
	}
	n, ok := m.byKey[fold]
	if !ok {
		n = int32(len(m.words))
		m.byKey[strings.Clone(fold)] = n
		m.words = append(m.words, wordRows{})
	}
	return n
}

func (m *rowMemo) wordKind(word, kind int32, f int) *int32 {
	w := &m.words[word]
	for int(kind) >= len(w.kinds) {
		w.kinds = append(w.kinds, nil)
	}
	if w.kinds[kind] == nil {
		w.kinds[kind] = new([wordKindFeatures]int32)
	}
	return &w.kinds[kind][f]
}

func (m *rowMemo) event(name int32, f int) *int32 {
	for int(name+1)*eventFeatures > len(m.ofKey) {
		m.ofKey = append(m.ofKey, make([]int32, eventFeatures)...)
	}
	return &m.ofKey[int(name)*eventFeatures+f]
}

func (m *rowMemo) eventKind(name, kind int32, f int) *int32 {
	at := int(name)*maxKinds + int(kind)
	for at >= len(m.eventKinds) {
		m.eventKinds = append(m.eventKinds, make([]*[eventKindFeatures]int32, maxKinds)...)
	}
	if m.eventKinds[at] == nil {
		m.eventKinds[at] = new([eventKindFeatures]int32)
	}
	return &m.eventKinds[at][f]
}

// rowKey says which feature something is by what it hangs on: kinds of quantity, links
// and small numbers, each in bits of its own, and in the highest which feature.
type rowKey uint64

// The features that have keys.
const (
	seenBias = iota
	seenKind
	seenPosition
	seenSize
	seenDecimals
	seenStyle
	seenStarts
	seenEnds
	seenPairs
	seenFirst
	seenBefore
	seenBefore2
	seenBehind
	seenBehind2
	seenAround
	seenAlike
	seenProduct
	seenProductKinds
	seenQuotient
)

// kind goes on with a kind of quantity.
func (k rowKey) kind(no int32) rowKey { return k<<6 | rowKey(no)&(maxKinds-1) }

// link goes on with how two mentions stand to each other, none with no mention.
func (k rowKey) link(l place.Link) rowKey { return k<<3 | rowKey(l) + 1 }
func (k rowKey) none() rowKey             { return k.kind(0) << 3 }

// putKind adds a feature of a kind of quantity and a number.
func (o *observer) putKind(f int, no int32, n int, pieces ...string) {
	o.putKey(f, rowKey(0).kind(no)<<16|rowKey(uint16(n)), pieces...)
}

// putKey adds the feature of a key, whose name the pieces make.
func (o *observer) putKey(f int, key rowKey, pieces ...string) {
	key |= rowKey(f) << 56
	if o.Name != nil {
		o.Put(pieces...)
		return
	}
	row := o.memo.rows.at(key)
	if *row == 0 {
		*row = 2 + o.Row(pieces...)
	}
	o.add(*row)
}

// rowTable has a row by key: a table with open addressing, at most half full.
type rowTable struct {
	slots []rowSlot
	used  int
	shift uint
}

// rowSlot has the key with 1 added, 0 where it is free.
type rowSlot struct {
	key rowKey
	row int32
}

// leastRows is the size of a table of rows, in bits, when it is made.
const leastRows = 10

// at returns the place of the row of a key; the row is 0 where the key is new. The place holds until the next call.
func (t *rowTable) at(key rowKey) *int32 {
	key++ // that of bias is 0
	if 2*t.used >= len(t.slots) {
		t.grow()
	}
	s := t.find(key)
	if s.key == 0 {
		s.key = key
		t.used++
	}
	return &s.row
}

// find returns the slot of a key, or the free one where it goes.
func (t *rowTable) find(key rowKey) *rowSlot {
	const odd = 0x9e3779b97f4a7c15 // the fraction of the golden ratio in 64 bits
	for at := int(key * odd >> t.shift); ; at = (at + 1) & (len(t.slots) - 1) {
		if s := &t.slots[at]; s.key == key || s.key == 0 {
			return s
		}
	}
}

func (t *rowTable) grow() {
	old, size := t.slots, uint(leastRows)
	for 1<<size <= len(old) {
		size++
	}
	t.slots, t.shift = make([]rowSlot, 1<<size), 64-size
	for _, s := range old {
		if s.key != 0 {
			*t.find(s.key) = s
		}
	}
}
