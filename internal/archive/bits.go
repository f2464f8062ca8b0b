package archive

import "math/bits"

// A bitset is a set of documents by their numbers in one opened index.
type bitset []uint64

func newBitset(n int) bitset { return make(bitset, (n+63)/64) }

func (b bitset) set(i uint64)      { b[i/64] |= 1 << (i % 64) }
func (b bitset) has(i uint64) bool { return b[i/64]&(1<<(i%64)) != 0 }

func (b bitset) and(c bitset) {
	for i := range b {
		b[i] &= c[i]
	}
}

func (b bitset) or(c bitset) {
	for i := range b {
		b[i] |= c[i]
	}
}

func (b bitset) andNot(c bitset) {
	for i := range b {
		b[i] &^= c[i]
	}
}

func (b bitset) count() int {
	n := 0
	for _, w := range b {
		n += bits.OnesCount64(w)
	}
	return n
}

// each gives the members in order until f returns false.
func (b bitset) each(f func(uint64) bool) {
	for i, w := range b {
		for ; w != 0; w &= w - 1 {
			if !f(uint64(64*i + bits.TrailingZeros64(w))) {
				return
			}
		}
	}
}
