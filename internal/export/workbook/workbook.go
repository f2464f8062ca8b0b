// Package workbook writes records as Office Open XML workbooks: a first sheet to print,
// which is the page of package article, and behind it a sheet for each table of
// package table. It stands above both and is the only importer of excelize.
//
// The files: workbook.go the sheets of tables, print.go the sheet to print, links.go
// the links of cells, which the library is too slow for.
package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"saywatt/internal/export/account"
	"saywatt/internal/export/article"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/table"
	"saywatt/schema"
)

// Options say how workbooks are made. The zero value works.
type Options struct {
	// Link is the address of a moment, as that of an article.
	Link string
	// Temporary is the folder for temporary files; that of the system where none is
	// given.
	Temporary string
}

// Write writes records as one Office Open XML workbook (ECMA-376).
//
// The first sheet, "sheet", is the one to print: all of the specification
// sheet, section below section, a record from a new page on. Behind it "about"
// gives the product, how much was heard, what needs a person, and the cautions;
// then comes a sheet for each table (see table.Names), its first columns the
// review and the file, its first row frozen and filterable. Numbers are numbers,
// shown with the decimals that were said; texts are texts, and none can become
// a formula, not even when it is typed in again. Times are links where
// there is an address for them.
//
// Whoever prints the workbook gets the first sheet, landscape on A4, as wide as
// the page. The others repeat what it says, for the screen: their print area is
// one empty cell. WriteTable writes one of them to print. The file
// names no author, no program and no date.
//
// Sheets are written row by row: of the rows, a sheet holds 16 MiB in memory and
// puts more into a file in the folder for temporary files.
func (k Options) Write(w io.Writer, records []table.Sourced) error {
	b := k.book()
	defer b.f.Close()
	b.print(records)
	b.about(records)
	for _, name := range table.Names {
		columns, _ := b.table(records, name)
		b.unprinted(name, len(columns))
	}
	return b.write(w)
}

// WriteTable writes one table of records as a workbook of one sheet. It
// prints landscape on A4, as wide as the page, its head on each page; what
// explains (the reasons, the words around) is left out in print.
func (k Options) WriteTable(w io.Writer, records []table.Sourced, table string) error {
	b := k.book()
	defer b.f.Close()
	columns, rows := b.table(records, table)
	b.define(table, printArea, b.printed(columns, rows))
	return b.write(w)
}

// columnsOf are the columns of a table of several reviews.
func columnsOf(name string) []string {
	empty, _ := table.Named(&schema.Record{}, nil, name)
	return empty.OfReview(&schema.Record{}).Columns
}

// eachRow hands on the rows of a table of all the records, a record after the
// other: those of one are in memory at a time.
func eachRow(records []table.Sourced, name string, do func(row []any)) {
	for _, r := range records {
		t, _ := table.Named(r.Record, r.Changes, name)
		for _, row := range t.OfReview(r.Record).Rows {
			do(row)
		}
	}
}

func (k Options) book() *book {
	f := excelize.NewFile(excelize.Options{TmpDir: k.Temporary})
	b := &book{f: f, article: article.Options{Link: k.Link}, decimals: map[decimalStyle]int{},
		links: map[string][]cellLink{}}
	f.SetZipWriter(func(w io.Writer) excelize.ZipWriter { return &packer{Writer: zip.NewWriter(w), links: b.links} })
	return b
}

