package sound

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// TestEnglish: the words of english.tsv are sorted, are none that said.tsv has or that
// the rules would say so, and are found with phones that there are.
func TestEnglish(t *testing.T) {
	m := Default()
	last := ""
	n := 0
	for line := range strings.Lines(english()) {
		word, phones, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
		if !ok || word <= last {
			t.Fatalf("%q behind %q", line, last)
		}
		last = word
		n++
		if m.said[word] != nil {
			t.Errorf("%q is in said.tsv", word)
		}
		if got := m.symbols(m.Say(nil, []byte(strings.ToUpper(word)))); got != phones {
			t.Errorf("%q: said %s, want %s", word, got, phones)
		}
	}
	if n < 20_000 {
		t.Errorf("%d words", n)
	}
	if p := m.sayEnglish(nil, []byte("zzzz")); p != nil {
		t.Errorf("zzzz: %v", p)
	}
}

// testForms are a few number words and units.
func testForms(m *Model) []Form {
	var forms []Form
	for words, turn := range map[string]Turn{"two": TurnDigit, "three": TurnDigit, "nine": TurnDigit,
		"twelve": TurnTeen, "twenty": TurnTens, "hundred": TurnHundred, "point": TurnPoint, "amps": TurnUnit,
		"volts": TurnUnit, "watts": TurnUnit, "milli-amp-hours": TurnUnit} {
		var p []Phone
		for w := range strings.SplitSeq(words, "-") {
			p = m.Say(p, []byte(w))
		}
		forms = append(forms, Form{words, p, turn})
	}
	slices.SortFunc(forms, func(a, b Form) int { return strings.Compare(a.Words, b.Words) })
	return forms
}

// shownWords are the words of a text: numbers and units that are forms, and others of
// one share.
func shownWords(m *Model, forms []Form, text string) []ShownWord {
	var out []ShownWord
	for w := range strings.FieldsSeq(text) {
		s := ShownWord{Phones: m.Say(nil, []byte(w)), Own: float32(-math.Log(m.Share([]byte(w), Anywhere))), Form: -1}
		if f := slices.IndexFunc(forms, func(f Form) bool { return f.Words == w }); f >= 0 {
			s.Form, s.Turn, s.Closed = f, forms[f].Turn, true
		}
		out = append(out, s)
	}
	return out
}

// TestSpeech: what was said is found where words are cut anew, words that stand for
// themselves are left.
func TestSpeech(t *testing.T) {
	m := Default()
	forms := testForms(m)
	s, err := m.NewSpeech(forms)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ shown, want string }{
		{"three camps and twelve volts", "1-2 amps"},
		{"it gave twelve votes and no more", "3-4 volts"},
		{"nine hundred million powers in it", "2-4 milli-amp-hours"},
		{"twelve volts three amps twenty watts", ""},
		{"we went home and the folks were kind", ""},
		{"", ""},
	} {
		var r Room
		var got []string
		for _, cut := range s.Decode(nil, &r, shownWords(m, forms, c.shown), TurnOther, TurnOther) {
			if cut.Gain < s.Least(&cut) {
				continue
			}
			line := fmt.Sprintf("%d-%d", cut.First, cut.Last)
			for i := range cut.Said {
				line += " " + forms[cut.Said[i].Form].Words
			}
			got = append(got, line)
		}
		if g := strings.Join(got, ", "); g != c.want {
			t.Errorf("%q: heard anew %q, want %q", c.shown, g, c.want)
		}
	}
}

// TestSpeechBounds: each bound of the search is as its row of weights.tsv has it: one more
// or less fails.
func TestSpeechBounds(t *testing.T) {
	m := Default()
	forms := testForms(m)
	s, err := m.NewSpeech(forms)
	if err != nil {
		t.Fatal(err)
	}
	r := &Room{phones: make([]Phone, 90), starts: []int{0, 40, 90}}
	if end := s.window(r, make([]ShownWord, 2), 3, 0); end != 29 {
		t.Errorf("speech_window: forms are looked for up to phone %d from 3, want 29", end)
	}
	for p, want := range map[int]bool{40: true, 41: true, 42: false, 88: false, 89: true} {
		if got := s.mayStart(r, p, 1); got != want {
			t.Errorf("speech_starts: a form may start at phone %d of 40 to 90: %t", p, got)
		}
	}
	first := int32(0)
	for _, node := range s.tree {
		if node.depth == 1 {
			first = max(first, node.most)
		}
	}
	if first != finely(1.2) {
		t.Errorf("speech_slack: the first phone may be %d away, want %d", first, finely(1.2))
	}
	var rows [2][speechRoom + 2]float32
	for j := range rows[1] {
		rows[1][j] = -1
	}
	step(s.band, &rows[0], &rows[1], 10, make([]float32, speechRoom), 1, make([]float32, speechRoom))
	row := &rows[1]
	if row[5] != -1 || row[6] != 0 || row[14] != 0 || row[15] != far {
		t.Errorf("speech_band: row 10 is worked out otherwise than from 6 to 14: %v", rows[1])
	}
	if s.short != 2 {
		t.Errorf("speech_shortest: %d", s.short)
	}
	if _, err := (&Model{weights: map[string]float32{"speech_window": 27}}).NewSpeech(forms); err == nil ||
		err.Error() != "weights.tsv: speech_window 27, the most is 26" {
		t.Errorf("speech_window 27: %v", err)
	}
}

