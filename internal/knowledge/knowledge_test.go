package knowledge

import (
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saywatt/schema"
)

// standings are those of validate.Standing.
var standings = []string{"verified", "unverified", "practice", "computed"}

// TestTables walks every row of every table: each says where it is from and how
// far that was verified, and none stands twice.
func TestTables(t *testing.T) {
	files, err := fs.Glob(tables, "tables/*.tsv")
	if err != nil || len(files) != 6 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		table := schema.MustReadTable(tables, file)
		seen := map[string]int{}
		for _, r := range table.Rows {
			if n, twice := seen[r.Cells[0]]; twice {
				t.Errorf("%s:%d: %q stands in line %d too", file, r.Line, r.Cells[0], n)
			}
			seen[r.Cells[0]] = r.Line
			if r.Get("source") == "" {
				t.Errorf("%s:%d: no source", file, r.Line)
			}
			bare := file == "tables/cautions.tsv" && r.Get("reckoned") == "-"
			if s := r.Get("standing"); !slices.Contains(standings, s) && !bare {
				t.Errorf("%s:%d: standing %q, want one of %q", file, r.Line, s, standings)
			}
		}
	}
}

func number(t *testing.T, r schema.Row, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r.Get(column), 64)
	if err != nil {
		t.Fatalf("line %d: %s: %v", r.Line, column, err)
	}
	return v
}

// TestCellFormats: IEC 61960-3 names a cell by its diameter in mm and its length
// in tenths of a mm. Either all bounds are there, each the lower first, or none.
func TestCellFormats(t *testing.T) {
	for _, r := range CellFormats().Rows {
		name := r.Get("format")
		if _, err := strconv.Atoi(name); err != nil {
			t.Errorf("cell_formats.tsv:%d: %q is no number", r.Line, name)
		}
		bounds := r.Cells[2:8]
		if none := slices.Repeat([]string{"-"}, len(bounds)); slices.Equal(bounds, none) {
			continue
		}
		d, l := number(t, r, "diameter"), number(t, r, "length")
		if got := int(d)*1000 + int(l)*10; math.Abs(float64(got-atoi(t, name))) > 10 {
			t.Errorf("cell_formats.tsv:%d: %v mm × %v mm is no %s", r.Line, d, l, name)
		}
		for _, of := range []string{"charge", "mass"} {
			if low, high := number(t, r, of+"_low"), number(t, r, of+"_high"); low <= 0 || low >= high {
				t.Errorf("cell_formats.tsv:%d: %s from %v to %v", r.Line, of, low, high)
			}
		}
	}
}

func atoi(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestMainsVoltages(t *testing.T) {
	last := 0.0
	for _, r := range MainsVoltages().Rows {
		v := number(t, r, "voltage")
		if v <= last || v > 300 {
			t.Errorf("mains_voltages.tsv:%d: %v V behind %v V, want rising voltages of one phase", r.Line, v, last)
		}
		last = v
		if len(r.List("uses")) == 0 {
			t.Errorf("mains_voltages.tsv:%d: no use", r.Line)
		}
		for _, use := range r.List("uses") {
			if !slices.Contains([]string{"low", "high", "nominal", "test"}, use) {
				t.Errorf("mains_voltages.tsv:%d: use %q", r.Line, use)
			}
		}
	}
}

// TestSeries: IEC 60063:2015 and ISO 3. Each series has as many values as its
// name says, E24 has those of the coarser ones, and the values are near the
// powers of that root of ten.
func TestSeries(t *testing.T) {
	values := map[string][]float64{}
	for _, r := range Series().Rows {
		var m []float64
		for _, s := range r.List("values") {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatalf("series.tsv:%d: %v", r.Line, err)
			}
			m = append(m, v)
		}
		values[r.Get("series")] = m
		if !slices.IsSorted(m) || m[len(m)-1] >= 10*m[0] {
			t.Errorf("series.tsv:%d: no rising decade: %v", r.Line, m)
		}
		n, err := strconv.Atoi(strings.TrimLeft(r.Get("series"), "ER"))
		if err != nil {
			continue // bulk
		}
		if len(m) != n {
			t.Errorf("series.tsv:%d: %d values, want %d", r.Line, len(m), n)
		}
		for i, v := range m {
			// 10 % is what the values of E24 that IEC 60063 keeps from before it (2.7 to 4.7, 8.2) are off.
			if want := m[0] * math.Pow(10, float64(i)/float64(n)); math.Abs(v/want-1) > 0.1 {
				t.Errorf("series.tsv:%d: %v, want about %.3g", r.Line, v, want)
			}
		}
	}
	for _, of := range []string{"E3", "E6", "E12"} {
		for _, v := range values[of] {
			if !slices.Contains(values["E24"], v) {
				t.Errorf("%v of %s is not in E24", v, of)
			}
		}
	}
}

// TestCautions: a row has a text for records, one for what is reckoned, or both,
// each is a sentence, and none stands there twice.
func TestCautions(t *testing.T) {
	for _, r := range Cautions().Rows {
		if r.Get("text") == "-" && r.Get("reckoned") == "-" {
			t.Errorf("cautions.tsv:%d: no text", r.Line)
		}
		if r.Get("reckoned") == "=" && r.Get("text") == "-" || r.Get("reckoned") == r.Get("text") {
			t.Errorf("cautions.tsv:%d: %q for what is reckoned: = stands for the words of text, - for none", r.Line,
				r.Get("reckoned"))
		}
		for _, column := range []string{"text", "reckoned"} {
			if s := r.Get(column); s != "-" && s != "=" && !strings.HasSuffix(s, ".") {
				t.Errorf("cautions.tsv:%d: no sentence: %q", r.Line, s)
			}
		}
	}
}
