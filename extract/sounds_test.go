package extract

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"saywatt/extract/sound"
	"saywatt/schema"
)

// Words of like sound behind a number, in the manner of captions (common
// practice, no source), and words that are something else.
func TestUnitBySound(t *testing.T) {
	for _, tt := range []struct {
		text string
		unit schema.Unit // "" for none
		end  int         // words
	}{
		{"mill arms of it", "mOhm", 2},
		{"milly owns", "mOhm", 2},
		{"kill oms", "kOhm", 2},
		{"kilo herds and", "kHz", 2},
		{"mega hearts", "MHz", 2},
		{"micro fair adds", "uF", 3},
		{"nana for ads", "nF", 3},
		{"pico ferrets", "pF", 2},
		{"micro hen reese", "uH", 3},
		{"mill evolts", "mV", 2},
		{"micron amps", "uA", 2},
		{"desk bells", "dB", 2},
		{"dessa bells at", "dB", 2},
		{"newtens", "N", 1},
		{"presents", "%", 1},
		{"per scent", "%", 2},
		{"mellow seconds", "ms", 2},
		{"sent a meters", "cm", 3},
		{"people in the room", "", 0},
		{"screws hold it", "", 0},
		{"minutes later", "", 0},
		{"ports on the front", "", 0},
		{"of them", "", 0},
		{"and then some", "", 0},
		{"fans and a filter", "", 0},
		{"magnets inside", "", 0},
		{"moments of silence", "", 0},
		{"colours of it", "", 0},
		{"different makers", "", 0},
		{"layers of paper", "", 0},
		{"pictures", "", 0},
		{"mistakes", "", 0},
	} {
		p := parser{x: Words(), text: []byte(tt.text)}
		p.tokens = p.x.Scan(nil, p.text)
		u, ok := p.unitBySound(0)
		if ok != (tt.unit != "") || ok && (u.Unit != tt.unit || int(u.End) != tt.end) {
			t.Errorf("%q: got %q to word %d, want %q to %d", tt.text, u.Unit, u.End, tt.unit, tt.end)
		}
	}
}

// Each form of the table is its own nearest, and of no other unit.
func TestUnitSounds(t *testing.T) {
	x := Words()
	for _, r := range schema.MustReadTable(tables, "tables/unitsounds.tsv").Rows {
		form := strings.ReplaceAll(r.Get("form"), "-", " ")
		text := []byte(form)
		near := x.unitsBySound(nil, text, x.Scan(nil, text))
		if len(near) == 0 || near[0].Unit != schema.Unit(r.Get("unit")) {
			t.Errorf("unitsounds.tsv:%d: %q sounds like %v", r.Line, form, near)
		}
	}
}

// TestHeardBySound: the words that captions show for a unit, each row of a test
// table, read as that unit although no table of ours has them.
func TestHeardBySound(t *testing.T) {
	heard, err := schema.ReadTable(os.DirFS("testdata"), "heard.tsv")
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/unitwords.tsv").Rows {
		rows[r.Get("form")+" "+r.Get("part")] = true
	}
	for _, r := range heard.Rows {
		form, means := r.Get("form"), r.Get("means")
		if rows[form+" "+r.Get("part")] {
			t.Errorf("heard.tsv:%d: %q has a row in unitwords.tsv", r.Line, form)
		}
		for _, c := range heardIn(r.Get("part"), form, means) {
			found := ParseQuantities(c.text)
			if len(found) != 1 || found[0].Quantity.Unit != c.unit || found[0].Span.End != len(c.text) {
				t.Errorf("heard.tsv:%d: %q reads as %v, want 12 %s", r.Line, c.text, found, c.unit)
			}
		}
	}
}

// TestHeardRowsAreNeeded: what the table of unit words has of words shown for
// others is what sound does not give: "million" is a number word, "what hours"
// and the like have a sound of their own, "what" is common.
func TestHeardRowsAreNeeded(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/unitwords.tsv").Rows {
		if r.Get("manner") != "heard" || strings.Contains(r.Get("form"), "million") || r.Get("part") == "hour" ||
			r.Get("part") == "prefix" {
			continue
		}
		text := []byte(r.Get("form"))
		if tokens := Words().Scan(nil, text); Words().Common(text, tokens[0]) > 0 {
			continue
		}
		p := parser{x: Words(), text: text}
		p.tokens = p.x.Scan(nil, p.text)
		if u, ok := p.unitBySound(0); ok && u.Unit == schema.Unit(r.Get("means")) && int(u.End) == len(p.tokens) &&
			u.Apart <= leastApart {
			t.Errorf("unitwords.tsv:%d: %q sounds just like %s", r.Line, text, u.Unit)
		}
	}
}

