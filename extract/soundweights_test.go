package extract

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"saywatt/extract/sound"
	"saywatt/schema"
)

// soundsWith is the lexicon with words heard by other weights of sound.
func soundsWith(t *testing.T, changed map[string]float64) *Lexicon {
	t.Helper()
	m, err := sound.WithWeights(changed)
	if err != nil {
		t.Fatal(err)
	}
	x := newLexicon()
	x.ear = sounds{}
	if err := x.loadSounds(m); err != nil {
		t.Fatal(err)
	}
	return x
}

// readBySound is what is read of a text: the numbers with their units, a star behind a
// unit that sounds clearly like it. Behind the text of byEar it is one written by ear.
func readBySound(x *Lexicon, before, text string) string {
	p := parser{x: x, text: []byte(before + text)}
	p.tokens = x.Scan(nil, p.text)
	if before != "" {
		p.tokens, _ = p.rehear(p.tokens)
	}
	var all []string
	for _, m := range p.mentions(nil) {
		if int(p.tokens[m.First].Start) < len(before) {
			continue
		}
		read := fmt.Sprint(m.Quantity())
		if m.Unit.Apart > 0 && m.Unit.Count > 1 {
			read += "*"
		}
		all = append(all, read)
	}
	return strings.Join(all, ", ")
}

// TestSoundWeightsHeld: each weight of sound that is chosen and not fitted has a text
// that is read otherwise where the weight is doubled, or halved.
func TestSoundWeightsHeld(t *testing.T) {
	const ear = "speech_" // rows of words cut anew
	held := map[string]bool{}
	// Held in package sound, by TestSpeechBounds and TestByEar.
	for _, name := range []string{"window", "band", "shortest", "slack", "starts", "share", "few"} {
		held[ear+name] = true
	}
	for _, c := range []struct {
		weight     string
		by         float64
		text, want string
	}{
		{"scale", 2, "12 micros farads", "12 µF"},
		{"scale", 0.5, "12 ants", "12 A"},
		{"trade", 2, "twenty even volts", "27 V"},
		{"most_number", 2, "The choke has 80 milli Henry.", "80 mH"},
		{"most_number", 0.5, "plenty five volts", "25 V"},
		{"odds_number", 2, "twenty even volts", "27 V"},
		{"most_due", 2, "Kilo ohms.", ""},
		{"most_due", 0.5, "fight volts", "5 V"},
		{"odds_due", 0.5, "fuse volts", ""},
		{"most_unit", 2, "12 coil", "12"},
		{"most_unit", 0.5, "12 camps", "12 A"},
		{"odds_unit", 2, "12 walls", "12 V"},
		{"odds_unit", 0.5, "12 telephones", "12"},
		{"most_units", 2, "12 milli controller", "12"},
		{"most_units", 0.5, "12 mills ohms", "12 mΩ"},
		{"odds_units", 0.5, "twenty scope volts", "20"},
		{"clear", 2, "12 boats", "12 V"},
		{"clear", 0.5, "12 app", "12 A*"},
		{"spare", 2, "It moves 10 giga bites per second.", "10 Gbit/s*"},
		{"backing", 2, "his volts", ""},
		{"backing", 0.5, "opened volts", ""},
		{"unseen", 2, "ate fifteen volts", "15 V"},
		{"discount", 2, "sockets volts", ""},
		{"discount", 0.5, "fuse volts", ""},
		{"lose_cluster", 2, "its volume is close to 6 ploy to 8 liters", "6.8 L"},
		{"speech_scale", 2, "it holds five thousand nine hundred million powers", "5900 mAh"},
		{"speech_error", 2, "it holds five thousand nine hundred million powers", "5900 mAh"},
		{"speech_error", 0.5, "let me check that against the area each leaf carries an area of 26 by 15.4", "26, 15.4"},
		{"speech_reach", 0.5, "the pack says fifty one ply into belts and no more", "51.2 V"},
		{"speech_gain", 2, "it holds five thousand nine hundred million powers", "5900 mAh"},
		{"speech_gain", 0.5, "a window with to just eleven mil", "11 mm"},
		{"speech_added", 2, "the pack says fifty one ply into belts and no more", "51.2 V"},
		{"speech_lost", 2, "the pack says fifty one ply into belts and no more", "51.2 V"},
		{"speech_rare", 0.5, "we have hundred kilo homes of it", "100 kΩ"},
		{"speech_common", 2, "it holds five thousand nine hundred million powers", "5900 mAh"},
		{"speech_number", 2, "the pack says fifty one ply into belts and no more", "51.2 V"},
		{"speech_number", 0.5, "handing fit the whole lotta drops to five votes three camps", "5 V, 3 A"},
	} {
		held[c.weight] = true
		before := ""
		if strings.HasPrefix(c.weight, ear) || c.weight == "lose_cluster" {
			before = byEarText()
		}
		if got := readBySound(Words(), before, c.text); got != c.want {
			t.Errorf("%s: %q is read as %s, want %s", c.weight, c.text, got, c.want)
		}
		other := soundsWith(t, map[string]float64{c.weight: c.by * soundWeight(t, c.weight)})
		if readBySound(other, before, c.text) == c.want {
			t.Errorf("%s: %q is read as %s with %v times the weight too", c.weight, c.text, c.want, c.by)
		}
	}
	for _, c := range []struct {
		weight string
		by     float64
		word   string
		point  bool
	}{
		{"point_slope", 2, "white", false},
		{"point_slope", 0.5, "plain", true},
		{"point_even", 2, "the", false},
		{"point_even", 0.5, "bold", true},
	} {
		held[c.weight] = true
		token := scanned(c.word).tokens[0]
		if got := Words().PointOdds([]byte(c.word), token) < 0; got != c.point {
			t.Errorf("%s: %q is a point: %v", c.weight, c.word, got)
		}
		other := soundsWith(t, map[string]float64{c.weight: c.by * soundWeight(t, c.weight)})
		if got := other.PointOdds([]byte(c.word), token) < 0; got == c.point {
			t.Errorf("%s: %q is a point with %v times the weight too: %v", c.weight, c.word, c.by, got)
		}
	}
	table, err := schema.ReadTable(os.DirFS("sound"), "tables/weights.tsv")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range table.Rows {
		if !strings.HasPrefix(r.Get("source"), "fitted") && !held[r.Get("name")] {
			t.Errorf("weights.tsv:%d: no case of TestSoundWeightsHeld holds %s", r.Line, r.Get("name"))
		}
	}
}

// soundWeight is a weight of the table.
func soundWeight(t *testing.T, name string) float64 {
	t.Helper()
	names, values, err := sound.Weights()
	if err != nil {
		t.Fatal(err)
	}
	for i := range names {
		if names[i] == name {
			return values[i]
		}
	}
	t.Fatalf("weights.tsv: no weight %s", name)
	return 0
}
