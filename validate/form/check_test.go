package form

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

// wellFormed is a record as JSON, as the program itself writes it.
func wellFormed(t testing.TB) string {
	t.Helper()
	r := notation.Parse(t, "level output, USB-C1, PD, 20 V, 3.25 A, 65 W\nclaim power, 65 W, port=USB-C1")
	r.Source = schema.Source{File: "x.vtt", Format: "vtt", SHA256: strings.Repeat("0", 64)}
	r.Cautions = []string{"A record is not a certification."}
	for i := range r.Quantities {
		r.Quantities[i].Why = []string{}
	}
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestCheck breaks a good record in one place at a time.
func TestCheck(t *testing.T) {
	good := wellFormed(t)
	if fs, err := Check([]byte(good)); err != nil || len(fs) != 0 {
		t.Fatalf("a good record: %v, %v", fs, err)
	}
	tests := []struct{ name, old, new, want string }{
		{"missing", `"port": "USB-C1",
      "value"`, `"port": "USB-C1",
      "worth"`, `claims[0]: has a field that a record does not know: worth; claims[0]: must have value, which is missing`},
		{"unknown field", `"protocol": "PD"`, `"protokoll": "PD"`, `levels[0]: has a field that a record does not know: protokoll`},
		{"type", `"port": "USB-C1",
      "protocol"`, `"port": 7,
      "protocol"`, `levels[0].port: must be a text, and is a number`},
		{"enum", `"basis": "claimed"`, `"basis": "guessed"`, `claims[0].value.basis: "guessed" is not allowed; it must be one of "claimed", "label", "measured", "derived"`},
		{"version", `"saywatt/record/1"`, `"saywatt/record/9"`, `version: "saywatt/record/9" is not allowed; it must be "saywatt/record/1"`},
		{"neither value nor range", `"value": 3.25,`, `"low": 3.25,`, `levels[0].current.quantity: must have either a value, or low and high`},
		{"unit", `"unit": "A"`, `"unit": "smoot"`, `levels[0].current.quantity.unit: "smoot" is no unit that a record can hold`},
		{"huge", `"value": 3.25,`, `"value": 1e999999999,`, `levels[0].current.quantity.value: 1e999999999 is no number that a record can hold`},
		{"bounds", `"confidence": 1`, `"confidence": 2`, `claims[0].value.confidence: 2 is out of bounds: it must be <= 1`},
		{"below", `"number": 1,`, `"number": 0,`, `quantities[0].number: 0 is out of bounds: it must be >= 1`},
		{"two unknown", `"protocol": "PD"`, `"zone": 1, "lane": 2`,
			`levels[0]: has a field that a record does not know: lane, zone`},
		{"several types", `"port": "USB-C1",
      "value"`, `"port": null,
      "value"`, `claims[0].port: must be a text, and is null`},
		{"list", `"claims": [`, `"claims": {"a": 1}, "notes": [`, `claims: must be a list, and is an object; ` +
			`notes[0]: has a field that a record does not know: port, property, value; ` +
			`notes[0]: must have text, which is missing`},
		{"pattern", `"unit": "W"`, `"unit": "w"`, `claims[0].value.quantity.unit: "w" is no unit that a record can hold`},
		{"one end", `"span": [`, `"span": [7], "old": [`, `quantities[0]: has a field that a record does not know: old; ` +
			`quantities[0].span: a list of 1 is out of bounds: it must have at least 2`},
	}
	for _, tt := range tests {
		if !strings.Contains(good, tt.old) {
			t.Fatalf("%s: %q is not in\n%s", tt.name, tt.old, good)
		}
		fs, err := Check([]byte(strings.Replace(good, tt.old, tt.new, 1)))
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		var got []string
		for _, f := range fs {
			got = append(got, strings.Join(f.Paths, ",")+": "+f.Message)
			if len(f.Positions) != 1 || f.Severity != schema.SeverityError || f.Rule != Rule {
				t.Errorf("%s: %+v", tt.name, f)
			}
		}
		if strings.Join(got, "; ") != tt.want {
			t.Errorf("%s:\n got %s\nwant %s", tt.name, strings.Join(got, "; "), tt.want)
		}
	}
}

// TestFormPositions: line and column are those of the value.
func TestFormPositions(t *testing.T) {
	text := strings.Replace(wellFormed(t), `"basis": "claimed"`, `"basis": "guessed"`, 1)
	fs, err := Check([]byte(text))
	if err != nil || len(fs) != 1 {
		t.Fatal(fs, err)
	}
	at := strings.Index(text, `"guessed"`)
	line := strings.Count(text[:at], "\n") + 1
	col := at - strings.LastIndexByte(text[:at], '\n')
	if p := fs[0].Positions[0]; p.Line != line || p.Col != col {
		t.Errorf("line %d column %d, want %d and %d", p.Line, p.Col, line, col)
	}
}

// TestFormErrors: what is no JSON says where.
func TestFormErrors(t *testing.T) {
	for text, want := range map[string]string{
		"":                "line 1, column 1: the JSON ends too early",
		"{\n  \"a\": 1,":  "line 2, column 10: the JSON ends too early",
		"{\n  \"a\": x\n": "line 2, column 8: invalid character 'x' looking for beginning of value",
		"{}\n{}":          "line 2, column 2: more than one JSON document",
	} {
		_, err := Check([]byte(text))
		var form *Error
		if !errors.As(err, &form) || err.Error() != want {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// FuzzCheck: any bytes give findings or an error, never a panic, and
// positions inside the document.
func FuzzCheck(f *testing.F) {
	f.Add(wellFormed(f))
	f.Add(`{"version":1,"levels":[{"~/":{}},null]}`)
	f.Add(`[[[[1e999999999]]]]`)
	f.Fuzz(func(t *testing.T, text string) {
		fs, err := Check([]byte(text))
		if err != nil {
			return
		}
		lines := strings.Count(text, "\n") + 1
		for _, x := range fs {
			for _, p := range x.Positions {
				if p.Line < 1 || p.Line > lines || p.Col < 1 || p.Col > len(text)+1 {
					t.Errorf("position %v in %d lines", p, lines)
				}
			}
			if x.Message == "" {
				t.Error("no message")
			}
			_ = fmt.Sprint(x)
		}
	})
}

// manyWrong is a document of n notes that are none, at known places.
func manyWrong(n int) []byte {
	return []byte("{\"notes\":[\n" + strings.Repeat("1, 1,\r\n", n/2) + "1]}")
}

// Every one of many problems has its own place, the last one too.
func TestFormPositionsOfMany(t *testing.T) {
	const n = 1000
	found, err := Check(manyWrong(n))
	if err != nil {
		t.Fatal(err)
	}
	next := 0
	for _, f := range found {
		if len(f.Paths) == 0 || !strings.HasPrefix(f.Paths[0], "notes[") {
			continue // what the document lacks
		}
		want := schema.Position{Line: 2 + next/2, Col: 1 + 3*(next%2)}
		if len(f.Positions) != 1 || f.Positions[0] != want || f.Paths[0] != fmt.Sprintf("notes[%d]", next) {
			t.Fatalf("%v at %v, want notes[%d] at %v", f.Paths, f.Positions, next, want)
		}
		next++
	}
	if next != n+1 {
		t.Errorf("%d notes are found wrong, want %d", next, n+1)
	}
}

// The time for each problem does not grow with their number.
func BenchmarkCheckWrong(b *testing.B) {
	for _, n := range []int{1000, 100_000} {
		document := manyWrong(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if found, err := Check(document); err != nil || len(found) < n {
					b.Fatal(len(found), err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/problem")
		})
	}
}
