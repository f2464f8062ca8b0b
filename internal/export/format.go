package export

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/alike"
)

// Format is a form of output. The zero value is unusable.
type Format uint8

// The formats, in the order help lists them.
const (
	FormatUnknown    Format = iota
	FormatSheet             // the sheet as text (package sheet)
	FormatRecord            // the record, one JSON document (schema.Record.Write)
	FormatJSONL             // the record as one line of JSON
	FormatReadings          // a line for every quantity (package feed)
	FormatLevels            // CSV of settled columns (package table)
	FormatComponents        // the same
	FormatFeed              // records, or rows of a table, with ids (package feed)
	FormatCSV               // a table (package table)
	FormatParquet           // the same, with types
	FormatWorkbook          // Office Open XML (package workbook)
	FormatMarkdown          // the sheet in Markdown (package article)
	FormatHTML              // the sheet in HTML
	FormatSVG               // a picture (internal/picture)
	FormatPNG               // the same as pixels
)

// A form is a row of the list of formats.
type form struct {
	read   string // what --format of read calls it; "" where read does not write it
	emit   string // what --to of emit calls it, and the ending of its files; "" as above
	media  string // its media type (IANA, Media Types)
	rows   bool   // lines or rows that do not say what was wrong with the file
	whole  bool   // takes all records before it writes
	binary bool   // is no text
	tables bool   // writes the table that is asked for
}

// Media types of text.
const (
	plainText = "text/plain; charset=utf-8"
	csvText   = "text/csv; charset=utf-8"
	jsonLines = "application/jsonl"
)

// forms is the one list of formats: read, emit, watch, completion and the desk take
// names and properties from it.
var forms = [...]form{
	FormatSheet:      {read: "sheet", media: plainText},
	FormatRecord:     {read: "record", emit: "json", media: "application/json"},
	FormatJSONL:      {read: "jsonl", media: jsonLines},
	FormatReadings:   {read: "readings", media: jsonLines, rows: true},
	FormatLevels:     {read: "levels", media: csvText, rows: true},
	FormatComponents: {read: "components", media: csvText, rows: true},
	FormatFeed:       {emit: "jsonl", media: jsonLines, tables: true},
	FormatCSV:        {emit: "csv", media: csvText, tables: true},
	FormatParquet: {emit: "parquet", media: "application/vnd.apache.parquet", whole: true, binary: true,
		tables: true},
	FormatWorkbook: {emit: "xlsx", media: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
		whole: true, binary: true, tables: true},
	FormatMarkdown: {emit: "md", media: "text/markdown; charset=utf-8", whole: true},
	FormatHTML:     {emit: "html", media: "text/html; charset=utf-8", whole: true},
	FormatSVG:      {emit: "svg", media: "image/svg+xml", whole: true},
	FormatPNG:      {emit: "png", media: "image/png", whole: true, binary: true},
}

// form is the row of a format, an empty one where there is none.
func (f Format) form() form {
	if int(f) < len(forms) {
		return forms[f]
	}
	return form{}
}

// String returns the name by which read writes it, else that of emit.
func (f Format) String() string {
	if int(f) < len(forms) {
		return cmp.Or(forms[f].read, forms[f].emit)
	}
	return fmt.Sprintf("?%d", f)
}

// MarshalText writes the name.
func (f Format) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads a format of read by its name; the error lists those there are.
func (f *Format) UnmarshalText(b []byte) error {
	names := ReadNames()
	i := slices.IndexFunc(forms[:], func(x form) bool { return x.read != "" && x.read == string(b) })
	if i < 0 {
		return fmt.Errorf("format %q is not known%s; there are %s", b, alike.Meant(string(b), names),
			strings.Join(names, ", "))
	}
	*f = Format(i)
	return nil
}

// EmitFormat is the format that emit calls by a name, FormatUnknown where there is
// none.
func EmitFormat(name string) Format {
	return Format(max(slices.IndexFunc(forms[:], func(x form) bool { return x.emit != "" && x.emit == name }), 0))
}

// ReadNames are the names of the formats of read, in the order help lists them.
func ReadNames() []string { return namesOf(func(f form) string { return f.read }) }

// EmitNames are the names of the formats of emit, in the order help lists them.
func EmitNames() []string { return namesOf(func(f form) string { return f.emit }) }

// TableNames are the names of the formats of emit that write the table asked for,
// in the order of the alphabet.
func TableNames() []string {
	names := namesOf(func(f form) string {
		if f.tables {
			return f.emit
		}
		return ""
	})
	slices.Sort(names)
	return names
}

func namesOf(name func(form) string) []string {
	var all []string
	for _, f := range forms {
		if n := name(f); n != "" {
			all = append(all, n)
		}
	}
	return all
}

// MediaType is the media type of a format.
func (f Format) MediaType() string { return f.form().media }

// Rows reports whether a format of read has lines or rows that do not say what was
// wrong with the file.
func (f Format) Rows() bool { return f.form().rows }

// Whole reports whether a format takes all records before it writes.
func (f Format) Whole() bool { return f.form().whole }

// Binary reports whether what is written is no text.
func (f Format) Binary() bool { return f.form().binary }

// TakesTable reports whether a format writes the table that is asked for.
func (f Format) TakesTable() bool { return f.form().tables }
