package extract

import (
	"slices"
	"testing"

	"saywatt/schema"
)

// TestNumberedPorts: every port of which a form is numbered by what stands behind it has
// four of its own, and no other has.
func TestNumberedPorts(t *testing.T) {
	numbered := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/ports.tsv").Rows {
		if n := r.Get("number"); n == "yes" || n == "only" {
			numbered[r.Get("port")] = true
		}
	}
	if !numbered["USB-C"] || len(numbered) != len(Words().cue.numbered) {
		t.Errorf("%v, and %v", numbered, Words().cue.numbered)
	}
	for _, p := range PortNames() {
		if numbered[p] && !slices.Contains(PortNames(), p+"4") || !numbered[p] && slices.Contains(PortNames(), p+"4") {
			t.Errorf("%s4", p)
		}
	}
}
