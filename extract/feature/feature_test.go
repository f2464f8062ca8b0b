package feature

import (
	"slices"
	"testing"
)

// TestOf holds the hash against the published test vectors of FNV-1a, 64 bit
// (draft-eastlake-fnv, appendix C).
func TestOf(t *testing.T) {
	for name, want := range map[string]Hash{"": 0xcbf29ce484222325, "a": 0xaf63dc4c8601ec8c, "foobar": 0x85944171f73967e8} {
		if got := Of(name); got != want {
			t.Errorf("hash of %q is %#x, want %#x", name, got, want)
		}
	}
	if Of("b1:", "volts") != Of("b1:volts") {
		t.Error("a name in pieces has another hash")
	}
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
