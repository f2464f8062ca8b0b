package part

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"saywatt/schema"
)

// elements makes elements of a compact notation: words with blanks between, "."
// for the end of a sentence and "/" for that of a line. A noun is its family, a
// rating "voltage=5"; "#X" is a part number, "[X" a package, "@X" a maker, "xN" a
// count.
func elements(text string) []Element {
	var out []Element
	link := LinkTight
	for w := range strings.FieldsSeq(text) {
		e := Element{Link: link, Sure: 4}
		link = LinkTight
		kind, value, rating := strings.Cut(w, "=")
		switch {
		case w == ".":
			link = LinkSentence
			continue
		case w == "/":
			link = LinkPara
			continue
		case rating:
			k, err := schema.ParseKind(kind)
			if err != nil {
				panic(err)
			}
			e.Type, e.Name, e.Detail, e.Value, e.Kinds = Rating, kind, kind, value, 1<<k
		case w[0] == '#':
			e.Type, e.Value = Code, w[1:]
		case w[0] == '[':
			e.Type, e.Value = Package, w[1:]
		case w[0] == '@':
			e.Type, e.Value = Maker, w[1:]
		case w[0] == 'x' && len(w) == 2:
			e.Type, e.Value = Count, w[1:]
		default:
			e.Type, e.Name, e.Detail = Noun, w, w
			e.Kinds = 1<<schema.KindVoltage | 1<<schema.KindCurrent
			switch w {
			case "capacitor":
				e.Kinds = 1<<schema.KindVoltage | 1<<schema.KindCapacitance
			case "inductor":
				e.Kinds = 1<<schema.KindInductance | 1<<schema.KindCurrent
			}
		}
		out = append(out, e)
	}
	return out
}

// TestGroups holds how elements are grouped; "|" divides the groups.
func TestGroups(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"noun first", "fuse current=2 voltage=250 | varistor voltage=470 | capacitor capacitance=1 voltage=275"},
		{"sentences", "fuse current=2 voltage=250 | . varistor voltage=470 | . capacitor capacitance=1 voltage=275"},
		{"lines", "fuse current=2 voltage=250 | / varistor voltage=470 | / capacitor capacitance=1"},
		{"names", "rectifier @Dromm #DB408 voltage=800 current=4 | . capacitor capacitance=1 voltage=275"},
		{"a part number begins what no noun names", "fuse current=2 voltage=250 | . @Dromm #DB408 voltage=800 current=4"},
		{"a second number is another part's", "rectifier #DB408 voltage=800 | . rectifier #DB410 voltage=800"},
		{"an inductance is no capacitor's", "capacitor capacitance=1 voltage=275 | . inductor inductance=5"},
		{"nothing", ""},
	} {
		var clean []string
		for w := range strings.FieldsSeq(c.want) {
			if w != "|" {
				clean = append(clean, w)
			}
		}
		e := elements(strings.Join(clean, " "))
		ends := map[int]bool{}
		n := 0
		for w := range strings.FieldsSeq(c.want) {
			switch w {
			case "|":
				ends[n] = true
			case ".", "/":
			default:
				n++
			}
		}
		next := 0
		for _, g := range Default().Groups(e) {
			if g.First != next || g.Last <= g.First {
				t.Errorf("%s: group %v behind element %d", c.name, g, next)
			}
			next = g.Last
			if next < len(e) && !ends[next] {
				t.Errorf("%s: a group ends before element %d of %q", c.name, next, c.want)
			}
			for k := g.First + 1; k < g.Last; k++ {
				if ends[k] {
					t.Errorf("%s: no group ends before element %d of %q", c.name, k, c.want)
				}
			}
		}
		if next != len(e) {
			t.Errorf("%s: %d of %d elements grouped", c.name, next, len(e))
		}
	}
}

// TestGradient compares the gradient of the likelihood with differences.
func TestGradient(t *testing.T) {
	e := elements("fuse current=2 voltage=250 . varistor voltage=470 capacitor capacitance=1 . #X1 voltage=5")
	sets := make([]Set, len(e))
	for i := range sets {
		sets[i].Add(min(i/3, 2))
		if e[i].Type == Noun {
			sets[i].Add(3 + i)
		}
	}
	rows := map[string]int32{}
	var names []string
	example := NewExample(e, sets, func(name string) int32 {
		i, ok := rows[name]
		if !ok {
			i = int32(len(names))
			rows[name], names = i, append(names, name)
		}
		return i
	})
	if !example.Possible() {
		t.Fatal("no division is possible")
	}
	m, err := NewModel(names)
	if err != nil {
		t.Fatal(err)
	}
	w := make([]float64, m.Weights())
	for i := range w {
		w[i] = math.Sin(float64(i)) / 4
	}
	m.SetWeights(w)
	grad := make([]float64, len(w))
	m.LogLikelihood(example, grad)
	const h = 1e-5
	for i := 0; i < len(w); i += 7 {
		old := w[i]
		w[i] = old + h
		up := m.LogLikelihood(example, make([]float64, len(w)))
		w[i] = old - h
		down := m.LogLikelihood(example, make([]float64, len(w)))
		w[i] = old
		if d := (up - down) / (2 * h); math.Abs(d-grad[i]) > 1e-6 {
			t.Errorf("weight %d: gradient %v, difference %v", i, grad[i], d)
		}
	}
}

// TestModelTable reads the table of weights back as it was written, and names
// the line of what it cannot read.
func TestModelTable(t *testing.T) {
	m := Default()
	var b bytes.Buffer
	if err := m.Write(&b, make([]int, len(m.index.Names))); err != nil {
		t.Fatal(err)
	}
	again, err := readModel(b.String())
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range m.weights {
		if again.weights[i] != w {
			t.Fatalf("weight %d is %v, was %v", i, again.weights[i], w)
		}
	}
	for _, c := range []struct{ table, want string }{
		{"a\t1\n", "line 1: 2 columns, want 3"},
		{"a\t1\t0.5\nb\t1\tx\n", `line 2: strconv.ParseFloat: parsing "x": invalid syntax`},
		{"a\t1\t0.5\na\t1\t0.5\n", `features "a" and "a" have one hash`},
	} {
		if _, err := readModel(c.table); err == nil || err.Error() != c.want {
			t.Errorf("%q: error %v, want %s", c.table, err, c.want)
		}
	}
}

// TestPriors holds that every row of the table of priors names a feature that
// the fit has seen or may see, with a finite mean.
func TestPriors(t *testing.T) {
	for name, mean := range Priors() {
		if math.IsNaN(mean) || math.IsInf(mean, 0) || mean == 0 {
			t.Errorf("%s: mean %v", name, mean)
		}
	}
}

// FuzzReadModel holds that a table of weights is read or refused with an error.
func FuzzReadModel(f *testing.F) {
	f.Add("feature\tn\tweight\nlink:tight\t3\t-0.5\n@tight first none\t0\t0.25\n")
	f.Add("a\t1\n")
	f.Fuzz(func(t *testing.T, table string) {
		m, err := readModel(table)
		if (m == nil) != (err != nil) {
			t.Errorf("model %v, error %v", m, err)
		}
	})
}
