package export

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

var update = flag.Bool("update", false, "write the goldens anew")

// golden compares with a file of testdata.
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

func written(t *testing.T, f Format, s Sheet, r *schema.Record) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := NewWriter(&b, f, Options{Sheet: s}).Write(r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestGoldens(t *testing.T) {
	r, _ := fullRecord(t)
	held := map[Format]bool{FormatRecord: true, FormatJSONL: true} // TestRecordFormatsAreTheRecord
	for _, c := range []struct {
		file   string
		format Format
		sheet  Sheet
	}{
		{"full.sheet.txt", FormatSheet, Sheet{}},
		{"full.sheet.ascii.txt", FormatSheet, Sheet{ASCII: true}},
		{"full.sheet.narrow.txt", FormatSheet, Sheet{Width: 44}},
		{"full.sheet.color.txt", FormatSheet, Sheet{Color: true}},
		{"full.sheet.explain.txt", FormatSheet, Sheet{Explain: true}},
		{"full.readings.jsonl", FormatReadings, Sheet{}},
		{"full.levels.csv", FormatLevels, Sheet{}},
		{"full.components.csv", FormatComponents, Sheet{}},
	} {
		held[c.format] = true
		t.Run(c.file, func(t *testing.T) { golden(t, c.file, written(t, c.format, c.sheet, r)) })
	}
	for i := range formatNames {
		if f := Format(i); f != FormatUnknown && !held[f] {
			t.Errorf("format %v: no golden in this test", f)
		}
		if err := NewWriter(io.Discard, Format(i), Options{}).Write(r); (err != nil) != (i == 0) {
			t.Errorf("format %v: %v: Writer.Write in format.go needs a case", Format(i), err)
		}
	}
	t.Run("notes.sheet.txt", func(t *testing.T) {
		bare := &schema.Record{Source: schema.Source{File: "-"},
			Product: schema.Product{Name: strings.Repeat("long name ", 12)}}
		golden(t, "notes.sheet.txt", written(t, FormatSheet, Sheet{}, bare))
	})
}

func TestRecordFormatsAreTheRecord(t *testing.T) {
	r, _ := fullRecord(t)
	var want bytes.Buffer
	r.Write(&want)
	if got := written(t, FormatRecord, Sheet{}, r); !bytes.Equal(got, want.Bytes()) {
		t.Error("the record format differs from Record.Write")
	}
	line := written(t, FormatJSONL, Sheet{}, r)
	if bytes.Count(line, []byte("\n")) != 1 || line[len(line)-1] != '\n' {
		t.Errorf("jsonl is not one line: %d line breaks", bytes.Count(line, []byte("\n")))
	}
}

// Every line of the readings format carries the contract's keys in order, and
// quotes the bytes of its span.
// What was heard is words with single spaces, whatever stands between them in
// the bytes of the span: those are in the source, in their order.
func TestReadingsQuoteTheSource(t *testing.T) {
	r, source := fullRecord(t)
	d := json.NewDecoder(bytes.NewReader(written(t, FormatReadings, Sheet{}, r)))
	d.UseNumber()
	n := 0
	for ; ; n++ {
		var line struct {
			Span  [2]int
			Heard string
			Why   []string
		}
		if err := d.Decode(&line); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		if want := strings.Join(strings.Fields(line.Heard), " "); line.Heard != want || want == "" {
			t.Errorf("line %d: heard %q", n+1, line.Heard)
		}
		rest := string(source[line.Span[0]:line.Span[1]])
		for _, word := range strings.Fields(line.Heard) {
			_, after, ok := strings.Cut(rest, word)
			if !ok {
				t.Errorf("line %d: heard %q, and %q is not in %q", n+1, line.Heard, word, rest)
			}
			rest = after
		}
		if line.Why == nil {
			t.Errorf("line %d: why is not a list", n+1)
		}
	}
	if n != r.Counts.Said {
		t.Errorf("%d lines, %d quantities said", n, r.Counts.Said)
	}
}

// The words of a record are said though the source is another encoding.
func TestReadingsOfUTF16(t *testing.T) {
	r := &schema.Record{Quantities: []schema.Said{{
		Number: 1, Span: schema.Span{Start: 2, End: 8}, Heard: "5 Ω", Kind: schema.KindResistance,
		Quantity: schema.MustQuantity("5 Ohm"), Status: schema.StatusHeard, Confidence: 1,
	}}}
	got := string(written(t, FormatReadings, Sheet{}, r))
	want := `{"file":"","at":null,"span":[2,8],"heard":"5 Ω","kind":"resistance","value":5,"unit":"Ohm","status":"heard",` +
		`"confidence":1,"readings":[],"place":"","why":[]}` + "\n"
	if got != want {
		t.Errorf("got  %swant %s", got, want)
	}
}

// Several records share one header line.
func TestTablesHaveOneHeader(t *testing.T) {
	r, _ := fullRecord(t)
	var b bytes.Buffer
	w := NewWriter(&b, FormatLevels, Options{})
	for range 2 {
		if err := w.Write(r); err != nil {
			t.Fatal(err)
		}
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if want := 1 + 2*len(r.Levels); len(rows) != want {
		t.Errorf("%d rows, want %d", len(rows), want)
	}
}

func TestLevelUnits(t *testing.T) {
	value := func(q string) *schema.Value { return &schema.Value{Quantity: schema.MustQuantity(q)} }
	for _, c := range []struct {
		value *schema.Value
		unit  schema.Unit
		top   bool
		want  string
	}{
		{value("3300 mV"), "V", false, "3.3"},
		{value("0.5 kV"), "V", true, "500"},
		{value("3.0 A"), "A", true, "3.0"},
		{value("2..3 A"), "A", true, "3"},
		{value("2..3 A"), "A", false, "2"},
		{value("65 W"), "A", true, ""}, // of another kind: no number is better than a wrong one
		{value("60 V.A"), "W", true, "60"},
		{nil, "W", true, ""},
	} {
		if got := cellText(in(c.value, c.unit, c.top)); got != c.want {
			t.Errorf("in(%v, %s, %v) = %q, want %q", c.value, c.unit, c.top, got, c.want)
		}
	}
}

func TestCell(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+5 V": "'+5 V", "-40 Cel": "'-40 Cel", "@cmd": "'@cmd", "＝1": "'＝1",
		"5 V = ok": "5 V = ok", "a\x1b[2Jb": `a\x1b[2Jb`, "two\nlines": "two lines", "": "",
	} {
		if got := CSVCell(in); got != want {
			t.Errorf("CSVCell(%q) = %q, want %q", in, got, want)
		}
	}
}

// Whatever captions hold, no line is wider than the page, nothing steers the
// terminal, and an ASCII page is ASCII.
func TestSheetHoldsAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hostile := rapid.StringOf(rapid.OneOf(rapid.Rune(),
			rapid.RuneFrom([]rune("\x1b\x9b\u202e\r\n\t 世界e\u0301🔋A "))))
		r := &schema.Record{
			Product: schema.Product{Name: hostile.Draw(t, "name"), Kind: hostile.Draw(t, "kind"),
				Marks: []string{hostile.Draw(t, "mark")}},
			Quantities: []schema.Said{{
				Number: 1, Heard: hostile.Draw(t, "heard"), Context: hostile.Draw(t, "context"),
				Role:     hostile.Draw(t, "role"),
				Quantity: schema.MustQuantity("5 V"), Status: schema.StatusOpen, Why: []string{hostile.Draw(t, "why")},
			}},
			Levels: []schema.Level{{Mode: hostile.Draw(t, "mode"), Port: hostile.Draw(t, "port"),
				Protocol: hostile.Draw(t, "protocol")}},
			Components: []schema.Component{{Board: hostile.Draw(t, "board"), Kind: hostile.Draw(t, "part"),
				Part: hostile.Draw(t, "number")}},
			Findings: []schema.Finding{{Message: hostile.Draw(t, "message"), Rule: hostile.Draw(t, "rule")}},
		}
		s := Sheet{Width: rapid.IntRange(0, 120).Draw(t, "width"), ASCII: rapid.Bool().Draw(t, "ascii"), Explain: true}
		width := max(s.Width, 40)
		if s.Width == 0 {
			width = 80
		}
		var b strings.Builder
		if err := s.write(&b, r); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if n := word.Columns(line); n > width {
				t.Fatalf("%d columns, page of %d: %q", n, width, line)
			}
			if p := word.Printable(line); p != line {
				t.Fatalf("not printable: %q", line)
			}
			if s.ASCII && word.ASCII(line) != line {
				t.Fatalf("not ASCII: %q", line)
			}
		}
	})
}

func BenchmarkSheet(b *testing.B) {
	r, _ := fullRecord(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := (Sheet{}).write(io.Discard, r); err != nil {
			b.Fatal(err)
		}
	}
}