// heardCase is a text and the unit that it has.
type heardCase struct {
	text string
	unit schema.Unit
}

// heardIn is a form behind a number, with what makes a unit of it.
func heardIn(part, form, means string) []heardCase {
	switch part {
	case "prefix":
		var cases []heardCase
		for _, base := range [][2]string{{"amps", "A"}, {"farads", "F"}, {"hertz", "Hz"}, {"ohms", "Ohm"},
			{"volts", "V"}} {
			for _, r := range schema.MustReadTable(tables, "tables/unitsounds.tsv").Rows {
				if r.Get("unit") == means+base[1] {
					cases = append(cases, heardCase{"12 " + form + " " + base[0], schema.Unit(means + base[1])})
					break
				}
			}
		}
		return cases
	case "hour":
		return []heardCase{{"12 milliamp " + form, "mA.h"}}
	}
	return []heardCase{{"12 " + form, schema.Unit(means)}}
}

// TestNumbersBySound: the words that captions show for numbers.
func TestNumbersBySound(t *testing.T) {
	heard, err := schema.ReadTable(os.DirFS("testdata"), "heardnumbers.tsv")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range heard.Rows {
		word := r.Get("word")
		if s := Words().NumberBySound([]byte(word), scanned(word).tokens[0], sound.Anywhere); !s.OK ||
			strconv.Itoa(s.Value) != r.Get("means") {
			t.Errorf("heardnumbers.tsv:%d: %q sounds like %v, want %s", r.Line, word, s, r.Get("means"))
		}
	}
}

// A word between two numbers speaks for a misheard "point" the nearer it sounds, and
// the seldomer it stands beside numbers for itself.
func TestPointOdds(t *testing.T) {
	for _, tt := range []struct {
		word  string
		point bool
	}{
		{"pint", true}, {"boy", true}, {"buoyant", true}, {"plan", true},
		{"mosfets", false}, {"hours", false}, {"of", false}, {"with", false}, {"big", false}, {"the", false},
	} {
		odds := Words().PointOdds([]byte(tt.word), scanned(tt.word).tokens[0])
		if (odds < 0) != tt.point {
			t.Errorf("%s speaks %.1f nats against a point", tt.word, odds)
		}
	}
}

// A number whose first word is of like sound only, and words that stand before a number
// for themselves.
func TestHeadOfNumberBySound(t *testing.T) {
	for _, tt := range []struct {
		text       string
		low, head  string
		firstToken int
	}{
		{"plenty five minutes", "25", "5", 0},
		{"won fifteen volts", "115", "15", 0},
		{"plenty five point two volts", "25.2", "5.2", 0},
		{"about five minutes", "5", "0", 1},
		{"for fifty volts", "50", "0", 1},
		{"far forty volts", "40", "0", 1},
		{"screws five minutes", "5", "0", 1},
		{"plenty fifteen minutes", "15", "0", 1}, // no tens before teens
	} {
		m := scanned(tt.text).mentions(nil)
		if len(m) != 1 {
			t.Errorf("%s: %d mentions", tt.text, len(m))
			continue
		}
		if got, head := m[0].Low.Decimal().String(), m[0].Head.Decimal().String(); got != tt.low || head != tt.head ||
			int(m[0].First) != tt.firstToken {
			t.Errorf("%s is %s, without its first word %s, from token %d", tt.text, got, head, m[0].First)
		}
	}
}

// TestUnitsHangOnOthers: words of which each may be a number with a unit behind it, which
// may be one in turn, are each read once. Read as often as there are ways to them, 60 of
// them would take years. A few are read as they would be without being remembered.
func TestUnitsHangOnOthers(t *testing.T) {
	for _, n := range []int{1, 5, 12} {
		text := "Output 7 " + strings.Repeat("well ", n) + "volts."
		d := find(t, text)
		p := &parser{x: d.Lexicon, text: d.Transcript.Text, tokens: d.Tokens}
		for i := range p.tokens {
			p.memo, p.ahead, p.deep = [unitMemos]unitMemo{}, nil, -1000 // nothing is read ahead
			want, wantOK := p.unit(i)
			p.memo, p.ahead, p.deep = [unitMemos]unitMemo{}, nil, 3 // everything is
			p.readAhead(i)
			if got, ok := p.unit(i); got != want || ok != wantOK {
				t.Errorf("%q: unit at token %d: %v %t, want %v %t", text, i, got, ok, want, wantOK)
			}
		}
	}
	if d := find(t, "Output 7 "+strings.Repeat("well ", 5000)+"volts."); len(d.Mentions) == 0 {
		t.Error("nothing is found behind 5000 words")
	}
}
