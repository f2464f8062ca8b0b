package feature

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestOf: a name has one hash however it is cut into pieces, and names that
// differ in a byte, in its place or in length have others.
func TestOf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "name")
		a := rapid.IntRange(0, len(name)).Draw(t, "a")
		b := rapid.IntRange(a, len(name)).Draw(t, "b")
		if Of(name[:a], name[a:b], name[b:]) != Of(name) {
			t.Fatalf("%q in pieces has another hash", name)
		}
		if got := Make(name[:a]).And(Make(name[a:b])).And(Make(name[b:])); got != Make(name) || got.Hash != Of(name) {
			t.Fatalf("%q of pieces joined has another hash", name)
		}
		if got := Make(name).Byte('x'); got != Make(name+"x") {
			t.Fatalf("%q with a byte behind it has another hash", name)
		}
		other := rapid.String().Draw(t, "other")
		if other != name && Of(other) == Of(name) {
			t.Fatalf("%q and %q have one hash", name, other)
		}
	})
	for _, pair := range [][2]string{{"", "\x00"}, {"ab", "ba"}, {"a", "aa"}, {"k:volts", "k:volt"}} {
		if Of(pair[0]) == Of(pair[1]) {
			t.Errorf("%q and %q have one hash", pair[0], pair[1])
		}
	}
}

// TestIndex: every name of an index is found in its row, and no other name.
func TestIndex(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfDistinct(rapid.StringN(0, 8, -1), rapid.ID[string]).Draw(t, "names")
		x, err := NewIndex(names)
		if err != nil {
			t.Fatal(err)
		}
		for i, n := range names {
			if row := x.Row(Of(n)); row != int32(i) {
				t.Fatalf("%q is in row %d, want %d", n, row, i)
			}
		}
		other := rapid.StringN(0, 8, -1).Draw(t, "other")
		if row := x.Row(Of(other)); row >= 0 && names[row] != other {
			t.Fatalf("%q is found as %q", other, names[row])
		}
	})
}

func TestList(t *testing.T) {
	x, err := NewIndex([]string{"one", "two"})
	if err != nil {
		t.Fatal(err)
	}
	seen := List{Index: x}
	seen.Put("t", "wo")
	seen.Put("three")
	seen.Put("one")
	if want := []int32{1, 0}; !slices.Equal(seen.Rows, want) {
		t.Errorf("rows %v, want %v", seen.Rows, want)
	}
	var names []string
	train := List{Name: func(name string) int32 { names = append(names, name); return int32(len(names)) - 2 }}
	train.Put("a")
	train.Put("b", "c")
	if want := []string{"a", "bc"}; !slices.Equal(names, want) || !slices.Equal(train.Rows, []int32{0}) {
		t.Errorf("names %v, rows %v", names, train.Rows)
	}
	if _, err := NewIndex([]string{"one", "one"}); err == nil {
		t.Error("one name twice is no error")
	}
}
