package export

import (
	"bytes"
	"encoding/csv"
	"io"
	"testing"

	"saywatt/internal/export/sheet"
	"saywatt/internal/export/testdata/full"
	"saywatt/schema"
)

func written(t *testing.T, f Format, s sheet.Options, r *schema.Record) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := NewWriter(&b, f, Options{Sheet: s}).Write(r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Each format can be written, and those of one value are what the packages below write.
func TestFormatsAreWritten(t *testing.T) {
	r, _ := full.Record(t)
	for i := range formatNames {
		if err := NewWriter(io.Discard, Format(i), Options{}).Write(r); (err != nil) != (i == 0) {
			t.Errorf("format %v: %v: Writer.Write in format.go needs a case", Format(i), err)
		}
	}
}

func TestRecordFormatsAreTheRecord(t *testing.T) {
	r, _ := full.Record(t)
	var want bytes.Buffer
	r.Write(&want)
	if got := written(t, FormatRecord, sheet.Options{}, r); !bytes.Equal(got, want.Bytes()) {
		t.Error("the record format differs from Record.Write")
	}
	line := written(t, FormatJSONL, sheet.Options{}, r)
	if bytes.Count(line, []byte("\n")) != 1 || line[len(line)-1] != '\n' {
		t.Errorf("jsonl is not one line: %d line breaks", bytes.Count(line, []byte("\n")))
	}
}

// Several records share one header line.
func TestTablesHaveOneHeader(t *testing.T) {
	r, _ := full.Record(t)
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
