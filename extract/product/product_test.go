package product

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"saywatt/extract/feature"
	"saywatt/schema"
)

// TestKinds walks the rows of kinds.tsv.
func TestKinds(t *testing.T) {
	table, err := schema.ReadTable(tables, "tables/kinds.tsv")
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(table.Columns, " "); got != "kind also heads socket source" {
		t.Fatalf("columns %q", got)
	}
	seen := map[string]bool{}
	for i, r := range table.Rows {
		for _, name := range append(r.List("also"), r.Get("kind")) {
			if seen[name] {
				t.Errorf("kinds.tsv:%d: %q stands twice", r.Line, name)
			}
			seen[name] = true
			if k, ok := Named(name); !ok || k != i {
				t.Errorf("%q is of kind %d, want %d", name, k, i)
			}
		}
		for _, head := range r.List("heads") {
			if !IsHead(head) {
				t.Errorf("%q is no head", head)
			}
		}
		if r.Get("source") == "" || len(r.List("heads")) == 0 {
			t.Errorf("kinds.tsv:%d: no source, or no heads", r.Line)
		}
	}
	if _, ok := Named("toaster"); ok || IsHead("toaster") {
		t.Error("a toaster is a kind")
	}
	if got := Socket("car charger"); got != "car socket" || Socket("charger") != "" {
		t.Errorf("a car charger is fed by %q, a charger by %q", got, Socket("charger"))
	}
}

// TestProbabilities: with weights ln 1, ln 2, … of one feature the kinds are as
// probable as 1, 2, ….
func TestProbabilities(t *testing.T) {
	n := len(Kinds())
	w := make([]float64, n)
	sum := 0.0
	for k := range w {
		w[k] = math.Log(float64(k + 1))
		sum += float64(k + 1)
	}
	m, err := NewModel([]string{"w:x"}, w)
	if err != nil {
		t.Fatal(err)
	}
	for k, p := range m.Probabilities([]int32{0}) {
		if want := float64(k+1) / sum; math.Abs(p-want) > 1e-12 {
			t.Errorf("kind %d has probability %v, want %v", k, p, want)
		}
	}
	for _, p := range m.Probabilities(nil) {
		if math.Abs(p-1/float64(n)) > 1e-12 {
			t.Errorf("without features a kind has probability %v", p)
		}
	}
}

// TestWeights: what is written is read again; lines that are no weights are refused.
func TestWeights(t *testing.T) {
	n := len(Kinds())
	w := make([]float64, 2*n)
	w[1], w[n+2] = 0.5, -1.25
	m, err := NewModel([]string{"w:a", "b:car charger"}, w)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := m.Write(&b, map[string]int{"w:a": 3, "b:car charger": 4}); err != nil {
		t.Fatal(err)
	}
	const want = "feature\tn\tweights\nw:a\t3\tpower_bank:0.5\nb:car charger\t4\tpower_bank_charger:-1.25\n"
	if b.String() != want {
		t.Fatalf("wrote %q", b.String())
	}
	again, err := readModel(b.String())
	if err != nil {
		t.Fatal(err)
	}
	row := again.Index.Row(feature.Of("w:a"))
	if p := again.Probabilities([]int32{row}); math.Abs(p[1]/p[0]-math.Exp(0.5)) > 1e-12 {
		t.Errorf("read again the weights give %v", p)
	}
	for _, bad := range []string{"x\t1\ttoaster:1\n", "x\t1\tcable:much\n", "x\t1\n"} {
		if _, err := readModel(bad); err == nil {
			t.Errorf("%q is read", bad)
		}
	}
}
