package standard

import (
	"cmp"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"saywatt/schema"
)

// TestAWGTable holds every row against ASTM B258, diameter = 0.127 mm ×
// 92^((36−n)/39), and annealed copper of 1/58 Ω·mm²/m at 20 °C, as the data of
// GNU units have both (IACS, IEC 60028): the published rows (R29) agree within their rounding, 1 %.
// W65 to W68 are rows of it.
func TestAWGTable(t *testing.T) {
	resistance := map[int]schema.Decimal{}
	for _, r := range WireGauges().Rows {
		n, err := strconv.Atoi(r.Get("awg"))
		if err != nil {
			t.Fatal(err)
		}
		d := 0.127 * math.Pow(92, float64(36-n)/39)
		area := math.Pi * d * d / 4
		for column, want := range map[string]float64{"diameter_mm": d, "area_mm2": area,
			"ohm_per_km": 1000.0 / 58 / area} {
			got := schema.MustDecimal(r.Get(column)).Float64()
			if math.Abs(got/want-1) > 0.012 {
				t.Errorf("awg.tsv:%d: AWG %d %s = %g, formula %g", r.Line, n, column, got, want)
			}
		}
		resistance[n] = schema.MustDecimal(r.Get("ohm_per_km"))
	}
	if len(resistance) != 31 {
		t.Errorf("%d gauges, want AWG 10 to 40", len(resistance))
	}
	// W65 to W68, in Ω per 1000 ft as the published table prints them
	for n, perKft := range map[int]string{20: "10.15", 22: "16.14", 24: "25.67", 28: "64.9"} {
		km, err := schema.Unit("Ohm/[ft_i]").Convert(schema.MustDecimal(perKft).Shift(-3), "Ohm/km")
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(resistance[n].Float64()/km.Float64()-1) > 0.003 {
			t.Errorf("AWG %d: %s Ω/km, published %s Ω/kft is %s Ω/km", n, resistance[n], perKft, km)
		}
	}
}

// TestFuseCurrents reproduces the rated currents of IEC 60127 as the handbook
// lists them (4.5, from memory). They are R10 of ISO 3 (handbook 4.2, from
// memory), in their own rounding below 0.1 A.
func TestFuseCurrents(t *testing.T) {
	want := "0.032 0.04 0.05 0.063 0.08 0.1 0.125 0.16 0.2 0.25 0.315 0.4 0.5 0.63 0.8 1 1.25 1.6 2 2.5 3.15 4 5 6.3 " +
		"8 10 12.5 16 20"
	var got []string
	for _, r := range FuseCurrents().Rows {
		if r.Get("list") != "iec" {
			continue
		}
		f := schema.MustDecimal(r.Get("current"))
		exact := 0.0316228 * math.Pow(10, float64(len(got))/10) // R10: 10^(i/10), from 10^-1.5
		got = append(got, f.String())
		if math.Abs(f.Float64()/exact-1) > 0.015 {
			t.Errorf("%s A is not the R10 step %g", f, exact)
		}
	}
	if s := strings.Join(got, " "); s != want {
		t.Errorf("IEC 60127 list\n got %s\nwant %s", s, want)
	}
}

// TestBounds checks the rows of bounds.tsv.
func TestBounds(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/bounds.tsv").Rows {
		q := schema.MustQuantity(r.Get("value"))
		if _, err := schema.ParseUnit(cmp.Or(string(q.Unit), "1")); err != nil || q.Low.Cmp(q.High) > 0 {
			t.Errorf("bounds.tsv:%d: %s %v", r.Line, q, err)
		}
	}
	for name, b := range boundRows() {
		if b.Low > b.High {
			t.Errorf("bounds: %s: %g..%g", name, b.Low, b.High)
		}
		if _, ok := limitRows()[name]; ok {
			t.Errorf("bounds: %s is also in limits.tsv", name)
		}
	}
}

// TestLimits: every named number is read by some rule or calculator, every name is used
// once, and its value has a known unit.
func TestLimits(t *testing.T) {
	var code strings.Builder
	rules, _ := filepath.Glob("../*.go")
	calculators, _ := filepath.Glob("../calc/*.go")
	files := append(rules, calculators...)
	if len(rules) == 0 || len(calculators) == 0 {
		t.Fatal("no files of rules or of calculators")
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(f, "_test.go") {
			code.Write(b)
		}
	}
	rows := schema.MustReadTable(tables, "tables/limits.tsv").Rows
	if len(rows) != len(limitRows()) {
		t.Errorf("%d rows, %d names: one stands twice", len(rows), len(limitRows()))
	}
	for _, r := range rows {
		q, err := schema.ParseQuantity(r.Get("value"))
		if err != nil {
			t.Errorf("line %d: %v", r.Line, err)
			continue
		}
		if _, err := schema.ParseUnit(string(q.Unit)); q.Unit != "" && err != nil {
			t.Errorf("line %d: %v", r.Line, err)
		}
		if q.Low.Cmp(q.High) > 0 {
			t.Errorf("line %d: %s runs downwards", r.Line, q)
		}
		if !strings.Contains(code.String(), `"`+r.Get("name")+`"`) {
			t.Errorf("line %d: no rule and no calculator reads %s", r.Line, r.Get("name"))
		}
	}
}

// TestSharedTables: each row has a source and a standing.
func TestSharedTables(t *testing.T) {
	for _, name := range []string{"awg", "bounds", "limits", "fuse_currents", "efficiency_floors", "pdp_levels",
		"part_codes", "code_letters"} {
		for _, r := range schema.MustReadTable(tables, "tables/"+name+".tsv").Rows {
			if r.Get("source") == "" || ParseStanding(r.Get("standing")) == Unknown {
				t.Errorf("%s.tsv:%d: source %q, standing %q", name, r.Line, r.Get("source"), r.Get("standing"))
			}
		}
	}
}
