package archive

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saywatt/schema"
)

// pair is an archive of two small invented chargers, said in other units: the
// records in testdata/pair.
func pair(t *testing.T) *Archive {
	t.Helper()
	return stored(t, "pair/tarn", "pair/esk")
}

// stored is an archive of records in testdata.
func stored(t *testing.T, names ...string) *Archive {
	t.Helper()
	a := empty(t)
	w := begin(t, a)
	for _, name := range names {
		f, err := os.Open(filepath.Join("testdata", name+".json"))
		if err != nil {
			t.Fatal(err)
		}
		r, err := schema.ReadRecord(f)
		if err != nil {
			t.Fatal(err)
		}
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
	if _, err := a.Compare("tarn", "eks"); err == nil || !strings.Contains(err.Error(), "did you mean esk?") {
		t.Errorf("a name mistyped: %v", err)
	}
}

func TestWaiting(t *testing.T) {
	a := pair(t)
	list, total, damages, err := a.Waiting("", 0)
	if err != nil || total != 2 || len(list) != 2 || len(damages) > 0 {
		t.Fatalf("%d of %d, %v, %v", len(list), total, damages, err)
	}
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
	a := archiveOfMasses(t)
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
	checkStatsAsked(t, a)
}

// archiveOfMasses is an archive of 11 products with a mass each, one of them far off.
func archiveOfMasses(t *testing.T) *Archive {
	t.Helper()
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
	return a
}

// checkStatsAsked asks for figures of other subjects, and of one mistyped.
func checkStatsAsked(t *testing.T, a *Archive) {
	t.Helper()
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
