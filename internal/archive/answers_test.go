package archive

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/schema"
)

var update = flag.Bool("update", false, "write the goldens anew")

// golden holds an answer against its file, which somebody read.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("%s (-want +got):\n%s", name, d)
	}
}

// pair is an archive of two small invented chargers, said in other units.
func pair(t *testing.T) *Archive {
	t.Helper()
	a := empty(t)
	w := begin(t, a)
	for i, p := range []struct{ name, maker, mass, volume, power, amps, part, energy string }{
		{"Tarn 65", "Fellwright", "130 g", "100 cm3", "65 W", "3.25 A", "CZ4412", "37 W.h"},
		{"Esk 30", "Moorgate", "0.052 kg", "40 mL", "30 W", "1500 mA", "CZ4412", "18.5 W.h"},
	} {
		g := &generator{r: &schema.Record{Version: schema.RecordVersion}}
		say := func(q, words string, status schema.Status) schema.Value {
			n := len(g.r.Quantities) + 1
			at := schema.Seconds(n * 10_000)
			s := schema.Said{Number: n, At: &at, Media: "#t=" + at.String() + "," + (at + 3000).String(),
				Span: schema.Span{Start: n * 10, End: n*10 + len(words)}, Heard: words,
				Context: "so " + words + " here",
				Kind:    schema.MustQuantity(q).Unit.Kind(), Quantity: schema.MustQuantity(q), Place: "notes[0]",
				Status: status, Confidence: 0.97,
				Readings: []schema.Reading{{Quantity: schema.MustQuantity(q), Confidence: 0.97}}, Why: []string{}}
			g.r.Quantities = append(g.r.Quantities, s)
			g.r.Counts.Count(&s, 1)
			return schema.Value{Quantity: s.Quantity, Basis: schema.BasisLabel, Status: status, Confidence: 0.97,
				Said: []int{n}}
		}
		ptr := func(v schema.Value) *schema.Value { return &v }
		r := g.r
		r.Source = schema.Source{File: []string{"tarn.vtt", "esk.vtt"}[i],
			SHA256: strings.Repeat([]string{"a", "b"}[i], 64), Format: "vtt"}
		r.Product = schema.Product{Kind: "charger", Name: p.name, Maker: p.maker}
		r.Body.Mass, r.Body.Volume = ptr(say(p.mass, "a mass", schema.StatusHeard)),
			ptr(say(p.volume, "a volume", schema.StatusHeard))
		r.Claims = []schema.Claim{{Property: "power", Mode: "output", Port: "USB-C",
			Value: say(p.power, "the power", schema.StatusHeard)}}
		r.Levels = []schema.Level{
			{Mode: "output", Port: "USB-C", Protocol: "PD", Voltage: say("20 V", "20 volts", schema.StatusHeard), Current: ptr(say(p.amps, "325 amps", schema.StatusRepaired))},
			{Mode: "output", Port: "USB-C", Protocol: "PPS", Voltage: say("3.3..11 V", "3.3 to 11 volts", schema.StatusHeard), Current: ptr(say("3 A", "3 amps", schema.StatusOpen))},
		}
		r.Battery = &schema.Battery{Cell: schema.Cell{Format: "21700", Count: 2 - i},
			Pack: schema.Pack{Energy: ptr(say(p.energy, "what hours", schema.StatusHeard))}}
		r.Components = []schema.Component{
			{Board: "main", Kind: "fuse", Ratings: []schema.Rating{{Property: "current", Value: say("2 A", "2 amps", schema.StatusHeard)}}, Status: schema.StatusHeard},
			{Board: "main", Kind: "protocol controller", Maker: "=Castrivel", Part: p.part, Status: schema.StatusHeard},
		}
		r.Measurements = []schema.Measurement{{Property: "efficiency",
			Value:     say([]string{"92.3 %", "90 %"}[i], "percent", schema.StatusHeard),
			Condition: &schema.Condition{Mains: ptr(say("230 V", "230 volts", schema.StatusHeard))}}}
		if _, err := w.Add(r.Source.File, r, "Ada", day, false); err != nil {
			t.Fatal(err)
		}
	}
	finish(t, w)
	return a
}

