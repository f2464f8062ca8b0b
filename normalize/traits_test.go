package normalize

import (
	"math"
	"testing"

	"saywatt/normalize/channel"
	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// TestTraitsTable walks every row: a known trait, once, seen in readings, with a
// weight that no other evidence has to fear.
func TestTraitsTable(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/traits.tsv").Rows {
		name := r.Get("trait")
		if seen[name] {
			t.Errorf("traits.tsv:%d: %s stands twice", r.Line, name)
		}
		seen[name] = true
		if n := tabletest.Number(t, "traits.tsv", r, "n"); n < 2 {
			t.Errorf("traits.tsv:%d: %s was seen %v times", r.Line, name, n)
		}
		if w := tabletest.Number(t, "traits.tsv", r, "weight"); w == 0 || math.Abs(w) > 8 {
			t.Errorf("traits.tsv:%d: %s weighs %v", r.Line, name, w)
		}
	}
	if len(loadTraits()) != len(TraitNames()) {
		t.Errorf("%d weights of %d traits", len(loadTraits()), len(TraitNames()))
	}
}

// TestTraitNames holds names and rows together: no name twice, and a trait that is
// seen has the row of its name.
func TestTraitNames(t *testing.T) {
	names := TraitNames()
	seen := map[string]bool{}
	for _, n := range names {
		if seen[n] {
			t.Errorf("%q stands twice", n)
		}
		seen[n] = true
	}
	l := traitList{families: loadFamilies()}
	l.add(wayStyle, 1, int(channel.PointLost), 1, 0)
	l.add(kindDigits, 1, int(schema.KindVoltage), 2, 9) // more decimals than are distinguished
	l.add(doubtOdd, 1, 2)
	for i, want := range []string{"way.style.captions point_lost digits punctuated", "kind.digits.decimals voltage 2 3",
		"doubt.odd bare"} {
		if got := names[l.seen[i].row]; got != want {
			t.Errorf("trait %d is %q, want %q", i, got, want)
		}
	}
}

// TestStudyGradient holds the gradients of the fit against differences.
func TestStudyGradient(t *testing.T) {
	d := read(t, "The output is 20 volts at 325 amps, 65 watts. The case is 44 millimeters thick. It weighs 15 "+
		"grams, and 9 volts 3.")
	said := schema.MustQuantity("3.25 A")
	truth := func(start, end int) (*schema.Quantity, bool) {
		return &said, string(d.Transcript.Text[start:end]) == "325 amps" ||
			string(d.Transcript.Text[start:end]) == "15 grams"
	}
	w := make(Traits, loadFamilies().count)
	for i := range w {
		w[i] = 0.05 * float64(i%7-3)
	}
	s := (&Ranker{Traits: w}).Study(d, truth)
	if len(s.Nodes) != 2 || !s.Nodes[0].Known || s.Nodes[1].Known {
		t.Fatalf("studied %+v", s.Nodes)
	}
	for _, f := range []func(w, g []float64) float64{s.LogLikelihood, s.DoubtLikelihood} {
		g := make([]float64, len(w))
		f(w, g)
		moved := 0
		for i := range w {
			if g[i] == 0 {
				continue
			}
			const step = 1e-5
			old := w[i]
			w[i] = old + step
			up := f(w, nil)
			w[i] = old - step
			down := f(w, nil)
			w[i] = old
			if want := (up - down) / (2 * step); math.Abs(want-g[i]) > 1e-4*(1+math.Abs(want)) {
				t.Errorf("%s: gradient %v, difference %v", TraitNames()[i], g[i], want)
			}
			moved++
		}
		if moved == 0 {
			t.Error("no weight matters")
		}
	}
}

// TestInequalityOpensOnly: a factor that speaks for no reading takes from the one
// that the words say, and gives to no other.
func TestInequalityOpensOnly(t *testing.T) {
	e := &engine{scratch: scratch{
		nodes: []node{{from: 0, to: 2, weighed: 2}},
		cands: []candidate{{literal: true, posterior: 0.8}, {posterior: 0.2}},
	}}
	sumOut := func(ratio ...float64) {
		e.resetGraph()
		e.addFactor([maxFactNodes]int32{0}, 1, caseLabel(0),
			func(at *[maxFactNodes]int32) float64 { return ratio[at[0]] })
		e.sumOutBoth()
	}
	sumOut(0.1, 1)
	if p := e.cands[0].posterior; p > 0.5 {
		t.Errorf("the literal reading keeps %v", p)
	}
	if p := e.cands[1].posterior; p > 0.2+1e-9 {
		t.Errorf("the other reading gained: %v", p)
	}
	// an identity repairs
	e.cands[0].posterior, e.cands[1].posterior = 0.8, 0.2
	sumOut(1, 24)
	if p := e.cands[1].posterior; p < 0.8 {
		t.Errorf("an identity gave %v", p)
	}
}

// TestBeyondReasonNeverStands: however often and in whatever words it is said.
func TestBeyondReasonNeverStands(t *testing.T) {
	for _, c := range []struct{ text, heard string }{
		{"The USB C port gives 20 volts 325 amps. Again, 20 volts 325 amps.", "325 amps"},
		{"It is rated 325 amperes. Yes, rated 325 amperes.", "325 amperes"},
		{"The USB C output is 20 volts at 325 amps.", "325 amps"},
	} {
		said, _ := (&Ranker{}).Rank(read(t, c.text))
		n := 0
		for i := range said {
			if said[i].Heard != c.heard {
				continue
			}
			n++
			if said[i].Status == schema.StatusHeard {
				t.Errorf("%q: %s stands as heard at %v", c.text, said[i].Quantity, said[i].Confidence)
			}
		}
		if n == 0 {
			t.Errorf("%q: not said: %v", c.text, said)
		}
	}
	said, _ := (&Ranker{}).Rank(read(t, "The USB C port gives 20 volts 325 amps. Again, 20 volts 325 amps."))
	for i := range said {
		if said[i].Heard == "325 amps" && said[i].Quantity.String() != "3.25 A" {
			t.Errorf("said again: %s %s", said[i].Quantity, said[i].Status)
		}
	}
}
