package name

import (
	"math"
	"strings"
	"testing"

	"saywatt/extract/feature"
	"saywatt/schema"
)

// TestBoundsHeld: each row of bounds.tsv has a case right below it and one right above,
// so that no other number passes.
func TestBoundsHeld(t *testing.T) {
	b := loadBounds()
	logit := func(p float64) float64 { return math.Log(p / (1 - p)) }
	longest, last := 0, 0
	list := feature.List{Name: func(string) int32 { return 0 }}
	for _, c := range Titles(items(strings.Repeat("Brackwater ", 620)), list, nil) {
		longest, last = max(longest, c.Last-c.First), max(last, c.First)
	}
	held := map[string]bool{}
	for _, c := range []struct {
		bound   string
		not, is bool
	}{
		{"least_place", b.placed(logit(0.009)), b.placed(logit(0.011))},
		{"least_maker", b.taken(logit(0.49)), b.taken(logit(0.51))},
		{"least_owner", b.owns(logit(0.04)), b.owns(logit(0.06))},
		{"title_items", longest > 7 || b.titleEnd(3, 90) > 10, longest == 7 && b.titleEnd(3, 90) == 10},
		{"title_reach", last > 599 || b.titleFrom(900) > 600, last == 599 && b.titleFrom(900) == 600},
	} {
		held[c.bound] = true
		if c.not || !c.is {
			t.Errorf("%s: what is beyond it counts: %t; what is within it: %t", c.bound, c.not, c.is)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/bounds.tsv").Rows {
		if name := r.Get("bound"); !held[name] {
			t.Errorf("bounds.tsv:%d: no case of TestBoundsHeld holds %s", r.Line, name)
		}
	}
}
