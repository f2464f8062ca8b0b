package place

import (
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"
)

// TestLanes: weights that are added four at a time add up to what they add up to
// one at a time, however large they and however many they are.
func TestLanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		most := rapid.SampledFrom([]int16{3, 240, 9999}).Draw(t, "most")
		features := rapid.IntRange(1, 200).Draw(t, "features")
		tab := &table{packed: make([]atomic.Pointer[packedRow], features)}
		var want [maxClasses]int32
		var all []int32
		for f := range features {
			row := &packedRow{}
			for c := range Class(mostClasses) {
				if rapid.Bool().Draw(t, "has") {
					v := rapid.Int16Range(-most, most).Draw(t, "v")
					row.put(c, v)
					want[c] += int32(v)
				}
			}
			tab.packed[f].Store(row)
			all = append(all, int32(f))
		}
		row := make([]float64, maxClasses)
		tab.sum(all, row)
		for c, v := range want {
			if row[c] != float64(v)/inOne {
				t.Fatalf("class %d: %v, want %v", c, row[c], float64(v)/inOne)
			}
		}
	})
}
