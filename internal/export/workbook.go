package export

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"saywatt/internal/edit"
	"saywatt/schema"
)

// A Sourced is a record with the changes it makes to the captions it is from;
// no changes where the captions are not at hand.
type Sourced struct {
	Record  *schema.Record
	Changes []edit.Change
}

// WriteWorkbook writes records as one Office Open XML workbook (ECMA-376).
//
// The first sheet, "sheet", is the one to print: all of the specification
// sheet, section below section, a record from a new page on. Behind it "about"
// tells the product, how much was heard, what needs a person, and the cautions;
// then comes a sheet for each table (see TableNames), its first columns the
// review and the file, its first row frozen and filterable. Numbers are numbers,
// shown with the decimals that were said; texts are texts, and none can become
// a formula, not even when it is typed in again. Times are links where the
// article has an address for them.
//
// Whoever prints the workbook gets the first sheet, landscape on A4, as wide as
// the page. The others repeat what it says, for the screen: their print area is
// one empty cell. WriteTableWorkbook writes one of them to print. The file
// names no author, no program and no date.
func (a Article) WriteWorkbook(w io.Writer, records []Sourced) error {
	b := a.book()
	defer b.f.Close()
	b.print(records)
	b.about(records)
	for _, name := range TableNames {
		t := tableOf(records, name)
		b.table(t)
		b.unprinted(name, len(t.Columns))
	}
	return b.write(w)
}

// WriteTableWorkbook writes one table of records as a workbook of one sheet. It
// prints landscape on A4, as wide as the page, its head on each page; what
// explains (the reasons, the words around) is left out in print.
func (a Article) WriteTableWorkbook(w io.Writer, records []Sourced, table string) error {
	b := a.book()
	defer b.f.Close()
	t := tableOf(records, table)
	b.table(t)
	b.define(t.Name, printArea, b.printed(t))
	return b.write(w)
}

// tableOf is a table of all the records, with the columns of the review.
func tableOf(records []Sourced, name string) Table {
	t := Table{Name: name}
	for _, r := range records {
		one, _ := TableNamed(r.Record, r.Changes, name)
		one = one.OfReview(r.Record)
		t.Columns = one.Columns
		t.Rows = append(t.Rows, one.Rows...)
	}
	if t.Columns == nil { // a table without rows has its columns all the same
		empty, _ := TableNamed(&schema.Record{}, nil, name)
		t.Columns = empty.OfReview(&schema.Record{}).Columns
	}
	return t
}

func (a Article) book() *book {
	return &book{f: excelize.NewFile(), article: a, decimals: map[decimalStyle]int{}}
}

// write writes the workbook as it stands.
func (b *book) write(w io.Writer) error {
	b.anonymous()
	if b.err != nil {
		return b.err
	}
	var file bytes.Buffer
	if _, err := b.f.WriteTo(&file); err != nil {
		return err
	}
	return dated(w, file.Bytes())
}

// dated writes a zip file anew with the first day that it can have as the date of
// each part: the library leaves day and month 0, which some programs refuse.
func dated(w io.Writer, file []byte) error {
	firstDay := time.Date(1980, time.January, 1, 0, 0, 0, 0, time.UTC)
	in, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return err
	}
	out := zip.NewWriter(w)
	for _, f := range in.File {
		part, err := out.CreateHeader(&zip.FileHeader{Name: f.Name, Method: f.Method, Modified: firstDay})
		if err != nil {
			return err
		}
		text, err := f.Open()
		if err != nil {
			return err
		}
		if _, err := io.Copy(part, text); err != nil {
			return err
		}
		if err := text.Close(); err != nil {
			return err
		}
	}
	return out.Close()
}

// anonymous takes out what the library says of author, program and date.
func (b *book) anonymous() {
	const head = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"
	b.f.Pkg.Store("docProps/core.xml", []byte(head+
		`<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties"/>`))
	b.f.Pkg.Store("docProps/app.xml", []byte(head+
		`<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"/>`))
}

// fileName names the source of a record.
func fileName(r *schema.Record) string {
	if r.Source.File == "-" {
		return "standard input"
	}
	return shownFile(&r.Source)
}

