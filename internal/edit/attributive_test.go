package edit

import (
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// A unit that is written anew is singular before a noun, behind an article; it is
// plural where the quantity stands alone, and stays as it was where it was heard.
func TestUnitBeforeNoun(t *testing.T) {
	for _, c := range []struct {
		text, heard, reading string
		style                Style
		want                 string // what becomes of the text
	}{
		{"It is a 100 wads charger.", "100 wads", "100 W", Style{}, "It is a 100 watt charger."},
		{"It is an 18 wads adapter.", "18 wads", "18 W", Style{}, "It is an 18 watt adapter."},
		{"A 315 lamps fuse is in it.", "315 lamps", "3.15 A", Style{}, "A 3.15 amp fuse is in it."},
		{"It has a 10,000 million per hours power bank.", "10,000 million per hours", "10000 mA.h", Style{},
			"It has a 10,000 milliamp hour power bank."},
		{"a 65 wads GaN brick", "65 wads", "65 W", Style{}, "a 65 watt GaN brick"},
		{"It is a sixty five wads charger.", "sixty five wads", "65 W", Style{}, "It is a sixty five watt charger."},
		{"It is a\n100 wads\ncharger.", "100 wads", "100 W", Style{}, "It is a\n100 watt\ncharger."},
		{"It is a 100 wads charger.", "100 wads", "100 W", names, "It is a 100 watt charger."},
		{"It is a 100 wads charger.", "100 wads", "100 W", symbols, "It is a 100 W charger."},
		// Near misses.
		{"It gives 100 wads output.", "100 wads", "100 W", Style{}, "It gives 100 watts output."},
		{"The 100 wads charger is out.", "100 wads", "100 W", Style{}, "The 100 watts charger is out."},
		{"You get a 100 wads of power.", "100 wads", "100 W", Style{}, "You get a 100 watts of power."},
		{"It is a 100 wads.", "100 wads", "100 W", Style{}, "It is a 100 watts."},
		{"It is a 100 wads, charger and all.", "100 wads", "100 W", Style{}, "It is a 100 watts, charger and all."},
		{"It is a 20 bolts 3 amps level.", "20 bolts", "20 V", Style{}, "It is a 20 volts 3 amps level."},
		{"It is a 100 wads max thing.", "100 wads", "100 W", Style{}, "It is a 100 watts max thing."},
		{"It has a port: 100 wads charger.", "100 wads", "100 W", Style{}, "It has a port: 100 watts charger."},
		{"In plan a, 100 wads charge it.", "100 wads", "100 W", Style{}, "In plan a, 100 watts charge it."},
		{"It is a 325 amps charger.", "325 amps", "3.25 A", Style{}, "It is a 3.25 amps charger."},
	} {
		tr, err := transcript.Parse("x.txt", []byte(c.text))
		if err != nil {
			t.Fatal(err)
		}
		at := strings.Index(c.text, c.heard)
		q := schema.MustQuantity(c.reading)
		r := &schema.Record{Source: schema.Source{SHA256: tr.Hash}, Quantities: []schema.Said{{Number: 1,
			Span: schema.Span{Start: at, End: at + len(c.heard)}, Heard: c.heard, Quantity: q, Kind: q.Unit.Kind(),
			Status: schema.StatusSettled, Confidence: 1}}}
		changes, left, err := ForRecord(r, tr, c.style)
		if err != nil || len(left) > 0 {
			t.Fatalf("%q: %v, %v", c.text, left, err)
		}
		got, err := Apply(tr.Source, changes)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != c.want {
			t.Errorf("%q becomes %q, want %q", c.text, got, c.want)
		}
	}
}

// Every row of the table has a class, a source, and is folded and met once.
func TestAttributiveTable(t *testing.T) {
	classes := map[string]bool{article: true, "preposition": true, "conjunction": true, "auxiliary": true,
		"pronoun": true, "determiner": true, "adverb": true}
	seen := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/attributive.tsv").Rows {
		w := r.Get("word")
		if w == "" || w != strings.ToLower(w) || seen[w] || !classes[r.Get("class")] || r.Get("source") == "" {
			t.Errorf("attributive.tsv:%d: %q, class %q, source %q", r.Line, w, r.Get("class"), r.Get("source"))
		}
		seen[w] = true
		if got := loadAttributive()[w]; got != r.Get("class") {
			t.Errorf("%q is read as %q", w, got)
		}
	}
	if len(seen) == 0 {
		t.Error("no rows")
	}
}
