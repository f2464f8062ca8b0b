package export

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"saywatt/internal/alike"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/sheet"
	"saywatt/internal/export/table"
	"saywatt/schema"
)

// Format is a form of output. The zero value is unusable.
type Format uint8

// The formats, in the order help lists them.
const (
	FormatUnknown Format = iota
	FormatSheet
	FormatRecord
	FormatJSONL
	FormatReadings
	FormatLevels
	FormatComponents
)

var formatNames = [...]string{"", "sheet", "record", "jsonl", "readings", "levels", "components"}

// String returns the name.
func (f Format) String() string {
	if int(f) < len(formatNames) {
		return formatNames[f]
	}
	return fmt.Sprintf("?%d", f)
}

// MarshalText writes the name.
func (f Format) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads a format by its name; the error lists those there are.
func (f *Format) UnmarshalText(b []byte) error {
	for i, n := range formatNames {
		if i > 0 && n == string(b) {
			*f = Format(i)
			return nil
		}
	}
	return fmt.Errorf("format %q is not known%s; there are %s", b, alike.Meant(string(b), formatNames[1:]),
		strings.Join(formatNames[1:], ", "))
}

// Options for a Writer. The zero value works.
type Options struct {
	Sheet sheet.Options // how sheets look; other formats do not use it
	// OfReview puts the name of the review and of its file in front of the rows
	// of tables, for those of several (Table.OfReview).
	OfReview bool
}

// Writer writes records in one format, in the order of the calls to Write.
type Writer struct {
	w       *bufio.Writer
	format  Format
	options Options
	written int
	lines   schema.RecordWriter
}

// NewWriter returns a Writer of the format to w.
func NewWriter(w io.Writer, f Format, o Options) *Writer {
	return &Writer{w: bufio.NewWriter(w), format: f, options: o}
}

// write writes one record and hands it to the underlying writer before it
// returns.
func (w *Writer) Write(r *schema.Record) error {
	first := w.written == 0
	w.written++
	var err error
	switch w.format {
	case FormatSheet:
		if !first {
			w.w.WriteString("\n\n")
		}
		err = w.options.Sheet.Write(w.w, r)
	case FormatRecord:
		err = r.Write(w.w)
	case FormatJSONL:
		err = w.lines.WriteLine(w.w, r)
	case FormatReadings:
		err = feed.WriteReadings(w.w, r)
	case FormatLevels:
		err = w.table(r, table.Levels(r), first)
	case FormatComponents:
		err = w.table(r, table.Components(r), first)
	default:
		err = fmt.Errorf("format %v cannot be written", w.format)
	}
	if err != nil {
		return err
	}
	return w.w.Flush()
}

// table writes a table of a record.
func (w *Writer) table(r *schema.Record, t table.Table, first bool) error {
	if w.options.OfReview {
		t = t.OfReview(r)
	}
	return t.WriteCSV(w.w, first)
}

// FormatNames are the names of the formats, in the order help lists them.
func FormatNames() []string { return append([]string(nil), formatNames[1:]...) }
