package validate

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"saywatt/schema"
	"saywatt/validate/standard"
	"saywatt/validate/testdata/notation"
)

// tableFiles are the tables of the rules, of the calculators and of what both share.
func tableFiles(t *testing.T) []string {
	t.Helper()
	var all []string
	for _, folder := range []string{"tables", "standard/tables", "calc/tables"} {
		files, err := filepath.Glob(folder + "/*.tsv")
		if err != nil || len(files) == 0 {
			t.Fatal("no tables in ", folder, err)
		}
		all = append(all, files...)
	}
	return all
}

// TestTables walks every row of every table: a source, a standing that there
// is, and no row twice.
func TestTables(t *testing.T) {
	for _, file := range tableFiles(t) {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(b), "# ") {
			t.Errorf("%s: does not begin with a comment that says what it is", file)
		}
		table, err := schema.ReadTable(os.DirFS("."), file)
		if err != nil {
			t.Error(err)
			continue
		}
		if len(table.Rows) == 0 {
			t.Errorf("%s: no rows", file)
		}
		seen := map[string]int{}
		for _, r := range table.Rows {
			whole := strings.Join(r.Cells, "\t")
			if n, ok := seen[whole]; ok {
				t.Errorf("%s:%d: the same as line %d", file, r.Line, n)
			}
			seen[whole] = r.Line
			for i, c := range table.Columns {
				cell := r.Cells[i]
				switch {
				case strings.HasSuffix(c, "source") && cell == "":
					t.Errorf("%s:%d: no %s", file, r.Line, c)
				case strings.HasSuffix(c, "standing") && standard.ParseStanding(cell) == standard.Unknown:
					t.Errorf("%s:%d: %s %q is not one", file, r.Line, c, cell)
				}
			}
		}
	}
}

// TestSplits: how claims of shared output are sorted.
func TestSplits(t *testing.T) {
	record := notation.Parse(t, `
claim power, 120 W
claim power, 65 W, port=USB-C1, mode=output-shared
claim power, 30 W, port=USB-C2, mode=output-shared
claim power, 45 W, port=USB-C1, mode=output-shared
claim power, 20 W, port=USB-C2, mode=output-shared
claim power, 15 W, port=USB-C3+USB-A, mode=output-shared
claim power, 80 W, mode=output-shared
claim power, 45 W, port=USB-C1, mode=battery/output-shared
claim power, 18 W, port=USB-A, mode=battery/output-shared
claim power, 63 W, port=USB-C1+USB-A, mode=battery/output-shared`)
	var got []string
	for _, s := range splitsOf(record) {
		line := s.product
		for _, m := range s.members {
			line += " " + record.Claims[m].Value.Quantity.String()
		}
		if s.total >= 0 {
			line += " = " + record.Claims[s.total].Value.Quantity.String()
		}
		got = append(got, strings.TrimSpace(line))
	}
	want := []string{"65 W 30 W", "45 W 20 W 15 W = 80 W", "battery 45 W 18 W = 63 W"}
	if strings.Join(got, "; ") != strings.Join(want, "; ") {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestMemory: a rule that rests on no text that was read is a note, or names the
// standard that it rests on; and a row from memory is not called verified.
func TestMemory(t *testing.T) {
	named := regexp.MustCompile(`\b(IEC|EN|UL|ISO|BS|T/TAF|USB) ?[A-Z0-9]|JEDEC outlines`)
	for _, r := range Rules() {
		if r.Standing != standard.Unverified || r.Severity <= schema.SeverityNote {
			continue
		}
		if strings.Contains(r.Source, "from memory") || !named.MatchString(schema.PlainSource(r.Source)) {
			t.Errorf("%s may raise %s and rests on %q", r.Name, r.Severity, r.Source)
		}
	}
	for _, file := range tableFiles(t) {
		table, err := schema.ReadTable(os.DirFS("."), file)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range table.Rows {
			for i, c := range table.Columns {
				next := ""
				if i+1 < len(r.Cells) && strings.HasSuffix(table.Columns[i+1], "standing") {
					next = r.Cells[i+1]
				}
				if strings.HasSuffix(c, "source") && strings.Contains(r.Cells[i], "from memory") &&
					(next == "verified" || next == "computed") {
					t.Errorf("%s:%d: from memory and %s", file, r.Line, next)
				}
			}
		}
	}
}
