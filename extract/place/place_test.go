package place

import (
	"bytes"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract/feature"
	"saywatt/schema"
)

// TestClasses walks the table of classes: names are unique and read back, every
// kind has a class beside None, and None fits all.
func TestClasses(t *testing.T) {
	for c := range Classes() {
		name := Class(c).String()
		if got, ok := ParseClass(name); !ok || got != Class(c) {
			t.Errorf("class %d, %q, reads back as %d, %v", c, name, got, ok)
		}
	}
	for k := schema.KindUnknown; k <= schema.KindOther; k++ {
		all := Allowed(k)
		if len(all) < 2 || all[0] != None {
			t.Errorf("kind %v has the classes %v", k, all)
		}
	}
	for _, c := range []struct {
		class string
		kind  schema.Kind
		fits  bool
	}{
		{"level.output", schema.KindVoltage, true},
		{"level.output", schema.KindCapacitance, false},
		{"size", schema.KindLength, true},
		{"size", schema.KindCurrent, false},
		{"part", schema.KindCapacitance, true},
		{"level.input", schema.KindUnknown, true}, // a number without a unit may be anything
	} {
		class, ok := ParseClass(c.class)
		if !ok || class.Fits(c.kind) != c.fits {
			t.Errorf("%s fits %v: %v, want %v", c.class, c.kind, class.Fits(c.kind), c.fits)
		}
	}
	if _, ok := ParseClass("level"); ok {
		t.Error("level is a class of its own")
	}
}

// drawn draws a small model and a chain.
func drawn(t *rapid.T) (*Model, Example) {
	m, err := NewModel([]string{"one", "two", "three"})
	if err != nil {
		t.Fatal(err)
	}
	for i := range m.weights {
		m.weights[i] = float64((i*2654435761)%41-20) / 20
	}
	scale := rapid.Float64Range(0, 2).Draw(t, "scale")
	for i := range m.weights {
		m.weights[i] *= scale
	}
	m.SetWeights(m.weights)
	var e Example
	for range rapid.IntRange(1, 6).Draw(t, "mentions") {
		o := Observation{Kind: rapid.SampledFrom([]schema.Kind{schema.KindVoltage, schema.KindCurrent,
			schema.KindLength}).Draw(t, "kind"),
			Link: Link(rapid.IntRange(0, int(links)-1).Draw(t, "link"))}
		for f := range 3 {
			if rapid.Bool().Draw(t, "feature") {
				o.Features = append(o.Features, int32(f))
			}
		}
		e.Chain = append(e.Chain, o)
		e.Truth = append(e.Truth, rapid.SampledFrom(Allowed(o.Kind)).Draw(t, "truth"))
	}
	return m, e
}

// TestMarginals: at each mention the probabilities of its classes add up to 1,
// others have none.
func TestMarginals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, e := drawn(t)
		p := m.Infer(e.Chain)
		for i := range e.Chain {
			sum := 0.0
			for c := range Classes() {
				v := p.At(i, Class(c))
				if v < 0 || v > 0 && !Class(c).Fits(e.Chain[i].Kind) {
					t.Fatalf("mention %d is %v with %v", i, Class(c), v)
				}
				sum += v
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Fatalf("probabilities of mention %d add up to %v", i, sum)
			}
		}
	})
}

// TestExhaustive holds the marginals of short chains against the sum over all
// sequences of classes.
func TestExhaustive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, e := drawn(t)
		e.Chain = e.Chain[:min(2, len(e.Chain))]
		p := m.Infer(e.Chain)
		at := func(i int, c Class) float64 {
			s := 0.0
			for _, f := range e.Chain[i].Features {
				s += m.weights[int(f)*m.classes+int(c)]
			}
			return s
		}
		total, first := 0.0, map[Class]float64{}
		for _, a := range Allowed(e.Chain[0].Kind) {
			if len(e.Chain) == 1 {
				first[a] += math.Exp(at(0, a))
				total += math.Exp(at(0, a))
				continue
			}
			for _, b := range Allowed(e.Chain[1].Kind) {
				s := math.Exp(at(0, a) + at(1, b) + m.weights[m.link(e.Chain[1].Link, a, b)] + m.weights[m.pair(a, b)])
				first[a] += s
				total += s
			}
		}
		for c, s := range first {
			if got, want := p.At(0, c), s/total; math.Abs(got-want) > 1e-9 {
				t.Fatalf("the first mention is %v with %v, want %v", c, got, want)
			}
		}
	})
}

// TestGradient holds the gradient of the log likelihood against differences.
func TestGradient(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, e := drawn(t)
		grad := make([]float64, m.Weights())
		m.LogLikelihood(&e, grad)
		at := rapid.IntRange(0, len(grad)-1).Draw(t, "weight")
		const step = 1e-5
		scratch := make([]float64, m.Weights())
		m.weights[at] += step
		m.SetWeights(m.weights)
		up := m.LogLikelihood(&e, scratch)
		m.weights[at] -= 2 * step
		m.SetWeights(m.weights)
		down := m.LogLikelihood(&e, scratch)
		if want := (up - down) / (2 * step); math.Abs(grad[at]-want) > 1e-5 {
			t.Fatalf("gradient %v, want %v", grad[at], want)
		}
	})
}

