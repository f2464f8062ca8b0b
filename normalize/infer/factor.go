package infer

import "slices"

// MostNodes bounds the nodes that one factor ties together.
const MostNodes = 4

// Factor is a function of the readings of a few nodes: a likelihood ratio for each
// combination.
type Factor struct {
	Nodes [MostNodes]int32 // the first N of them, in any order, each once
	N     int
	Size  [MostNodes]int32 // how many readings of each node have a ratio of their own; that of others is 1
	Ratio []float64        // by combination, the readings of the last node fastest
	Label int32            // the caller's own, to know the factor by
}

// At returns the ratio of a combination: a reading of each node, in their order.
func (f *Factor) At(readings *[MostNodes]int32) float64 {
	i := int32(0)
	for k := range f.N {
		if readings[k] >= f.Size[k] {
			return 1
		}
		i = i*f.Size[k] + readings[k]
	}
	return f.Ratio[i]
}

// Top returns the highest ratio.
func (f *Factor) Top() float64 { return slices.Max(f.Ratio) }

// Step turns a combination of readings of n nodes, which have so many each, into
// the next one, the last node's reading fastest, and the last one into the first.
func Step(at, size *[MostNodes]int32, n int) {
	for k := n - 1; k >= 0; k-- {
		if at[k]++; at[k] < size[k] {
			return
		}
		at[k] = 0
	}
}
