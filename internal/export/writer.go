package export

import (
	"bufio"
	"cmp"
	"fmt"
	"io"

	"saywatt/internal/edit"
	"saywatt/internal/export/article"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/sheet"
	"saywatt/internal/export/table"
	"saywatt/internal/export/workbook"
	"saywatt/internal/picture"
	"saywatt/schema"
)

// Options for a Writer. The zero value works.
type Options struct {
	Sheet sheet.Options // how sheets as text look
	// OfReview puts the name of the review and of its file in front of the rows
	// of levels and components, for those of several (Table.OfReview).
	OfReview bool
	Table    string // the table of formats that take one; "" is table.Default, or all there are
	Picture  string // the picture of svg and png (picture.Named)
	Link     string // address of a moment in sheets and workbooks (article.Options)
	// Folder makes a folder for temporary files of workbooks and says how it is
	// removed; nil is that of the system.
	Folder func() (path string, remove func(), err error)
}

// Writer writes records in one format, in the order of the calls to Write.
type Writer struct {
	w       *bufio.Writer
	format  Format
	options Options
	written int
	lines   schema.RecordWriter
	all     []table.Sourced // those of a format that takes all before it writes
}

// NewWriter returns a Writer of the format to w.
func NewWriter(w io.Writer, f Format, o Options) *Writer {
	return &Writer{w: bufio.NewWriter(w), format: f, options: o}
}

// Write writes one record, with the changes it makes to its captions where those
// are at hand, and hands it to the underlying writer before it returns. Formats that
// take all records first (Format.Whole) are written by Close.
func (w *Writer) Write(r *schema.Record, changes ...edit.Change) error {
	if w.format.Whole() {
		w.all = append(w.all, table.Sourced{Record: r, Changes: changes})
		return nil
	}
	if err := w.one(r, changes, w.written == 0); err != nil {
		return err
	}
	w.written++
	return w.w.Flush()
}

// one writes one record of a format that takes them one by one.
func (w *Writer) one(r *schema.Record, changes []edit.Change, first bool) error {
	switch w.format {
	case FormatSheet:
		if !first {
			w.w.WriteString("\n\n")
		}
		return w.options.Sheet.Write(w.w, r)
	case FormatRecord:
		return r.Write(w.w)
	case FormatJSONL:
		return w.lines.WriteLine(w.w, r)
	case FormatReadings:
		return feed.WriteReadings(w.w, r)
	case FormatLevels:
		return w.settled(r, table.Levels(r), first)
	case FormatComponents:
		return w.settled(r, table.Components(r), first)
	case FormatFeed:
		if w.options.Table == "" {
			return feed.Write(w.w, r)
		}
		t, _ := table.Named(r, changes, w.options.Table)
		return feed.WriteRows(w.w, r, t)
	case FormatCSV:
		t, _ := table.Named(r, changes, w.tableName())
		return t.OfReview(r).WriteCSV(w.w, first)
	}
	return w.unwritten("one")
}

// settled writes a table of settled columns.
func (w *Writer) settled(r *schema.Record, t table.Table, first bool) error {
	if w.options.OfReview {
		t = t.OfReview(r)
	}
	return t.WriteCSV(w.w, first)
}

// tableName is the table that is asked for.
func (w *Writer) tableName() string { return cmp.Or(w.options.Table, table.Default) }

// unwritten is the error of a format that a function has no case for.
func (w *Writer) unwritten(where string) error {
	return fmt.Errorf("format %v cannot be written: %s in writer.go needs a case", w.format, where)
}

// Close writes the records of a format that takes all of them first. Of the others
// all is written already.
func (w *Writer) Close() error {
	if w.format.Whole() {
		if err := w.together(); err != nil {
			return err
		}
	}
	return w.w.Flush()
}

// together writes the records of a format that takes them all.
func (w *Writer) together() error {
	records := make([]*schema.Record, len(w.all))
	for i := range w.all {
		records[i] = w.all[i].Record
	}
	look := article.Options{Link: w.options.Link}
	switch w.format {
	case FormatWorkbook:
		return w.workbook()
	case FormatParquet:
		return table.WriteParquet(w.w, w.all, w.tableName())
	case FormatMarkdown:
		return look.WriteMarkdown(w.w, records)
	case FormatHTML:
		return look.WriteHTML(w.w, records)
	case FormatSVG:
		return w.picture(records, (*picture.Picture).WriteSVG)
	case FormatPNG:
		return w.picture(records, (*picture.Picture).WritePNG)
	}
	return w.unwritten("together")
}

// picture has a picture of the one record written.
func (w *Writer) picture(records []*schema.Record, write func(*picture.Picture, io.Writer) error) error {
	if len(records) != 1 {
		return fmt.Errorf("a picture shows one record; there are %d", len(records))
	}
	p, err := picture.Named(records[0], cmp.Or(w.options.Picture, picture.NameLevels))
	if err != nil {
		return err
	}
	return write(p, w.w)
}

// workbook writes a workbook, large sheets of it by way of a temporary file.
func (w *Writer) workbook() error {
	look := workbook.Options{Link: w.options.Link}
	if w.options.Folder != nil {
		folder, remove, err := w.options.Folder()
		if err != nil {
			return err
		}
		defer remove()
		look.Temporary = folder
	}
	if w.options.Table != "" {
		return look.WriteTable(w.w, w.all, w.options.Table)
	}
	return look.Write(w.w, w.all)
}
