package infer

import "math/bits"

// arena hands out slices of one block of memory, for scratch that is dropped
// all at once.
type arena[T any] struct {
	block []T
	used  int
}

// take returns n zero values. They are the caller's alone: appending to them
// moves them elsewhere.
func (a *arena[T]) take(n int) []T {
	if a.used+n > len(a.block) {
		const least, most = 64, 1 << 12
		a.block = make([]T, max(n, min(2*len(a.block), most), least))
		a.used = 0
	}
	s := a.block[a.used : a.used+n : a.used+n]
	a.used += n
	clear(s)
	return s
}

// back takes the last n values back.
func (a *arena[T]) back(n int) { a.used -= n }

// reset takes everything back that came from the present block.
func (a *arena[T]) reset() { a.used = 0 }

// bitset is a set of small numbers.
type bitset []uint64

func (b bitset) add(i int32)    { b[i>>6] |= 1 << (i & 63) }
func (b bitset) remove(i int32) { b[i>>6] &^= 1 << (i & 63) }

func (b bitset) union(c bitset) {
	for i := range b {
		b[i] |= c[i]
	}
}

func (b bitset) count() int {
	n := 0
	for _, w := range b {
		n += bits.OnesCount64(w)
	}
	return n
}

// list appends the members to dst, rising.
func (b bitset) list(dst []int32) []int32 {
	for i, w := range b {
		for ; w != 0; w &= w - 1 {
			dst = append(dst, int32(i*64+bits.TrailingZeros64(w)))
		}
	}
	return dst
}