// write writes the workbook as it stands, its parts in the order of their names:
// the library has them in any.
func (b *book) write(w io.Writer) error {
	b.anonymous()
	for i := range b.sheets {
		if links := b.links[sheetPart(i+1)]; len(links) > 0 {
			b.f.Pkg.Store(relationsPart(i+1), relations(links))
		}
	}
	if b.err != nil {
		return b.err
	}
	var file bytes.Buffer
	if _, err := b.f.WriteTo(&file); err != nil {
		return err
	}
	in, err := zip.NewReader(bytes.NewReader(file.Bytes()), int64(file.Len()))
	if err != nil {
		return err
	}
	slices.SortFunc(in.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	out := zip.NewWriter(w)
	for _, f := range in.File {
		if err := out.Copy(f); err != nil {
			return err
		}
	}
	return out.Close()
}

// anonymous takes out what the library says of author, program and date.
func (b *book) anonymous() {
	b.f.Pkg.Store("docProps/core.xml", []byte(xmlHead+
		`<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties"/>`))
	b.f.Pkg.Store("docProps/app.xml", []byte(xmlHead+
		`<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"/>`))
}

// fileName names the source of a record.
func fileName(r *schema.Record) string {
	if r.Source.File == "-" {
		return "standard input"
	}
	return naming.ShownFile(&r.Source)
}

// book is a workbook being written; err is the first error.
type book struct {
	f        *excelize.File
	article  article.Options
	err      error
	sheets   int
	name     string                 // of the sheet being written
	rows     *excelize.StreamWriter // of that sheet
	row      int                    // that is written next
	links    map[string][]cellLink  // by the part of their sheet
	header   int                    // style of header rows
	wrap     int                    // style of long texts
	decimals map[decimalStyle]int   // styles of numbers
}

// decimalStyle is the style of a number: digits after the point, and whether it
// is a link.
type decimalStyle struct {
	digits int
	link   bool
}

// Widths of columns in characters.
const (
	narrowest = 7
	widest    = 60
)

// maxLinks is the most links that a sheet can have (common practice, no source:
// 65530 is what spreadsheet programs take).
const maxLinks = 65530

// linkColor is the colour of links.
const linkColor = "004B7A"

// maxCell is the most characters a cell can hold (ECMA-376 leaves it to the
// program; 32767 is what spreadsheet programs have, common practice).
const maxCell = 32767

func (b *book) check(err error) {
	if b.err == nil {
		b.err = err
	}
}

// The typeface of workbooks, which styles with a font of their own must name.
const (
	typeface = "Calibri"
	typeSize = 11
)

func (b *book) style(s *excelize.Style) int {
	if s.Font != nil {
		s.Font.Family = typeface
		if s.Font.Size == 0 {
			s.Font.Size = typeSize
		}
	}
	id, err := b.f.NewStyle(s)
	b.check(err)
	return id
}

// add adds a sheet.
func (b *book) add(name string) {
	if b.sheets == 0 {
		b.check(b.f.SetSheetName(b.f.GetSheetName(0), name))
		b.header = b.style(&excelize.Style{
			Font:   &excelize.Font{Bold: true},
			Fill:   excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E8E8E8"}},
			Border: []excelize.Border{{Type: "bottom", Style: 1, Color: "000000"}},
		})
		b.wrap = b.style(&excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	} else {
		_, err := b.f.NewSheet(name)
		b.check(err)
	}
	b.sheets++
	b.name, b.row = name, 0
	landscape, a4, wide, high := "landscape", 9, 1, 0
	b.check(b.f.SetPageLayout(name,
		&excelize.PageLayoutOptions{Orientation: &landscape, Size: &a4, FitToWidth: &wide, FitToHeight: &high}))
	b.fit(name)
	side, end, head := 0.4, 0.5, 0.25
	b.check(b.f.SetPageMargins(name,
		&excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &side, Bottom: &end, Header: &head,
			Footer: &head}))
	b.check(b.f.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L&A&R&P / &N"}))
}

// fit has a sheet printed to the width of the page. A filter undoes it.
func (b *book) fit(sheet string) {
	fit := true
	b.check(b.f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}))
}

// sheet adds a sheet whose first row, the heads of its columns, stays on the screen
// and is on every page of print.
func (b *book) sheet(name string, widths []int) {
	b.add(name)
	b.check(b.f.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	b.define(name, "_xlnm.Print_Titles", "$1:$1")
	for i, w := range widths {
		b.width(i, float64(min(max(w+2, narrowest), widest)))
	}
}

// heads writes the heads of columns.
func (b *book) heads(columns []string) {
	cells := make([]any, len(columns))
	for i, c := range columns {
		cells[i] = excelize.Cell{Value: c, StyleID: b.header}
	}
	b.put(cells, 0)
}

// width sets how wide a column is, in characters.
func (b *book) width(col int, w float64) {
	name, err := excelize.ColumnNumberToName(col + 1)
	b.check(err)
	b.check(b.f.SetColWidth(b.name, name, name, w))
}

// begin begins to write the rows of the sheet that was added last, which are the
// cells given, all where that is "". What is said of the sheet as a whole, links and
// page breaks aside, must be said before.
func (b *book) begin(cells string) {
	b.check(b.f.SetSheetDimension(b.name, cells))
	if b.err == nil {
		b.rows, b.err = b.f.NewStreamWriter(b.name)
	}
}

// put writes the next row; height 0 is as high as is usual. Nil is an empty cell.
func (b *book) put(cells []any, height float64) {
	if b.err == nil {
		b.err = b.rows.SetRow(b.at(0, b.row), cells, excelize.RowOpts{Height: height})
	}
	b.row++
}

// end ends the sheet.
func (b *book) end() {
	if b.err == nil {
		b.err = b.rows.Flush()
	}
}

// define gives a sheet a name of those that printing goes by.
func (b *book) define(sheet, name, cells string) {
	b.check(b.f.SetDefinedName(&excelize.DefinedName{Name: name, RefersTo: "'" + sheet + "'!" + cells, Scope: sheet}))
}

func (b *book) at(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col+1, row+1)
	b.check(err)
	return name
}

// explaining are columns that explain: they stay on the screen.
var explaining = map[string]bool{"why": true, "others": true, "belongs": true, "context": true, "paths": true,
	"source": true, "standing": true, "span": true, "place": true}

// table writes the sheet of a table, and returns its columns and how many rows
// are below their heads. The rows are made twice: how wide a column is must be
// known before the first is written.
func (b *book) table(records []table.Sourced, name string) (columns []string, n int) {
	columns = columnsOf(name)
	widths := make([]int, len(columns))
	for i, c := range columns {
		widths[i] = utf8.RuneCountInString(c)
	}
	eachRow(records, name, func(row []any) {
		for i, v := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(table.CellText(v)))
		}
		n++
	})
	b.sheet(name, widths)
	all := "A1:" + b.at(len(columns)-1, n)
	b.check(b.f.AutoFilter(name, all, nil))
	b.fit(name)
	b.begin(all)
	b.heads(columns)
	cells := make([]any, len(columns))
	eachRow(records, name, func(row []any) {
		for i, v := range row {
			cells[i] = b.cell(i, v)
		}
		b.put(cells, 0)
	})
	b.end()
	return columns, n
}

