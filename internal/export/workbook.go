package export

import (
	"fmt"
	"io"
	"strings"
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

// WriteWorkbook writes records as one Office Open XML workbook (ECMA-376). The
// first sheet, "about", tells the product, how much was heard, what needs a
// person, and the cautions; then comes a sheet for each table (see TableNames),
// its first column the file, its first row frozen and filterable. Numbers are
// numbers, shown with the decimals that were said; texts are texts, and none
// can become a formula, not even when it is typed in again.
func WriteWorkbook(w io.Writer, records []Sourced) error {
	f := excelize.NewFile()
	defer f.Close()
	b := book{f: f, decimals: map[int]int{}}
	b.about(records)
	for i, name := range TableNames {
		t := Table{Name: name}
		for _, r := range records {
			one := Tables(r.Record, r.Changes)[i]
			t.Columns = one.Columns
			for _, row := range one.Rows {
				t.Rows = append(t.Rows, append([]any{fileName(r.Record)}, row...))
			}
		}
		t.Columns = append([]string{"file"}, t.Columns...)
		b.table(t)
	}
	if b.err != nil {
		return b.err
	}
	_, err := f.WriteTo(w)
	return err
}

// fileName names the source of a record.
func fileName(r *schema.Record) string {
	if r.Source.File == "-" {
		return "standard input"
	}
	return r.Source.File
}

// book is a workbook being written; err is the first error.
type book struct {
	f        *excelize.File
	err      error
	sheets   int
	header   int         // style of header rows
	wrap     int         // style of long texts
	decimals map[int]int // style of numbers by digits after the point
}

// Widths of columns in characters.
const (
	narrowest = 7
	widest    = 60
)

// maxCell is the most characters a cell can hold (ECMA-376 leaves it to the
// program; 32767 is what spreadsheet programs have, common practice).
const maxCell = 32767

func (b *book) check(err error) {
	if b.err == nil {
		b.err = err
	}
}

func (b *book) style(s *excelize.Style) int {
	id, err := b.f.NewStyle(s)
	b.check(err)
	return id
}

// sheet adds a sheet with a header row.
func (b *book) sheet(name string, columns []string) {
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
	for i, c := range columns {
		b.check(b.f.SetCellStr(name, b.at(i, 0), c))
	}
	b.check(b.f.SetCellStyle(name, b.at(0, 0), b.at(len(columns)-1, 0), b.header))
	b.check(b.f.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
}

func (b *book) at(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col+1, row+1)
	b.check(err)
	return name
}

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
	b.check(b.f.AutoFilter(t.Name, b.at(0, 0)+":"+b.at(len(t.Columns)-1, len(t.Rows)), nil))
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
		text := []rune(cell(v))
		b.check(b.f.SetCellStr(sheet, at, string(text[:min(len(text), maxCell)])))
		if len(text) > widest {
			b.check(b.f.SetCellStyle(sheet, at, at, b.wrap))
		}
	case schema.Decimal:
		b.check(b.f.SetCellFloat(sheet, at, v.Float64(), -1, 64))
		b.check(b.f.SetCellStyle(sheet, at, at, b.decimal(v.Decimals())))
	case schema.Seconds:
		b.check(b.f.SetCellFloat(sheet, at, float64(v)/1000, -1, 64))
		b.check(b.f.SetCellStyle(sheet, at, at, b.decimal(3)))
	case float64:
		b.check(b.f.SetCellFloat(sheet, at, v, -1, 64))
		b.check(b.f.SetCellStyle(sheet, at, at, b.decimal(3)))
	case int:
		b.check(b.f.SetCellInt(sheet, at, int64(v)))
	}
}

// decimal is the style of a number with so many digits after the point.
func (b *book) decimal(n int) int {
	n = min(n, 15)
	id, ok := b.decimals[n]
	if !ok {
		format := "0"
		if n > 0 {
			format += "." + strings.Repeat("0", n)
		}
		id = b.style(&excelize.Style{CustomNumFmt: &format})
		b.decimals[n] = id
	}
	return id
}

// about writes the first sheet.
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
		add(file, "marks told of", strings.Join(r.Product.Marks, ", "))
		add(file, "sha256 of the file", r.Source.SHA256)
		add(file, "quantities said", r.Counts.Said)
		add(file, "of these as heard", r.Counts.Heard)
		add(file, "repaired", r.Counts.Repaired)
		add(file, "for your ear", r.Counts.Open)
		add(file, "settled by a person", r.Counts.Settled)
		add(file, "in no field", r.Counts.Unplaced)
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
