package narration

import (
	"path/filepath"
	"testing"

	"saywatt/extract/place"
)

// TestFresh: the narrations that nothing is fitted on yet can be read, and each of
// their quantities has a place that can hold it.
func TestFresh(t *testing.T) {
	files, err := filepath.Glob("../../testdata/fresh/*.mark")
	if err != nil || len(files) == 0 {
		t.Fatalf("no narrations (%v)", err)
	}
	all, err := Read(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		for i := range n.Marks {
			m := &n.Marks[i]
			if m.Kind != MarkQuantity {
				continue
			}
			c, ok := n.Class(m)
			if words := n.Text[m.Start:m.End]; !ok {
				t.Errorf("%s: %q: there is no place %q", n.Name, words, m.Slot)
			} else if c != place.None && !c.Fits(m.Meant.Unit.Kind()) {
				t.Errorf("%s: %q cannot be %s", n.Name, words, c)
			}
		}
	}
}
