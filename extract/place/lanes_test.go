package place

import (
	"encoding/binary"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"
)

// TestLanes: weights that are added four at a time add up to what they add up to
// one at a time, however large they and however many they are, of features with few
// weights and with many.
func TestLanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		most := rapid.SampledFrom([]int16{3, 240, 9999}).Draw(t, "most")
		features := rapid.IntRange(1, 200).Draw(t, "features")
		tab := &table{starts: []uint32{0}, packed: make([]atomic.Pointer[packedRow], features)}
		var want [maxClasses]int32
		var all []int32
		var classes, values []byte
		for f := range features {
			few := rapid.Bool().Draw(t, "few")
			for c := range Class(mostClasses) {
				if (!few || c%8 == 0) && rapid.Bool().Draw(t, "has") {
					v := rapid.Int16Range(-most, most).Draw(t, "v")
					classes, values = append(classes, byte(c)), binary.LittleEndian.AppendUint16(values, uint16(v))
					want[c] += int32(v)
				}
			}
			tab.starts = append(tab.starts, uint32(len(classes)))
			all = append(all, int32(f))
		}
		tab.class, tab.value = string(classes), string(values)
		row := make([]float64, maxClasses)
		tab.sum(all, row)
		for c, v := range want {
			if row[c] != float64(v)/inOne {
				t.Fatalf("class %d: %v, want %v", c, row[c], float64(v)/inOne)
			}
		}
	})
}
