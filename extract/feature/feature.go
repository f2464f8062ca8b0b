// Package feature names what learned models see. A feature is known by the hash
// of its name, which is made of pieces, so that nothing is built at run time to
// look one up; names are put together only where a model is trained.
package feature

import (
	"encoding/binary"
	"errors"
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

// Index finds the rows of the features of a model: hashes in buckets by their
// highest bits, in front of which a set of bits answers for most names that it does
// not have.
type Index struct {
	Names  []string  // nil of one that was opened
	Spare  sync.Pool // what users of the index remember of it between documents
	seen   []uint64
	starts []uint32 // by bucket, and the end: the first of its hashes
	hashes []Hash
	rows   []int32 // by hash; nil where the row is the place of the hash
	shift  uint
}

// newIndex makes an index for so many features, without any.
func newIndex(features int) *Index {
	size := uint(max(6, bits.Len(uint(2*features))))
	return &Index{
		seen:   make([]uint64, 1<<(size-3)), // sixteen bits a feature or more
		starts: make([]uint32, 1<<(size-1)+1),
		hashes: make([]Hash, features),
		shift:  64 - size,
	}
}

// NewIndex returns the index of features by their names. Two names of one hash
// are an error.
func NewIndex(names []string) (*Index, error) {
	x := newIndex(len(names))
	x.Names, x.rows = names, make([]int32, len(names))
	all := make([]Hash, len(names))
	for i, n := range names {
		all[i] = Of(n)
		x.starts[x.bucket(all[i])+1]++
	}
	for b := range x.starts[1:] {
		x.starts[b+1] += x.starts[b]
	}
	held := make([]uint8, len(x.starts)) // by bucket, so far
	for i, h := range all {
		b := x.bucket(h)
		from := x.starts[b]
		at := from + uint32(held[b])
		for j := from; j < at; j++ {
			if x.hashes[j] == h {
				return nil, fmt.Errorf("features %q and %q have one hash", names[x.rows[j]], names[i])
			}
		}
		if held[b]++; held[b] == 0 {
			return nil, fmt.Errorf("feature %q: too many hashes begin alike", names[i])
		}
		x.hashes[at], x.rows[at] = h, int32(i)
		x.note(h)
	}
	return x, nil
}

// Append appends the index in the form that OpenIndex reads: how many features
// (four bytes, low first), how many hashes each bucket has (a byte), the hashes
// (eight bytes, low first). Rows are not in it: those of an opened index are in the
// order of Order.
func (x *Index) Append(dst []byte) []byte {
	dst = binary.LittleEndian.AppendUint32(dst, uint32(len(x.hashes)))
	for b := range x.starts[1:] {
		dst = append(dst, uint8(x.starts[b+1]-x.starts[b]))
	}
	for _, h := range x.hashes {
		dst = binary.LittleEndian.AppendUint64(dst, uint64(h))
	}
	return dst
}

// Order lists the rows in the order in which the index holds their hashes.
func (x *Index) Order() []int32 { return x.rows }

// OpenIndex reads what Append wrote and returns the index, without names, and what
// is behind it.
func OpenIndex(text string) (x *Index, rest string, err error) {
	if len(text) < 4 {
		return nil, "", errCut
	}
	x = newIndex(int(u32(text)))
	text = text[4:]
	buckets := len(x.starts) - 1
	if len(text) < buckets+8*len(x.hashes) {
		return nil, "", errCut
	}
	for b := range buckets {
		x.starts[b+1] = x.starts[b] + uint32(text[b])
	}
	text = text[buckets:]
	for i := range x.hashes {
		x.hashes[i] = Hash(u32(text[8*i:])) | Hash(u32(text[8*i+4:]))<<32
		x.note(x.hashes[i])
	}
	if int(x.starts[buckets]) != len(x.hashes) {
		return nil, "", errCut
	}
	return x, text[8*len(x.hashes):], nil
}

// errCut is the error of an index that does not hold together.
var errCut = errors.New("the index of features is cut short")

func u32(s string) uint32 {
	return uint32(s[0]) | uint32(s[1])<<8 | uint32(s[2])<<16 | uint32(s[3])<<24
}

// Len returns how many features there are.
func (x *Index) Len() int { return len(x.hashes) }

// bucket is that of a hash.
func (x *Index) bucket(h Hash) int { return int(h.spread() >> (x.shift + 1)) }

// note has the set of bits answer for a hash.
func (x *Index) note(h Hash) {
	bit := h.spread() >> (x.shift - 3)
	x.seen[bit>>6] |= 1 << (bit & 63)
}

// spread brings all bits of a hash into its highest, of which the place in the
// table is made.
func (h Hash) spread() Hash { return (h ^ h>>32) * base }

// Row returns the row of a feature, -1 where the index has none.
func (x *Index) Row(h Hash) int32 {
	spread := h.spread()
	bit := spread >> (x.shift - 3)
	if x.seen[bit>>6]&(1<<(bit&63)) == 0 {
		return -1
	}
	b := spread >> (x.shift + 1)
	for i := x.starts[b]; i < x.starts[b+1]; i++ {
		if x.hashes[i] != h {
			continue
		}
		if x.rows == nil {
			return int32(i)
		}
		return x.rows[i]
	}
	return -1
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