func TestCompare(t *testing.T) {
	a := pair(t)
	c, err := a.Compare("tarn", "esk")
	if err != nil {
		t.Fatal(err)
	}
	row := func(label string) *Row {
		for i := range c.Rows {
			if c.Rows[i].Label == label {
				return &c.Rows[i]
			}
		}
		t.Fatalf("no row %q", label)
		return nil
	}
	for _, x := range []struct {
		label, first, second, ratio string
		differs                     bool
	}{
		{"mass", "130 g", "52 g", "×0.4", true},
		{"volume", "100 cm³", "40 cm³", "×0.4", true},
		{"USB-C output power", "65 W", "30 W", "×0.462", true}, // 30/65
		{"output 20 V", "3.25 A", "1.5 A", "×0.462", true},
		{"output PPS 3.3–11 V", "3 A", "3 A", "", false},
		{"highest output power per mass", "0.5 W/g", "0.577 W/g", "×1.15", true},       // 65/130, 30/52
		{"highest output power per volume", "0.65 W/cm³", "0.75 W/cm³", "×1.15", true}, // 65/100, 30/40
		{"pack energy per mass", "285 Wh/kg", "356 Wh/kg", "×1.25", true},              // 37/0.130, 18.5/0.052
		{"fuse", "2 A", "2 A", "", false},
		{"efficiency (230 V mains)", "92.3 %", "90 %", "×0.975", true},
		{"kind", "charger", "charger", "", false},
		{"cell format", "21700", "21700", "", false},
	} {
		r := row(x.label)
		if r.Cells[0].Text != x.first || r.Cells[1].Text != x.second || r.Cells[1].Ratio != x.ratio ||
			r.Differs != x.differs {
			t.Errorf("%s: %q and %q %s, differs %v; want %+v", x.label, r.Cells[0].Text, r.Cells[1].Text,
				r.Cells[1].Ratio, r.Differs, x)
		}
	}
	if !slices.IsSortedFunc(c.Rows, func(a, b Row) int {
		return map[bool]int{true: 0, false: 1}[a.Differs] - map[bool]int{true: 0, false: 1}[b.Differs]
	}) {
		t.Error("differences are not first")
	}
	if !slices.Equal(c.Common, []string{"CZ4412"}) {
		t.Errorf("parts in common: %v", c.Common)
	}
	var text, table, page bytes.Buffer
	if err := (Look{}).WriteComparison(&text, c); err != nil {
		t.Fatal(err)
	}
	if err := WriteComparisonCSV(&table, c); err != nil {
		t.Fatal(err)
	}
	if err := WriteComparisonHTML(&page, c); err != nil {
		t.Fatal(err)
	}
	golden(t, "compare.txt", text.Bytes())
	golden(t, "compare.csv", table.Bytes())
	golden(t, "compare.html", page.Bytes())
	lines, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(lines) != len(c.Rows)+1 || len(lines[0]) != 13 {
		t.Errorf("CSV: %d lines, %v", len(lines), err)
	}
	for _, l := range lines {
		for _, cell := range l {
			if strings.HasPrefix(cell, "=") {
				t.Errorf("a cell is a formula: %q", cell)
			}
		}
	}
	if _, err := a.Compare("tarn", "eks"); err == nil || !strings.Contains(err.Error(), "did you mean esk?") {
		t.Errorf("a name mistyped: %v", err)
	}
}

func TestResultsAreWritten(t *testing.T) {
	a := pair(t)
	r := search(t, a, Request{Query: `level:"20 V" or fuse 2A or protocol:pps`, Facets: true})
	for name, look := range map[string]Look{"results.txt": {}, "results.ascii.txt": {ASCII: true},
		"results.color.txt": {Color: true, Link: "https://example.org/{file}?t={s}"}} {
		var b bytes.Buffer
		if err := look.WriteResults(&b, r); err != nil {
			t.Fatal(err)
		}
		golden(t, name, b.Bytes())
		if look.ASCII && strings.ContainsFunc(b.String(), func(r rune) bool { return r > 0x7e }) {
			t.Errorf("%s: beyond ASCII", name)
		}
	}
	var b bytes.Buffer
	if err := (Look{}).WriteResultsJSON(&b, r); err != nil {
		t.Fatal(err)
	}
	golden(t, "results.json", b.Bytes())
	var again any
	if err := json.Unmarshal(b.Bytes(), &again); err != nil {
		t.Error(err)
	}
}

