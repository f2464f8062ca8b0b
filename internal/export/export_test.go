package export

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"mime"
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

// Every format of the list has a name and a media type, no name stands twice, and
// each is written.
func TestFormats(t *testing.T) {
	r, _ := full.Record(t)
	read, emit := map[string]bool{}, map[string]bool{}
	for i, f := range forms {
		format := Format(i)
		w := NewWriter(io.Discard, format, Options{})
		if err := errors.Join(w.Write(r), w.Close()); (err != nil) != (format == FormatUnknown) {
			t.Errorf("format %v: %v", format, err)
		}
		if format == FormatUnknown {
			continue
		}
		if f.read == "" && f.emit == "" || f.media == "" {
			t.Errorf("format %d: no name or no media type: %+v", i, f)
		}
		if f.read != "" && read[f.read] || f.emit != "" && emit[f.emit] {
			t.Errorf("format %v: its name stands twice", format)
		}
		read[f.read], emit[f.emit] = true, true
		if _, _, err := mime.ParseMediaType(f.media); err != nil {
			t.Errorf("format %v: %v", format, err)
		}
		var named Format
		if err := named.UnmarshalText([]byte(f.read)); (err == nil) != (f.read != "") || err == nil && named != format {
			t.Errorf("format %v is read as %v: %v", format, named, err)
		}
		if f.emit != "" && EmitFormat(f.emit) != format {
			t.Errorf("format %v is emitted as %v", format, EmitFormat(f.emit))
		}
	}
	if f := Format(len(forms)); f.Whole() || f.String() != "?15" || EmitFormat("") != FormatUnknown {
		t.Errorf("a format that is not there: %v", f)
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

// What the goldens show is a record that the program itself reads.
func TestFullRecordIsARecord(t *testing.T) {
	r, _ := full.Record(t)
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		t.Fatal(err)
	}
	again, err := schema.ReadRecord(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	var c bytes.Buffer
	if err := again.Write(&c); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b.Bytes(), c.Bytes()) {
		t.Error("the record read and written again differs")
	}
}
