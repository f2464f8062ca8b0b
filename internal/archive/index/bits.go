package index

import "math/bits"

// Set is a set of documents by their numbers in one opened index.
type Set []uint64

// NewSet is an empty set of documents whose numbers are below n.
func NewSet(n int) Set { return make(Set, (n+63)/64) }

// Set puts a document in.
func (b Set) Set(i uint64)      { b[i/64] |= 1 << (i % 64) }
func (b Set) has(i uint64) bool { return b[i/64]&(1<<(i%64)) != 0 }

// And leaves what the other set has too.
func (b Set) And(c Set) {
	for i := range b {
		b[i] &= c[i]
	}
}

// Or adds what the other set has.
func (b Set) Or(c Set) {
	for i := range b {
		b[i] |= c[i]
	}
}

// AndNot takes out what the other set has.
func (b Set) AndNot(c Set) {
	for i := range b {
		b[i] &^= c[i]
	}
}

// Count is how many documents are in.
func (b Set) Count() int {
	n := 0
	for _, w := range b {
		n += bits.OnesCount64(w)
	}
	return n
}

// Each gives the members in order until f returns false.
func (b Set) Each(f func(uint64) bool) {
	for i, w := range b {
		for ; w != 0; w &= w - 1 {
			if !f(uint64(64*i + bits.TrailingZeros64(w))) {
				return
			}
		}
	}
}
