package assemble

import (
	"slices"
	"strings"
	"testing"

	"saywatt/internal/knowledge"
	"saywatt/schema"
)

// TestCautions: every record says that it is no certification; the others go by
// what it holds (handbook section 10). Each caution for records has a record here
// that it goes with, and but for those of every record one that it does not.
func TestCautions(t *testing.T) {
	seen, missed := map[string]bool{}, map[string]bool{} // texts that some record has, that some has not
	has := func(text, words string) (found bool) {
		given := cautions(filled(t, "review.txt", text))
		for _, c := range loadCautions().rows {
			if !slices.Contains(given, c.text) {
				missed[c.text] = true
				continue
			}
			seen[c.text] = true
			found = found || strings.Contains(c.text, words)
		}
		return found
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
		{"Inside are four cells in series, each of 5000 milliamp hours.", "in series can burn", true},
		{"Inside are two cells in series, each of 5000 milliamp hours.", "in series can burn", true},
		{"Inside is one cell of 5000 milliamp hours.", "in series can burn", false},
		{"Inside are two cells in parallel, each of 5000 milliamp hours.", "in series can burn", false},
		{"This is a magnetic power bank. It weighs 80 grams.", "pacemakers", true},
	} {
		if got := has(c.text, c.words); got != c.want {
			t.Errorf("%s: caution with %q %v, want %v", c.text, c.words, got, c.want)
		}
	}
	for _, r := range knowledge.Cautions().Rows {
		text := r.Get("text")
		if text != "-" && !seen[text] {
			t.Errorf("cautions.tsv:%d: no record of TestCautions has %s: is %q set in caution.go?", r.Line, r.Get("id"),
				r.Get("when"))
		}
		if r.Get("when") != "always" && seen[text] && !missed[text] {
			t.Errorf("cautions.tsv:%d: every record of TestCautions has %s", r.Line, r.Get("id"))
		}
	}
}

// TestCautionTables walks the rows: what has no text is for no record, and what a
// kind of part calls for is the word of some caution.
func TestCautionTables(t *testing.T) {
	when := map[string]bool{}
	for _, r := range knowledge.Cautions().Rows {
		when[r.Get("when")] = true
		if (r.Get("text") != "-") != (r.Get("when") != "-") {
			t.Errorf("cautions.tsv:%d: when %q with the text %q: what is for no record has %q in both", r.Line,
				r.Get("when"), r.Get("text"), "-")
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/cautionkinds.tsv").Rows {
		for _, what := range r.List("holds") {
			if !when[what] {
				t.Errorf("cautionkinds.tsv:%d: no row of cautions.tsv has %q under \"when\"", r.Line, what)
			}
		}
	}
}
