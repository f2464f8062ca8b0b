// Package feature names what learned models see. A feature is known by the hash
// of its name, which is made of pieces, so that nothing is built at run time to
// look one up; names are put together only where a model is trained.
package feature

import (
	"fmt"
	"strings"
)

// Hash is the FNV-1a hash, 64 bit, of a name.
type Hash uint64

const (
	hashSeed  = 14695981039346656037
	hashPrime = 1099511628211
)

// Of returns the hash of the name that the pieces make.
func Of(pieces ...string) Hash {
	h := Hash(hashSeed)
	for _, p := range pieces {
		for i := range len(p) {
			h = (h ^ Hash(p[i])) * hashPrime
		}
	}
	return h
}

// Index finds the rows of the features of a model.
type Index struct {
	Names []string
	rows  map[Hash]int32
}

// NewIndex returns the index of features by their names. Two names of one hash
// are an error.
func NewIndex(names []string) (*Index, error) {
	x := &Index{Names: names, rows: make(map[Hash]int32, len(names))}
	for i, n := range names {
		h := Of(n)
		if old, ok := x.rows[h]; ok {
			return nil, fmt.Errorf("features %q and %q have one hash", names[old], n)
		}
		x.rows[h] = int32(i)
	}
	return x, nil
}

// Row returns the row of a feature, -1 where the index has none.
func (x *Index) Row(h Hash) int32 {
	if i, ok := x.rows[h]; ok {
		return i
	}
	return -1
}

// List collects the rows of the features seen.
type List struct {
	Index *Index             // of the model
	Name  func(string) int32 // gives rows to names instead, to train a model; nil else
	Rows  []int32
}

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
