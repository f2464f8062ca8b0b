package normalize

import "testing"

// Every trait is found by its name, in any order, and nothing else is.
func TestTraitRow(t *testing.T) {
	names := TraitNames()
	f := loadFamilies()
	for _, step := range []int{1, 7919} { // as the table has them, and far from the last
		for i := range names {
			k := i * step % len(names)
			if row, ok := f.row(names[k]); !ok || int(row) != k {
				t.Fatalf("%s: row %d %v, want %d", names[k], row, ok, k)
			}
		}
	}
	for _, none := range []string{"", "nothing", names[0] + " more", names[len(names)-1] + " more"} {
		if row, ok := f.row(none); ok {
			t.Errorf("%q: row %d", none, row)
		}
	}
	if row, ok := f.row(names[0]); !ok || row != 0 {
		t.Errorf("behind names that are none: row %d %v", row, ok)
	}
}
