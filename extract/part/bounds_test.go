package part

import (
	"slices"
	"strings"
	"testing"

	"saywatt/extract/feature"
	"saywatt/schema"
)

// TestBoundsHeld: each row of bounds.tsv has what is still looked at and what no longer
// is, so that no other number passes.
func TestBoundsHeld(t *testing.T) {
	var names []string
	s := &seer{elements(strings.Repeat("fuse ", 40)),
		feature.List{Name: func(name string) int32 { names = append(names, name); return 0 }}}
	longest, ordered := 0, 0
	s.segments(0, func(j int, _ []int32, _ layout) {
		longest = max(longest, j)
		if slices.ContainsFunc(names, func(f string) bool { return strings.HasPrefix(f, "order:") }) {
			ordered = max(ordered, j)
		}
		names = nil
	})
	scored := 0
	Default().scorer(&seer{s.elements, feature.List{Index: Default().index}}).segments(0,
		func(j int, _ float64, _ layout) { scored = max(scored, j) })
	s.elements[1].Words, names = strings.Fields("a b c d e f g"), nil
	s.gap(1)
	words := slices.DeleteFunc(names, func(f string) bool {
		return !strings.HasPrefix(f, "w:") || strings.Contains(f, " ")
	})
	held := map[string]bool{}
	for _, c := range []struct {
		bound     string
		got, want int
	}{
		{"length", longest, 14},
		{"length", scored, 14},
		{"ordered", ordered, 5},
		{"gap_words", len(words), 4},
	} {
		held[c.bound] = true
		if c.got != c.want {
			t.Errorf("%s: %d are looked at, want %d", c.bound, c.got, c.want)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/bounds.tsv").Rows {
		if name := r.Get("bound"); !held[name] {
			t.Errorf("bounds.tsv:%d: no case of TestBoundsHeld holds %s", r.Line, name)
		}
	}
}