func TestWaiting(t *testing.T) {
	a := pair(t)
	list, total, damages, err := a.Waiting("", 0)
	if err != nil || total != 2 || len(list) != 2 || len(damages) > 0 {
		t.Fatalf("%d of %d, %v, %v", len(list), total, damages, err)
	}
	var b bytes.Buffer
	if err := (Look{}).WriteWaiting(&b, list, total); err != nil {
		t.Fatal(err)
	}
	golden(t, "waiting.txt", b.Bytes())
	b.Reset()
	if err := (Look{}).WriteWaitingJSON(&b, list); err != nil {
		t.Fatal(err)
	}
	golden(t, "waiting.jsonl", b.Bytes())
	if list, total, _, _ := a.Waiting("maker:Moorgate", 0); total != 1 || list[0].Review.Name != "esk" {
		t.Errorf("narrowed: %d, %v", total, list)
	}
	if list, total, _, _ := a.Waiting("", 1); total != 2 || len(list) != 1 {
		t.Errorf("limited: %d of %d", len(list), total)
	}
	if _, total, _, _ := filled(t, 6).Waiting("", 0); total == 0 {
		t.Error("nothing waits in six generated reviews")
	}
}

// Numbers worked by hand: values 1 to 9 and one far off.
func TestStats(t *testing.T) {
	a := empty(t)
	w := begin(t, a)
	for i, q := range []string{"101 g", "102 g", "103 g", "104 g", "105 g", "106 g", "107 g", "108 g", "0.109 kg",
		"150 g", "104 g"} {
		r := generated(i)
		v := schema.Value{Quantity: schema.MustQuantity(q), Basis: schema.BasisMeasured, Status: schema.StatusHeard,
			Confidence: 1, Said: []int{4}}
		r.Body.Mass = &v
		r.Cable = nil
		if _, err := w.Add(r.Source.File, r, "Ada", day, false); err != nil {
			t.Fatal(err)
		}
	}
	finish(t, w)
	d, err := a.Stats("body mass", "")
	if err != nil {
		t.Fatal(err)
	}
	// Sorted: 101 102 103 104 104 105 106 107 108 109 150; median 105; off by
	// 4 3 2 1 1 0 1 2 3 4 45, their median 2; 2 × 1.4826 = 2.9652.
	if d.Values != 11 || d.Reviews != 11 || d.Median != 105 || d.Least != 101 || d.Most != 150 ||
		math.Abs(d.Spread-2.9652) > 1e-9 || d.Unit != "g" {
		t.Errorf("%+v", d)
	}
	if len(d.Outliers) != 1 || d.Outliers[0].Review.Name != "review-000009" ||
		math.Abs(d.Outliers[0].Z-45/2.9652) > 1e-9 || d.Outliers[0].Value.String() != "150 g" {
		t.Errorf("outliers %+v", d.Outliers)
	}
	total := 0
	for _, b := range d.Bins {
		total += b.N
	}
	if total != 11 || d.Bins[0].Low != 100 || d.Bins[len(d.Bins)-1].High != 150 {
		t.Errorf("bins %+v", d.Bins)
	}
	var text, pic, js bytes.Buffer
	if err := (Look{}).WriteDistribution(&text, d); err != nil {
		t.Fatal(err)
	}
	if err := WriteDistributionSVG(&pic, d); err != nil {
		t.Fatal(err)
	}
	if err := (Look{}).WriteDistributionJSON(&js, d); err != nil {
		t.Fatal(err)
	}
	golden(t, "stats.txt", text.Bytes())
	golden(t, "stats.svg", pic.Bytes())
	golden(t, "stats.json", js.Bytes())
	for x := xml.NewDecoder(&pic); ; {
		if _, err := x.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatalf("SVG: %v", err)
		}
	}
	if d, err := a.Stats("efficiency", "review:review-000001"); err != nil || d.Reviews != 1 {
		t.Errorf("narrowed: %+v, %v", d, err)
	}
	if _, err := a.Stats("eficiency", ""); err == nil || !strings.Contains(err.Error(), "did you mean efficiency?") {
		t.Errorf("a subject mistyped: %v", err)
	}
	if d, err := a.Stats("pieces", ""); err != nil || d.Unit != "" || d.Least != 1 || d.Most != 2 {
		t.Errorf("what is counted without a unit: %+v, %v", d, err)
	}
	if d, err := a.Stats("fuse current", ""); err != nil || d.Values == 0 {
		t.Errorf("fuse current: %+v, %v", d, err)
	}
}

