package sound

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// say is the phones of words.
func say(m *Model, words string) []Phone {
	var p []Phone
	for _, w := range strings.Fields(words) {
		p = m.Say(p, []byte(w))
	}
	return p
}

// Words that said.tsv does not have, by the rules of letters; the
// pronunciations are General American, as dictionaries have them.
func TestLetters(t *testing.T) {
	m := Default()
	for word, want := range map[string]string{
		"bolts": "B OW L T S", "belts": "B EH L T S", "lamps": "L AE M P S", "grounds": "G R AW N D Z", "hurts": "HH ER T S",
		"plane": "P L EY N", "light": "L AY T", "phone": "F OW N", "knock": "N AA K", "ships": "SH IH P S", "cheek": "CH IY K",
		"jewels": "JH UW EH L Z", "wrap": "R AE P", "dirty": "D ER T IY", "queen": "K W IY N",
		"boil": "B OY L", "Volts": "V OW L T S", "é": "", "": "",
	} {
		if got := m.symbols(m.Say(nil, []byte(word))); got != want {
			t.Errorf("%q: %s, want %s", word, got, want)
		}
	}
}

// TestTables: every row of the tables has a source and leads where it says.
func TestTables(t *testing.T) {
	m := Default()
	for _, name := range []string{"phones", "said", "letters", "weights", "common"} {
		for _, r := range schema.MustReadTable(tables, "tables/"+name+".tsv").Rows {
			if r.Get("source") == "" {
				t.Errorf("%s.tsv:%d: no source", name, r.Line)
			}
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/said.tsv").Rows {
		if got := m.symbols(m.Say(nil, []byte(strings.ToUpper(r.Get("word"))))); got != r.Get("phones") {
			t.Errorf("said.tsv:%d: %s says %s", r.Line, r.Get("word"), got)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/common.tsv").Rows {
		if n := m.Common([]byte(r.Get("word"))); n < 1 {
			t.Errorf("common.tsv:%d: %s was seen %d times", r.Line, r.Get("word"), n)
		}
	}
	for _, w := range []Where{BeforeNumber, BeforeUnit, BehindNumber} {
		sum := 0.0
		for _, r := range schema.MustReadTable(tables, "tables/common.tsv").Rows {
			sum += m.Share([]byte(r.Get("word")), w)
		}
		if sum < 0.9 || sum > 1.1 { // plurals count as their singular
			t.Errorf("the shares of words %s add up to %v", placeNames[w], sum)
		}
	}
	for _, c := range []string{"#", ".", "V", "C", "F"} {
		if c != "#" && c != "." && !fits(c[0], map[string]byte{"V": 'a', "C": 'b', "F": 'e'}[c]) {
			t.Errorf("class %s", c)
		}
	}
}

// Sounds are nearer the more they have in common (IPA chart).
func TestFeatures(t *testing.T) {
	m := Default()
	cost := func(a, b string) float32 {
		return m.swap[slices.Index(m.names, a)][slices.Index(m.names, b)]
	}
	for _, near := range [][4]string{
		{"P", "B", "P", "K"}, {"F", "TH", "F", "K"}, {"V", "B", "V", "K"}, {"M", "N", "M", "K"}, {"T", "D", "T", "M"},
		{"IY", "IH", "IY", "AA"}, {"OW", "AO", "OW", "IY"}, {"W", "UW", "K", "UW"}, {"S", "Z", "S", "L"},
	} {
		if cost(near[0], near[1]) >= cost(near[2], near[3]) {
			t.Errorf("%s:%s cost %.2f, %s:%s %.2f", near[0], near[1], cost(near[0], near[1]), near[2], near[3],
				cost(near[2], near[3]))
		}
	}
}

// Weights that are not of the table are refused; those that are change what
// sounds cost.
func TestWithWeights(t *testing.T) {
	m, err := WithWeights(map[string]float64{"voice": 0})
	if err != nil {
		t.Fatal(err)
	}
	if d := m.Distance(say(m, "pay"), say(m, "bay")); d != 0 {
		t.Errorf("pay and bay are %.2f apart without voice", d)
	}
	if d := Default().Distance(say(m, "pay"), say(m, "bay")); d <= 0 {
		t.Errorf("pay and bay are %.2f apart", d)
	}
}

// anyPhones draws a row of phones.
func anyPhones(t *rapid.T, name string) []Phone {
	m := Default()
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Phone {
		return Phone(rapid.IntRange(1, len(m.names)-1).Draw(t, "phone"))
	}), 0, maxForm).Draw(t, name)
}

