package normalize

import (
	"slices"
	"strings"
	"testing"

	"saywatt/internal/knowledge"
	"saywatt/schema"
)

// TestCautions: every record says that it is no certification; the others go
// by what it holds (handbook section 10).
func TestCautions(t *testing.T) {
	count := func(text string, words ...string) (n int) {
		for _, c := range cautions(filled(t, "review.txt", text)) {
			for _, w := range words {
				if strings.Contains(c, w) {
					n++
				}
			}
		}
		return n
	}
	for _, c := range []struct {
		text, words string
		want        bool
	}{
		{"Weight 80 grams.", "not a test report or a certification", true},
		{"Weight 80 grams.", "bulk capacitor", false},
		{"Weight 80 grams.", "lithium", false},
		{"Input 100 to 240 volts, 1.5 amps.", "bulk capacitor", true},
		{"Input 5 volts, 3 amps.", "bulk capacitor", false},
		{"Capacity 10,000 milliamp hours, 3.85 volts.", "lithium", true},
		{"Open it. Fuse, 3.15 amps, 250 volts.", "must not go back into service", true},
		{"Tests. Top 68 degrees celsius.", "emissivity", true},
		{"Main board. Y capacitor 1 nanofarad.", "clearance", true},
	} {
		if got := count(c.text, c.words) > 0; got != c.want {
			t.Errorf("%s: caution with %q %v, want %v", c.text, c.words, got, c.want)
		}
	}
}

// TestCautionTables walks the rows: every "when" is one that code or the kinds
// can set, every kind's part is spoken of somewhere.
func TestCautionTables(t *testing.T) {
	when := []string{"always", "opened", "mains", "primary", "lithium", "series", "air", "temperature", "magnet"}
	for _, r := range knowledge.Cautions().Rows {
		if (r.Get("text") != "-") != slices.Contains(when, r.Get("when")) {
			t.Errorf("cautions.tsv:%d: when %q with the text %q: a new word is set in normalize/caution.go "+
				"and listed here; "+
				"without one it is for no record: %q", r.Line, r.Get("when"), r.Get("text"), "-")
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/cautionkinds.tsv").Rows {
		for _, tells := range r.List("tells") {
			if !slices.Contains(when, tells) {
				t.Errorf("cautionkinds.tsv:%d: %q", r.Line, tells)
			}
		}
	}
}