// TestWrite: a model written and read again has the same weights but for their
// rounding.
func TestWrite(t *testing.T) {
	m, err := NewModel([]string{"one", "two"})
	if err != nil {
		t.Fatal(err)
	}
	m.weights[3] = 1.25
	m.weights[m.link(LinkNear, 2, 4)] = -0.5
	m.weights[m.pair(1, 1)] = 0.01 // below the least
	var b bytes.Buffer
	if err := m.Write(&b, []int{7, 9}, 0.05); err != nil {
		t.Fatal(err)
	}
	n, err := readModel(b.String())
	if err != nil {
		t.Fatal(err)
	}
	at := n.Index.Row(feature.Of("one"))
	if at < 0 || n.weights[int(at)*n.classes+3] != 1.25 || n.weights[n.link(LinkNear, 2, 4)] != -0.5 ||
		n.weights[n.pair(1, 1)] != 0 {
		t.Error("weights are not what was written")
	}
	if n.Index.Row(feature.Of("two")) >= 0 {
		t.Error("a feature without weights was written")
	}
}

func TestReadModelErrors(t *testing.T) {
	for text, want := range map[string]string{
		"one\t3":                 "line 1: 2 columns, want 3",
		"one\t3\tnoclass:1":      "no class with a weight",
		"one\t3\tpart:x":         "no class with a weight",
		"@loose part\t0\tpart:1": "names no link",
		"@near none2\t0\tpart:1": "names no class",
	} {
		if _, err := readModel(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// TestDefault: the tables that the program carries can be read.
func TestDefault(t *testing.T) {
	if c := Ports(); len(c.weights) < 50 {
		t.Errorf("the ports have %d features", len(c.weights))
	}
}

// TestOnly holds the marginals of a chain with a mention that must be of one
// class against those of the chain without, on that condition: P(c, d) of two
// neighbours is P(d) times P(c | d).
func TestOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, e := drawn(t)
		k := rapid.IntRange(0, len(e.Chain)-1).Draw(t, "only")
		free := m.Infer(e.Chain)
		mixed := make([]float64, len(e.Chain)*Classes())
		for _, c := range Allowed(e.Chain[k].Kind) {
			only := slices.Clone(e.Chain)
			only[k].Only = []Class{c}
			p := m.Infer(only)
			if got := p.At(k, c); math.Abs(got-1) > 1e-9 {
				t.Fatalf("mention %d, only %v, is so with %v", k, c, got)
			}
			for i := range only {
				for d := range Classes() {
					mixed[i*Classes()+d] += free.At(k, c) * p.At(i, Class(d))
				}
			}
		}
		for i := range e.Chain {
			for d := range Classes() {
				if want, got := free.At(i, Class(d)), mixed[i*Classes()+d]; math.Abs(want-got) > 1e-9 {
					t.Fatalf("mention %d is %v with %v, and with %v over the classes of mention %d", i, Class(d), want,
						got, k)
				}
			}
		}
	})
}

// TestPacked: the model in the program is the table of weights.
func TestPacked(t *testing.T) {
	text, err := os.ReadFile("tables/weights.tsv")
	if err != nil {
		t.Fatal(err)
	}
	packed, err := Pack(string(text))
	if err != nil {
		t.Fatal(err)
	}
	if string(packed) != weightsTable {
		t.Fatal("weights.packed is not weights.tsv: go run ./internal/placefit -pack extract/place/tables/weights.tsv")
	}
	whole, err := readModel(string(text))
	if err != nil {
		t.Fatal(err)
	}
	m := Default()
	if m.Index.Len() < 1000 || m.Index.Len() != whole.Index.Len() {
		t.Errorf("the model has %d features, the table %d", m.Index.Len(), whole.Index.Len())
	}
	if !slices.Equal(m.steps, whole.steps) || !slices.Equal(m.back, whole.back) {
		t.Error("the transitions of the packed model are others")
	}
	for f, name := range whole.Index.Names {
		row := make([]float64, m.classes)
		at := m.Index.Row(feature.Of(name))
		if at < 0 {
			t.Fatalf("%s is not in the packed model", name)
		}
		m.table.sum([]int32{at}, row)
		if want := whole.weights[f*m.classes : (f+1)*m.classes]; !slices.Equal(row, want) {
			t.Errorf("%s: %v, want %v", name, row, want)
		}
	}
	for _, weight := range []string{"0.371", "400", "-1e-3"} {
		if _, err := Pack("one\t3\tpart:" + weight + "\n"); err == nil {
			t.Errorf("the weight %s was packed", weight)
		}
	}
	for _, n := range []int{0, 3, 100, len(packed) / 2} {
		if _, err := open(string(packed[:n])); err == nil {
			t.Errorf("the first %d bytes were opened", n)
		}
	}
}
