// Package feature names what learned models see. A feature is known by the hash
// of its name, which is made of pieces, so that nothing is built at run time to
// look one up; names are put together only where a model is trained.
package feature

import (
	"fmt"
	"math/bits"
	"strings"
	"sync"
)

// Hash is a polynomial in an odd base over the bytes of a name, modulo 2^64: the
// hash of a piece can be had once and joined to others by one multiplication.
type Hash uint64

// base is that of the polynomial: the fraction of the golden ratio in 64 bits,
// which is odd.
const (
	base  = 0x9e3779b97f4a7c15
	base2 = base * base & (1<<64 - 1)
	base3 = base2 * base & (1<<64 - 1)
	base4 = base3 * base & (1<<64 - 1)
)

// Of returns the hash of the name that the pieces make.
func Of(pieces ...string) Hash {
	h := Hash(0)
	for _, p := range pieces {
		h = h.and(p)
	}
	return h
}

// and goes on with another piece.
func (h Hash) and(p string) Hash {
	for len(p) >= 4 {
		h = h*base4 + letter(p[0])*base3 + letter(p[1])*base2 + letter(p[2])*base + letter(p[3])
		p = p[4:]
	}
	for i := range len(p) {
		h = h*base + letter(p[i])
	}
	return h
}

// letter is the coefficient of a byte, never 0.
func letter(b byte) Hash { return Hash(b) + 1 }

// A Piece is a part of names whose hash was worked out once, to be joined to
// others.
type Piece struct {
	Hash  Hash
	power Hash // of the base, by the length of the piece
}

// Make makes a piece.
func Make(text string) Piece {
	p := Piece{Hash: Of(text), power: 1}
	for range len(text) {
		p.power *= base
	}
	return p
}

// And is the piece with another behind it.
func (p Piece) And(q Piece) Piece { return Piece{p.Hash*q.power + q.Hash, p.power * q.power} }

// Byte is the piece with a byte behind it.
func (p Piece) Byte(b byte) Piece { return Piece{p.Hash*base + letter(b), p.power * base} }

// Index finds the rows of the features of a model: a table with open addressing,
// at most half full, in front of which a set of bits answers for most names that
// it does not have.
type Index struct {
	Names []string
	Spare sync.Pool // what users of the index remember of it between documents
	seen  []uint64
	slots []slot
	shift uint
}

// slot holds a feature; row is that of the model and 1 more, 0 nothing.
type slot struct {
	hash Hash
	row  int32
}

// NewIndex returns the index of features by their names. Two names of one hash
// are an error.
func NewIndex(names []string) (*Index, error) {
	x := &Index{Names: names}
	size := uint(max(6, bits.Len(uint(2*len(names)))))
	x.slots = make([]slot, 1<<size)
	x.seen = make([]uint64, 1<<(size-3)) // eight bits a slot, sixteen a feature
	x.shift = 64 - size
	for i, n := range names {
		h := Of(n)
		at := x.find(h)
		if s := &x.slots[at]; s.row != 0 {
			return nil, fmt.Errorf("features %q and %q have one hash", names[s.row-1], n)
		}
		x.slots[at] = slot{h, int32(i) + 1}
		bit := h.spread() >> (x.shift - 3)
		x.seen[bit>>6] |= 1 << (bit & 63)
	}
	return x, nil
}

// spread brings all bits of a hash into its highest, of which the place in the
// table is made.
func (h Hash) spread() Hash { return (h ^ h>>32) * base }

// find returns the slot of a hash, or the free one where it would be.
func (x *Index) find(h Hash) int {
	mask := len(x.slots) - 1
	at := int(h.spread() >> x.shift)
	for x.slots[at].row != 0 && x.slots[at].hash != h {
		at = (at + 1) & mask
	}
	return at
}

// Row returns the row of a feature, -1 where the index has none.
func (x *Index) Row(h Hash) int32 {
	bit := h.spread() >> (x.shift - 3)
	if x.seen[bit>>6]&(1<<(bit&63)) == 0 {
		return -1
	}
	return x.slots[x.find(h)].row - 1
}

// List collects the rows of the features seen.
type List struct {
	Index *Index             // of the model
	Name  func(string) int32 // gives rows to names instead, to train a model; nil else
	Rows  []int32
}

// Row returns the row of the feature whose name the pieces make, -1 where the
// model has none.
func (l *List) Row(pieces ...string) int32 { return l.Index.Row(Of(pieces...)) }

// Put adds the feature whose name the pieces make, where it has a row.
func (l *List) Put(pieces ...string) {
	row := int32(-1)
	if l.Name != nil {
		row = l.Name(strings.Join(pieces, ""))
	} else {
		row = l.Index.Row(Of(pieces...))
	}
	if row >= 0 {
		l.Rows = append(l.Rows, row)
	}
}