// printArea is the name by which a sheet says what of it is printed.
const printArea = "_xlnm.Print_Area"

// unprinted leaves a sheet out of print: an empty cell behind its columns is
// all that is printed of it.
func (b *book) unprinted(sheet string, columns int) {
	col, row, err := excelize.CellNameToCoordinates(b.at(columns+1, 0))
	b.check(err)
	cell, err := excelize.CoordinatesToCellName(col, row, true)
	b.check(err)
	b.define(sheet, printArea, cell)
}

// printed are the columns of a table up to the first of those at its end that
// are not printed.
func (b *book) printed(columns []string, rows int) string {
	n := len(columns)
	for n > 1 && explaining[columns[n-1]] {
		n--
	}
	col, row, err := excelize.CellNameToCoordinates(b.at(n-1, rows))
	b.check(err)
	last, err := excelize.CoordinatesToCellName(col, row, true)
	b.check(err)
	return "$A$1:" + last
}

// cell is a typed cell in a column of the row that is written next; nil where it
// is empty.
func (b *book) cell(col int, v any) any {
	switch v := v.(type) {
	case string:
		if v == "" {
			return nil
		}
		text := []rune(table.CSVCell(v))
		c := excelize.Cell{Value: string(text[:min(len(text), maxCell)])}
		if len(text) > widest {
			c.StyleID = b.wrap
		}
		return c
	case schema.Decimal:
		return excelize.Cell{Value: v.Float64(), StyleID: b.decimal(v.Decimals(), false)}
	case schema.Seconds:
		linked := b.link(b.at(col, b.row), b.article.TimeLink(&v, "").Link)
		return excelize.Cell{Value: float64(v) / 1000, StyleID: b.decimal(3, linked)}
	case float64:
		return excelize.Cell{Value: v, StyleID: b.decimal(3, false)}
	case int:
		return excelize.Cell{Value: v}
	}
	return nil
}

// link makes a cell of the sheet being written lead to an address; false where
// there is none, or the sheet has all the links it can hold.
func (b *book) link(cell, address string) bool {
	part := sheetPart(b.sheets)
	if address == "" || len(b.links[part]) == maxLinks {
		return false
	}
	b.links[part] = append(b.links[part], cellLink{cell, address})
	return true
}

// decimal is the style of a number with so many digits after the point.
func (b *book) decimal(n int, link bool) int {
	key := decimalStyle{min(n, 15), link}
	id, ok := b.decimals[key]
	if !ok {
		format := "0"
		if key.digits > 0 {
			format += "." + strings.Repeat("0", key.digits)
		}
		s := &excelize.Style{CustomNumFmt: &format}
		if link {
			s.Font = &excelize.Font{Color: linkColor, Underline: "single"}
		}
		id = b.style(s)
		b.decimals[key] = id
	}
	return id
}

// about writes the sheet of what the records are and how they stand.
func (b *book) about(records []table.Sourced) {
	const name = "about"
	columns := []string{"file", "what", "text"}
	b.sheet(name, []int{18, 22, widest})
	b.begin("")
	b.heads(columns)
	add := func(file, what string, v any) {
		if v != "" && v != nil {
			b.put([]any{b.cell(0, file), b.cell(1, what), b.cell(2, v)}, 0)
		}
	}
	for _, s := range records {
		r, file := s.Record, fileName(s.Record)
		add(file, "product", r.Product.Name)
		add(file, "kind", r.Product.Kind)
		add(file, "maker", r.Product.Maker)
		add(file, "model", r.Product.Model)
		add(file, "marks named", strings.Join(r.Product.Marks, ", "))
		add(file, "sha256 of the file", r.Source.SHA256)
		add(file, "quantities said", r.Counts.Said)
		add(file, "of these as heard", r.Counts.Heard)
		add(file, "repaired", r.Counts.Repaired)
		add(file, "for your ear", r.Counts.Open)
		add(file, "settled by a person", r.Counts.Settled)
		add(file, "in no field", r.Counts.Unplaced)
		add(file, "for your ear in all, names too", account.Of(r).Ear)
		for _, q := range account.OpenQuantities(r) {
			at := ""
			if q.At != nil {
				at = " at " + q.At.Clock()
			}
			add(file, "needs your ear", fmt.Sprintf("“%s”%s: see the sheet ear, number %d", q.Heard, at, q.Number))
		}
		for _, c := range account.OpenNames(r) {
			add(file, "needs your ear", fmt.Sprintf("“%s” names %s", c.Heard, c.What))
		}
		for _, c := range account.Cautions(r) {
			add(file, "take care", c)
		}
	}
	b.end()
	b.unprinted(name, len(columns))
}
