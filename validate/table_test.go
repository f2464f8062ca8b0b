package validate

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

// TestTables walks every row of every table: a source, a standing that there
// is, and no row twice.
func TestTables(t *testing.T) {
	files, err := fs.Glob(tables, "tables/*.tsv")
	if err != nil || len(files) == 0 {
		t.Fatal("no tables", err)
	}
	for _, file := range files {
		b, err := fs.ReadFile(tables, file)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(b), "# ") {
			t.Errorf("%s: does not begin with a comment that says what it is", file)
		}
		table, err := schema.ReadTable(tables, file)
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
				case strings.HasSuffix(c, "standing") && parseStanding(cell) == StandingUnknown:
					t.Errorf("%s:%d: %s %q is not one", file, r.Line, c, cell)
				}
			}
		}
	}
}

// TestLimits: every named number is read by some rule, every name is used
// once, and its value has a known unit.
func TestLimits(t *testing.T) {
	var code strings.Builder
	files, _ := filepath.Glob("*.go")
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
	if len(rows) != len(limits().rows) {
		t.Errorf("%d rows, %d names: one stands twice", len(rows), len(limits().rows))
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
			t.Errorf("line %d: no rule reads %s", r.Line, r.Get("name"))
		}
	}
}

// TestProtocolNames: each name of the table is sorted as its row says, with a
// version behind it too, and others are not taken for it.
func TestProtocolNames(t *testing.T) {
	for _, p := range protocols() {
		if got := protocolOf(strings.ToLower(p.name)); got != p.family {
			t.Errorf("%s is %s, want %s", p.name, got, p.family)
		}
	}
	for name, want := range map[string]protocol{
		"": protocolNone, "PD 3.0": protocolPD, "PD3.1": protocolPD, "PDO": protocolOther, "PPS": protocolPPS, "QC 3.0": protocolQC3,
		"QC3.0": protocolQC3, "QC 3+": protocolQC3Plus, "QC2.0": protocolQC2, "QC": protocolQC, "QC5": protocolQC4, "BC 1.2 DCP": protocolBC,
		"SPR AVS": protocolAVSSPR, "AC": protocolAC, "Acme": protocolOther, "Qi2": protocolQiMPP, "Qi2.2": protocolQiMPP25, "Qi": protocolQi,
		"UFCS": protocolUFCS,
	} {
		if got := protocolOf(name); got != want {
			t.Errorf("%q is %s, want %s", name, got, want)
		}
	}
}

// TestPlaces: modes and ports as records have them.
func TestPlaces(t *testing.T) {
	for _, tt := range []struct {
		mode, product string
		f             flow
	}{
		{"input", "", flowInput}, {"output", "", flowOutput}, {"output-shared", "", flowShared},
		{"mains/output", "mains", flowOutput}, {"battery/input", "battery", flowInput}, {"mains", "mains", flowOther}, {"", "", flowOther},
	} {
		if p, f := modeOf(tt.mode); p != tt.product || f != tt.f {
			t.Errorf("mode %q: %q %d", tt.mode, p, f)
		}
	}
	for port, want := range map[string]socket{"": socketUnknown, "USB-C1": socketC, "USB-C": socketC, "USB-A2": socketA,
		"Qi": socketPad,
		"AC": socketMains, "DC": socketDC, "USB-C1+USB-A": socketJoined, "car": socketUnknown} {
		if got := socketOf(port); got != want {
			t.Errorf("port %q: %d, want %d", port, got, want)
		}
	}
	for p, want := range map[Path]string{
		item("levels", 3, "current"):   "levels[3].current",
		rating(2, 1):                   "components[2].ratings[1].value",
		field("battery.cell.charge"):   "battery.cell.charge",
		item("body.dimensions", 2, ""): "body.dimensions[2]",
	} {
		if got := p.String(); got != want {
			t.Errorf("path %q, want %q", got, want)
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

func (p protocol) String() string { return protocolNames[p] }

// TestMemory: a rule that rests on no text that was read is a note, or names the
// standard that it rests on; and a row from memory is not called verified.
func TestMemory(t *testing.T) {
	standard := regexp.MustCompile(`\b(IEC|EN|UL|ISO|BS|T/TAF|USB) ?[A-Z0-9]|JEDEC outlines`)
	for _, r := range Rules() {
		if r.Standing != StandingUnverified || r.Severity <= schema.SeverityNote {
			continue
		}
		if strings.Contains(r.Source, "from memory") || !standard.MatchString(schema.PlainSource(r.Source)) {
			t.Errorf("%s may raise %s and rests on %q", r.Name, r.Severity, r.Source)
		}
	}
	files, err := fs.Glob(tables, "tables/*.tsv")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		table, err := schema.ReadTable(tables, file)
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