// A distance is none to itself and the same both ways.
func TestPropertyDistance(t *testing.T) {
	m := Default()
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyPhones(t, "a"), anyPhones(t, "b")
		d := m.Distance(a, b)
		if e := m.Distance(b, a); d-e > 1e-4 || e-d > 1e-4 {
			t.Errorf("%.4f there, %.4f back", d, e)
		}
		if e := m.Distance(a, a); e != 0 {
			t.Errorf("%.4f to itself", e)
		}
		if d < 0 {
			t.Errorf("%.4f", d)
		}
	})
}

// The index finds what comparing with every form finds.
func TestPropertyIndex(t *testing.T) {
	m := Default()
	rapid.Check(t, func(t *rapid.T) {
		forms := make([][]Phone, rapid.IntRange(0, 12).Draw(t, "forms"))
		for i := range forms {
			forms[i] = anyPhones(t, "form")
		}
		heard := anyPhones(t, "heard")
		limit := float32(rapid.Float64Range(0, 8).Draw(t, "limit"))
		var want []Match
		for i, f := range forms {
			if len(f) > 0 && len(heard) > 0 {
				if d := m.Distance(f, heard); d <= limit {
					want = append(want, Match{i, d, len(f)})
				}
			}
		}
		got := m.NewIndex(forms).Near(nil, heard, limit)
		slices.SortFunc(got, func(a, b Match) int { return a.ID - b.ID })
		if !slices.Equal(got, want) {
			t.Errorf("got %v, want %v", got, want)
		}
	})
}

// FuzzSay: any bytes have a sound, and no more phones than their letters can
// stand for.
func FuzzSay(f *testing.F) {
	for _, s := range []string{"volts", "don't", "éclair", "", "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", "x'x"} {
		f.Add([]byte(s))
	}
	m := Default()
	f.Fuzz(func(t *testing.T, word []byte) {
		if p := m.Say(nil, word); len(p) > 3*len(word)+8 {
			t.Errorf("%q has %d phones", word, len(p))
		}
	})
}

// A word that is seen often is seldom one misheard, and a long form may differ
// more than a short one.
func TestOdds(t *testing.T) {
	o := Default().Odds()
	if o.Scale <= 0 {
		t.Fatalf("scale %v", o.Scale)
	}
	for _, b := range []Bound{o.Number, o.Unit, o.Units} {
		if b.Limit(4, 0) <= b.Limit(4, 1000) || b.Limit(2, 0) >= b.Limit(4, 0) ||
			b.Limit(1000, 3) <= b.Limit(1000, 300) {
			t.Errorf("%+v: %v, %v, %v", b, b.Limit(4, 0), b.Limit(4, 1000), b.Limit(2, 0))
		}
	}
}

func BenchmarkNear(b *testing.B) {
	m := Default()
	var forms [][]Phone
	for _, r := range schema.MustReadTable(tables, "tables/said.tsv").Rows {
		forms = append(forms, say(m, r.Get("word")))
	}
	x := m.NewIndex(forms)
	heard := say(m, "grounds")
	var room [16]Match
	b.ReportAllocs()
	for b.Loop() {
		x.Near(room[:0], heard, 1)
	}
}

// symbols writes phones by their symbols.
func (m *Model) symbols(p []Phone) string {
	var b strings.Builder
	for i, x := range p {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(m.names[x])
	}
	return b.String()
}