// TestPropertyBand: rows of whole numbers, written out, are those of step.
func TestPropertyBand(t *testing.T) {
	cost := rapid.Int32Range(0, 150_000)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, speechRoom).Draw(t, "heard")
		lose := rapid.SliceOfN(cost, n, n).Draw(t, "lose")
		var slow [2][speechRoom + 2]float32
		var fast [2]bandRow
		var padded [speechBand + speechRoom + maxForm + bandRoom]int32
		losing := make([]float32, n)
		for j := range fast[0] {
			fast[0][j] = far
		}
		fast[0][speechBand] = 0
		for j, c := range lose {
			losing[j], padded[speechBand+j] = float32(c), c
			slow[0][j+1] = far
			if j < speechBand {
				slow[0][j+1] = slow[0][j] + float32(c)
				fast[0][speechBand+j+1] = int32(slow[0][j+1])
			}
		}
		padded[speechBand+n] = far
		depth := rapid.IntRange(1, 20).Draw(t, "phones")
		for d := 1; d <= depth; d++ {
			swap := rapid.SliceOfN(cost, n, n).Draw(t, "swap")
			own := cost.Draw(t, "cost")
			var wide [speechBand + speechRoom + maxForm + bandRoom]int32
			swapping := make([]float32, n)
			for j, c := range swap {
				swapping[j], wide[speechBand+j] = float32(c), c
			}
			wide[speechBand+n] = far
			step(speechBand, &slow[(d-1)%2], &slow[d%2], d, swapping, float32(own), losing)
			row := &fast[d%2]
			least := row.step(&fast[(d-1)%2], (*[bandWidth]int32)(wide[d-1:]), own, (*[bandWidth]int32)(padded[d-1:]))
			want := int32(far)
			for j := max(0, d-speechBand); j <= min(n, d+speechBand); j++ {
				if got, w := row[speechBand+j-d], int32(slow[d%2][j]); got != w && w < far {
					t.Fatalf("%d phones of a form, %d heard: %d, want %d", d, j, got, w)
				}
				want = min(want, row[speechBand+j-d])
			}
			if least != want && want < far {
				t.Fatalf("%d phones of a form: the least is %d, want %d", d, least, want)
			}
		}
	})
}

// TestByEar: few units heard anew, or few of many, are no text written by ear.
func TestByEar(t *testing.T) {
	s, err := Default().NewSpeech(testForms(Default()))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		anew, units int
		want        bool
	}{{0, 0, false}, {3, 0, false}, {4, 0, true}, {4, 24, true}, {4, 25, false}, {40, 100, true}, {10, 100, false}} {
		if got := s.ByEar(c.anew, c.units); got != c.want {
			t.Errorf("%d anew beside %d units: %v", c.anew, c.units, got)
		}
	}
}

// TestSpeechTables: every row of turns.tsv and spoken.tsv counts something, and has a
// source.
func TestSpeechTables(t *testing.T) {
	for name, columns := range map[string][]string{"turns": {"from", "to"}, "spoken": {"form"}} {
		table, err := schema.ReadTable(tables, "tables/"+name+".tsv")
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for _, r := range table.Rows {
			key := ""
			for _, c := range columns {
				key += r.Get(c) + " "
			}
			if seen[key] || r.Get("source") == "" || r.Get("n") == "0" {
				t.Errorf("%s.tsv:%d: %q", name, r.Line, key)
			}
			seen[key] = true
		}
	}
}

// TestPropertySpeech: stretches are in order and within the words, their parts follow
// one another, no closed word is in them, and the gain is what the costs say: never
// less than nothing for the whole row.
func TestPropertySpeech(t *testing.T) {
	m := Default()
	forms := testForms(m)
	s, err := m.NewSpeech(forms)
	if err != nil {
		t.Fatal(err)
	}
	vocabulary := strings.Fields("amp smiling votes camps to him best went you folks twenty three volts point " +
		"million powers a the and strengths o hundred watson")
	var r Room
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(vocabulary), 0, 40).Draw(t, "words"), " ")
		words := shownWords(m, forms, text)
		sum, at := float32(0), 0
		for _, c := range s.Decode(nil, &r, words, TurnOther, TurnOther) {
			if c.First < at || c.Last <= c.First || c.Last > len(words) {
				t.Fatalf("%q: words %d to %d behind %d", text, c.First, c.Last, at)
			}
			at = c.Last
			sum += c.Gain
			phone := c.Said[0].From
			for i := range c.Said {
				w := &c.Said[i]
				if w.From != phone || w.To <= w.From || w.Apart < 0 || w.Kept {
					t.Fatalf("%q: %+v from phone %d", text, *w, phone)
				}
				phone = w.To
			}
			for k := c.First; k < c.Last; k++ {
				if words[k].Closed {
					t.Fatalf("%q: word %d is heard as another", text, k)
				}
			}
		}
		if sum < -1 { // stretches beside one another count what is between them twice
			t.Fatalf("%q: gains are %v", text, sum)
		}
	})
}
