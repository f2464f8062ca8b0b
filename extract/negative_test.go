package extract

import (
	"os"
	"strings"
	"testing"

	"saywatt/schema"
)

// negative writes the numbers of a text in the notation of negatives.tsv.
func negative(text string) string {
	p := parser{x: Words(), text: []byte(text)}
	p.tokens = p.x.Scan(nil, p.text)
	var b []string
	for _, m := range p.mentions(nil) {
		if m.Not == NotPronoun { // kept for the reading engine only
			continue
		}
		s := m.Low.Decimal().String()
		if p.tokens[m.First].Kind == TokenNumber && !m.Range { // as written, so that 0603 keeps its zero
			s = string(p.text[p.tokens[m.First].Start:p.tokens[m.NumEnd-1].End])
			s = strings.ReplaceAll(s, ",", "")
		}
		if m.Range {
			s += ".." + m.High.Decimal().String()
		}
		if m.HasUnit() {
			s += " " + string(m.Unit.Unit)
		}
		if m.Not != NotNothing {
			s += " " + m.Not.String()
		}
		b = append(b, s)
	}
	return strings.Join(b, "; ")
}

// TestNegatives: no row may name a quantity, that is a number with a unit and
// no reason against it, and every row names exactly the numbers it lists.
func TestNegatives(t *testing.T) {
	const name = "testdata/negatives.tsv"
	table, err := schema.ReadTable(os.DirFS("."), name)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, r := range table.Rows {
		text := r.Get("text")
		if seen[text] || r.Get("why") == "" {
			t.Errorf("%s:%d: %q twice, or without a reason", name, r.Line, text)
		}
		seen[text] = true
		for _, f := range ParseQuantities(strings.ReplaceAll(text, "|", "\n")) {
			if f.HasUnit && f.Not == NotNothing {
				t.Errorf("%s:%d: %s: found the quantity %s (%s)", name, r.Line, text, f.Quantity, r.Get("why"))
			}
		}
		if got := negative(strings.ReplaceAll(text, "|", "\n")); got != r.Get("numbers") {
			t.Errorf("%s:%d: %s\n got %s\nwant %s", name, r.Line, text, got, r.Get("numbers"))
		}
	}
	if len(table.Rows) < 80 {
		t.Errorf("%d rows, want at least 80", len(table.Rows))
	}
}

// TestNotNames: each reason why a number is no quantity has a name of its own.
func TestNotNames(t *testing.T) {
	if len(notNames) != int(NotCount)+1 {
		t.Errorf("%d names for %d reasons", len(notNames), int(NotCount)+1)
	}
	seen := map[string]bool{}
	for n, name := range notNames {
		if seen[name] || (name == "") != (Not(n) == NotNothing) {
			t.Errorf("reason %d is called %q", n, name)
		}
		seen[name] = true
	}
}
