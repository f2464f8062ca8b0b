package extract

import (
	"strings"
	"testing"

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
		near := x.UnitsBySound(nil, text, x.Scan(nil, text))
		if len(near) == 0 || near[0].Unit != schema.Unit(r.Get("unit")) {
			t.Errorf("unitsounds.tsv:%d: %q sounds like %v", r.Line, form, near)
		}
	}
}