// A capacity said in watt hours does not meet one said in ampere hours, though
// their numbers in joules and coulombs are the same.
func TestKindsOfAPropertyAreKeptApart(t *testing.T) {
	a := empty(t)
	w := begin(t, a)
	for i, q := range []string{"5 W.h", "5000 mA.h"} { // 18000 J, 18000 C
		r := generated(i)
		v := schema.Value{Quantity: schema.MustQuantity(q), Basis: schema.BasisClaimed, Status: schema.StatusHeard,
			Confidence: 1, Said: []int{1}}
		r.Battery = &schema.Battery{Pack: schema.Pack{Capacity: &v}}
		if _, err := w.Add(r.Source.File, r, "Ada", day, false); err != nil {
			t.Fatal(err)
		}
	}
	finish(t, w)
	for query, want := range map[string]string{"pack capacity 5 Wh": "review-000000",
		"pack capacity 5 Ah": "review-000001"} {
		if got := names(search(t, a, Request{Query: query})); len(got) != 1 || got[0] != want {
			t.Errorf("%s finds %v, want %s", query, got, want)
		}
	}
}

// A name that no line holds is broken where it is joined, and a level of which no
// current was said, or a part of which nothing was, says so.
func TestCellsOfComparisons(t *testing.T) {
	for _, c := range []struct {
		text string
		n    int
		want []string
	}{
		{"clean-digits-02-gan-65w-chat", 18, []string{"clean-digits-02-", "gan-65w-chat"}},
		{"a/veryverylongname", 8, []string{"a/veryve", "rylongna", "me"}},
		{"short enough", 12, []string{"short enough"}},
	} {
		if got := fill(c.text, c.n); !slices.Equal(got, c.want) {
			t.Errorf("%q in %d: %q, want %q", c.text, c.n, got, c.want)
		}
	}
	r := &schema.Record{Levels: []schema.Level{{Mode: "output",
		Voltage: schema.Value{Quantity: schema.MustQuantity("12 V"), Status: schema.StatusHeard}}},
		Components: []schema.Component{{Kind: "fuse", Status: schema.StatusHeard}}}
	a := &aligner{n: 1, rows: map[string]*Row{}}
	a.record(0, r)
	for label, want := range map[string]string{"output 12 V": "current not stated", "fuse": "seen, nothing more said"} {
		i := slices.IndexFunc(a.keys, func(key string) bool { return a.rows[key].Label == label })
		if i < 0 || a.rows[a.keys[i]].Cells[0].Text != want {
			t.Errorf("%s: no cell %q among %q", label, want, a.keys)
		}
	}
}

// The edges of bars are round numbers around all values.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		least, most float64
		n           int // 0 for those of decades
		want        string
	}{
		{4.5, 188.4, 5, "[0 50 100 150 200]"},
		{0.0121, 0.0149, 5, "[0.012 0.013 0.014 0.015]"},
		{-3, 2, 5, "[-3 -2 -1 0 1 2]"},
		{9, 9.9, 6, "[9 9.2 9.4 9.6 9.8 10]"},
		{4.5, 188.4, 0, "[2 5 10 20 50 100 200]"},
		{5, 100, 0, "[5 10 20 50 100]"},
		{0.03, 3, 0, "[0.02 0.05 0.1 0.2 0.5 1 2 5]"},
		{1e-6, 3e3, 0, "[1e-06 1e-05 0.0001 0.001 0.01 0.1 1 10 100 1000 10000]"},
	} {
		edges := decadeEdges(c.least, c.most)
		if c.n > 0 {
			edges = evenEdges(c.least, c.most, c.n)
		}
		if got := fmt.Sprint(edges); got != c.want {
			t.Errorf("%g to %g: %s, want %s", c.least, c.most, got, c.want)
		}
	}
}
