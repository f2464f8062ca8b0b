package extract

import (
	"os"
	"strings"
	"testing"

	"saywatt/schema"
)

// TestWritten holds the literal reading of written numbers against the table.
func TestWritten(t *testing.T) {
	const name = "testdata/written.tsv"
	table, err := schema.ReadTable(os.DirFS("."), name)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range table.Rows {
		text := strings.ReplaceAll(r.Get("text"), "¶", "\n")
		if r.Get("source") == "" {
			t.Errorf("%s:%d: no source", name, r.Line)
		}
		if got := notation(text); got != r.Get("reading") {
			t.Errorf("%s:%d: %s\n got %s\nwant %s", name, r.Line, text, got, r.Get("reading"))
		}
	}
	if len(table.Rows) < 90 {
		t.Errorf("%d rows, want 90 and more", len(table.Rows))
	}
}

// TestHedgesOfSigns: signs before a number are its qualifier, never a minus.
func TestHedgesOfSigns(t *testing.T) {
	for _, c := range []struct {
		text string
		want schema.Qualifier
	}{
		{"~20 W", schema.QualifierAbout},
		{"~ 20 W", schema.QualifierAbout},
		{"≈20 W", schema.QualifierAbout},
		{"c. 20 W", schema.QualifierAbout},
		{"ca. 20 W", schema.QualifierAbout},
		{"<20 W", schema.QualifierUnder},
		{"< 20 W", schema.QualifierUnder},
		{"> 20 W", schema.QualifierOver},
		{"<= 20 W", schema.QualifierAtMost},
		{">=20 W", schema.QualifierAtLeast},
		{"≤20 W", schema.QualifierAtMost},
		{"≥ 20 W", schema.QualifierAtLeast},
		{"5 V -> 20 W", schema.QualifierNone},
		{"USB-c. 20 W", schema.QualifierNone},
		{"it gets to 40 °C. 20 W", schema.QualifierNone},
	} {
		p := parser{x: Words(), text: []byte(c.text)}
		p.tokens = p.x.Scan(nil, p.text)
		found := p.mentions(nil)
		m := found[len(found)-1]
		if m.Qualifier != c.want || m.Low.Coef != 20 || m.Unit.Unit != "W" {
			t.Errorf("%s: %v %s %s, want %v 20 W", c.text, m.Qualifier, m.Low.Decimal(), m.Unit.Unit, c.want)
		}
	}
}

// TestLetterCodesTable: each letter reads between digits, and behind and before
// them where the table says so.
func TestLetterCodesTable(t *testing.T) {
	eachRow(t, "lettercodes.tsv", []string{"letter", "source"}, func(t *testing.T, r schema.Row) {
		letter, unit := r.Get("letter"), r.Get("unit")
		if _, ok := schema.Unit(unit).Info(); !ok {
			t.Errorf("lettercodes.tsv:%d: schema has no unit %q", r.Line, unit)
		}
		want := map[string]string{"4" + letter + "7": "4.7 " + unit}
		switch r.Get("place") {
		case "before":
			want[letter+"05"] = "0.05 " + unit
			fallthrough
		case "behind":
			want["22"+letter] = "22 " + unit
		}
		for text, reading := range want {
			if got := notation(text); got != reading {
				t.Errorf("lettercodes.tsv:%d: %s reads as %q, want %q", r.Line, text, got, reading)
			}
		}
	})
}

// TestMarkingCodesTable: 105 before the part is ten and five noughts of its
// smallest step.
func TestMarkingCodesTable(t *testing.T) {
	want := map[string]string{"pF": "1 uF", "Ohm": "1 MOhm", "uH": "1 H"}
	eachRow(t, "markingcodes.tsv", []string{"word"}, func(t *testing.T, r schema.Row) {
		for _, text := range []string{"a 105 " + r.Get("word"), r.Get("word") + " marked 105"} {
			if got := notation(text); got != want[r.Get("unit")] {
				t.Errorf("markingcodes.tsv:%d: %s reads as %q, want %q", r.Line, text, got, want[r.Get("unit")])
			}
		}
	})
}