// book is a workbook being written; err is the first error.
type book struct {
	f        *excelize.File
	article  Article
	err      error
	sheets   int
	links    int                  // on the sheet being written
	header   int                  // style of header rows
	wrap     int                  // style of long texts
	decimals map[decimalStyle]int // styles of numbers
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
	b.links = 0
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

// sheet adds a sheet with a header row, which is on every page of print.
func (b *book) sheet(name string, columns []string) {
	b.add(name)
	for i, c := range columns {
		b.check(b.f.SetCellStr(name, b.at(i, 0), c))
	}
	b.check(b.f.SetCellStyle(name, b.at(0, 0), b.at(len(columns)-1, 0), b.header))
	b.check(b.f.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	b.define(name, "_xlnm.Print_Titles", "$1:$1")
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

func (b *book) table(t Table) {
	b.sheet(t.Name, t.Columns)
	widths := make([]int, len(t.Columns))
	for i, c := range t.Columns {
		widths[i] = utf8.RuneCountInString(c)
	}
	for k, row := range t.Rows {
		for i, v := range row {
			b.cell(t.Name, i, k+1, v)
			widths[i] = max(widths[i], utf8.RuneCountInString(cellText(v)))
		}
	}
	b.widths(t.Name, widths)
	last := b.at(len(t.Columns)-1, len(t.Rows))
	b.check(b.f.AutoFilter(t.Name, "A1:"+last, nil))
	b.fit(t.Name)
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
func (b *book) printed(t Table) string {
	n := len(t.Columns)
	for n > 1 && explaining[t.Columns[n-1]] {
		n--
	}
	col, row, err := excelize.CellNameToCoordinates(b.at(n-1, len(t.Rows)))
	b.check(err)
	last, err := excelize.CoordinatesToCellName(col, row, true)
	b.check(err)
	return "$A$1:" + last
}

func (b *book) widths(sheet string, widths []int) {
	for i, w := range widths {
		col, err := excelize.ColumnNumberToName(i + 1)
		b.check(err)
		b.check(b.f.SetColWidth(sheet, col, col, float64(min(max(w+2, narrowest), widest))))
	}
}

// cell writes a typed cell.
func (b *book) cell(sheet string, col, row int, v any) {
	at := b.at(col, row)
	switch v := v.(type) {
	case nil:
	case string:
		if v == "" {
			return
		}
		text := []rune(CSVCell(v))
		b.check(b.f.SetCellStr(sheet, at, string(text[:min(len(text), maxCell)])))
		if len(text) > widest {
			b.check(b.f.SetCellStyle(sheet, at, at, b.wrap))
		}
	case schema.Decimal:
		b.check(b.f.SetCellFloat(sheet, at, v.Float64(), -1, 64))
		b.check(b.f.SetCellStyle(sheet, at, at, b.decimal(v.Decimals(), false)))
	case schema.Seconds:
		b.check(b.f.SetCellFloat(sheet, at, float64(v)/1000, -1, 64))
		link := b.link(sheet, at, &v)
		b.check(b.f.SetCellStyle(sheet, at, at, b.decimal(3, link)))
	case float64:
		b.check(b.f.SetCellFloat(sheet, at, v, -1, 64))
		b.check(b.f.SetCellStyle(sheet, at, at, b.decimal(3, false)))
	case int:
		b.check(b.f.SetCellInt(sheet, at, int64(v)))
	}
}

// link makes a cell lead to a moment; false where there is no address for it,
// or the sheet has all the links it can hold.
func (b *book) link(sheet, cell string, at *schema.Seconds) bool {
	address := b.article.timeLink(at, "").Link
	if address == "" || b.links == maxLinks {
		return false
	}
	b.links++
	b.check(b.f.SetCellHyperLink(sheet, cell, address, "External"))
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
func (b *book) about(records []Sourced) {
	const name = "about"
	b.sheet(name, []string{"file", "what", "text"})
	row := 1
	add := func(file, what string, v any) {
		if v == "" || v == nil {
			return
		}
		b.cell(name, 0, row, file)
		b.cell(name, 1, row, what)
		b.cell(name, 2, row, v)
		row++
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
		add(file, "for your ear in all, names too", AccountOf(r).Ear)
		for _, q := range openQuantities(r) {
			at := ""
			if q.At != nil {
				at = " at " + q.At.Clock()
			}
			add(file, "needs your ear", fmt.Sprintf("“%s”%s: see the sheet ear, number %d", q.Heard, at, q.Number))
		}
		for _, c := range openNames(r) {
			add(file, "needs your ear", fmt.Sprintf("“%s” names %s", c.heard, c.what))
		}
		for _, c := range cautionsOf(r) {
			add(file, "take care", c)
		}
	}
	b.widths(name, []int{18, 22, widest})
	b.unprinted(name, 3)
}

// cautionsOf lists the cautions of a record; that it is no certification is
// always among them.
func cautionsOf(r *schema.Record) []string {
	for _, c := range r.Cautions {
		if strings.Contains(c, "certification") {
			return r.Cautions
		}
	}
	return append(append([]string{}, r.Cautions...), NotACertification)
}
