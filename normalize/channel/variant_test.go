package channel

import (
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// decoder is one for a text, a bar being a line break.
func decoder(t testing.TB, text string) *Decoder {
	t.Helper()
	tr, err := transcript.Parse("test", []byte(strings.ReplaceAll(text, " | ", "\n")))
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	d := new(Decoder)
	d.Reset(extract.Find(tr), Default())
	return d
}

// shown writes a variant as tables do: "3.25 point_lost", "3.3..21 to_as_2+homophone".
func (v *Variant) shown() string {
	number := v.Hi.Decimal().String()
	if v.Range {
		number = v.Lo.Decimal().String() + ".." + number
	}
	var by []string
	for _, d := range v.By {
		if d != Intact {
			by = append(by, d.String())
		}
	}
	if by == nil {
		return number + " " + Intact.String()
	}
	return number + " " + strings.Join(by, "+")
}

// variantsOf lists the readings of the last mention of a text, alone or
// together with the one before it.
func variantsOf(t *testing.T, heard string, pair bool) map[string]bool {
	t.Helper()
	d := decoder(t, heard)
	n := len(d.doc.Mentions)
	if n == 0 || pair && n < 2 {
		t.Fatalf("%s: %d mentions", heard, n)
	}
	m := &d.doc.Mentions[n-1]
	if pair {
		d.Pair(&d.doc.Mentions[n-2], m)
	} else {
		d.Single(m)
	}
	got := map[string]bool{}
	for i := range d.List {
		v := &d.List[i]
		got[v.shown()] = true
		if v.Cost < 0 || v.Cost > 40 {
			t.Errorf("%s: %s costs %v", heard, v.shown(), v.Cost)
		}
	}
	return got
}

func cases(t *testing.T) []schema.Row {
	t.Helper()
	table, err := schema.ReadTable(os.DirFS("testdata"), "variants.tsv")
	if err != nil {
		t.Fatal(err)
	}
	return table.Rows
}

func TestVariants(t *testing.T) {
	for _, r := range cases(t) {
		got := variantsOf(t, r.Get("heard"), r.Get("of") == "two")
		for _, want := range strings.Split(r.Get("want"), "; ") {
			if want == "-" {
				continue
			}
			reading, unwanted := strings.CutPrefix(want, "!")
			if got[reading] == unwanted {
				t.Errorf("variants.tsv:%d: %q (%s): want %s; got %v", r.Line, r.Get("heard"), r.Get("from"), want,
					slices.Sorted(maps.Keys(got)))
			}
		}
	}
}

// What captions show is the first of the readings of digits and words, at the cost of
// hearing it right or, where it is hardly ever said so, more.
func TestLiteralIsFirst(t *testing.T) {
	for _, heard := range []string{"325 amps", "3.25 amps", "33 to 110 volts", "thirteen volts", "100240 volts"} {
		d := decoder(t, heard)
		m := &d.doc.Mentions[0]
		d.Single(m)
		v := d.List[0]
		if v.Lo != m.Low || v.Hi != m.High || v.Range != m.Range || v.By != [2]Distortion{} ||
			v.Cost != d.costs.Of(Intact) {
			t.Errorf("%s: the first reading is %s at %v", heard, v.shown(), v.Cost)
		}
	}
}

// TestWeightsHeld: what each row of weights.tsv adds to the cost of a reading, beyond
// what hearing it right costs or the distortions that made it.
func TestWeightsHeld(t *testing.T) {
	held := map[string]bool{"learned_worth": true} // TestWith
	for _, c := range []struct {
		weight, heard, variant string
		beyond                 []Distortion
		want                   float32
	}{
		{"pair_tail", "three ten volts", "10 merged_numbers", []Distortion{Intact}, 3},
		{"words_tail", "sixty six hundred milliamp hours", "600 merged_numbers", []Distortion{Intact}, 0.7},
		{"comma_point", "27, 6 millimetres", "27.6 point_shown_wrong", []Distortion{PointShownWrong}, 2.5},
		{"comma_point", "27 6 millimetres", "27.6 point_shown_wrong", []Distortion{PointShownWrong}, 0},
		{"to_point", "27 to 6 millimetres", "27.6 point_shown_wrong", []Distortion{PointShownWrong}, 2},
		{"teen_point", "30.5 volts", "13.5 teen_ty", []Distortion{TeenTy}, 0.85},
		{"teen_point", "30 volts", "13 teen_ty", []Distortion{TeenTy}, 0},
		{"grouped_point", "12,345 milliamp hours", "12.345 point_lost", []Distortion{PointLost}, 2},
		{"grouped_point", "12345 milliamp hours", "12.345 point_lost", []Distortion{PointLost}, 0},
		{"digit_alone", "3 microfarads", "30 digit_dropped", []Distortion{DigitDropped}, 2.2},
		{"digit_alone", "33 microfarads", "330 digit_dropped", []Distortion{DigitDropped}, 0},
		{"stop_range", "50. 60 hertz", "50..60 to_lost", []Distortion{ToLost}, 3.5},
		{"stop_range", "50 60 hertz", "50..60 to_lost", []Distortion{ToLost}, 0},
	} {
		held[c.weight] = true
		cost, found := costOfVariant(t, c.heard, c.variant)
		for _, d := range c.beyond {
			cost -= Default().Of(d)
		}
		if !found || math.Abs(float64(cost-c.want)) > 1e-5 {
			t.Errorf("%s: %q read as %s costs %v more, want %v", c.weight, c.heard, c.variant, cost, c.want)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/weights.tsv").Rows {
		if !held[r.Get("name")] {
			t.Errorf("weights.tsv:%d: no case of TestWeightsHeld holds %s", r.Line, r.Get("name"))
		}
		if r.Get("meaning") == "" || r.Get("source") == "" {
			t.Errorf("weights.tsv:%d: %s has no meaning or source", r.Line, r.Get("name"))
		}
	}
}

// costOfVariant is the cost of a reading of the last mention of a text, alone or, where
// there are two, together with the one before; false where there is none.
func costOfVariant(t *testing.T, heard, variant string) (float32, bool) {
	t.Helper()
	d := decoder(t, heard)
	m := d.doc.Mentions
	if len(m) > 1 {
		d.Pair(&m[len(m)-2], &m[len(m)-1])
	} else {
		d.Single(&m[0])
	}
	for i := range d.List {
		if v := &d.List[i]; v.shown() == variant {
			return v.Cost, true
		}
	}
	return 0, false
}

// The distortions that change a unit, that need to know what is spoken of, or that make
// no reading: package normalize makes them, and its TestEveryDistortionIsMade says so.
var elsewhere = []Distortion{MergedNumbers, SignStuck, UnitDropped, UnitMisheard, UnitSwapped, HourLost, PrefixLost,
	LetterCase, PrefixWrong, Code, Stray}

// Every other row of distortions.tsv is made by some row of variants.tsv.
func TestEveryDistortionIsMade(t *testing.T) {
	made := map[string]bool{}
	for _, r := range cases(t) {
		for _, want := range strings.Split(r.Get("want"), "; ") {
			if want[0] != '!' && want != "-" {
				for _, d := range strings.Split(want[strings.IndexByte(want, ' ')+1:], "+") {
					made[d] = true
				}
			}
		}
	}
	for d := range End {
		if !made[d.String()] && !slices.Contains(elsewhere, d) {
			t.Errorf("no row of testdata/variants.tsv makes %s", d)
		}
	}
}
