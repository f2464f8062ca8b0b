package extract

import (
	"testing"

	"pgregory.net/rapid"
)

// TestRowTable: rows are found by their keys as in a map, however many there are.
func TestRowTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		keys := rapid.SliceOfN(rapid.OneOf(rapid.Uint64Range(0, 40), rapid.Uint64()), 0, 3000).Draw(t, "keys")
		var table rowTable
		want := map[rowKey]int32{}
		for i, k := range keys {
			if k == ^uint64(0) {
				continue // the highest bits say which feature it is: no key is that large
			}
			row := table.at(rowKey(k))
			if *row != want[rowKey(k)] {
				t.Fatalf("key %d has row %d, want %d", k, *row, want[rowKey(k)])
			}
			*row = int32(i) + 1
			want[rowKey(k)] = *row
		}
		if table.used != len(want) {
			t.Errorf("%d keys, want %d", table.used, len(want))
		}
	})
}
