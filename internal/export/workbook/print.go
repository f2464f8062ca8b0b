package workbook

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"saywatt/internal/export/article"
	"saywatt/internal/export/table"
	"saywatt/internal/export/word"
)

// The sheet to print: six columns, of which the first is the time and the
// second says what it is; sections that need fewer columns join the rest.
const printSheet = "sheet"

// printWidths are the widths of its columns in characters. The last four, joined,
// hold a line of joined text.
var printWidths = [...]float64{8, 26, 24, 32, 24, 24}

// printer writes the sheet to print.
type printer struct {
	b                                         *book
	title, section, head                      int // styles
	group, faint, plain, cell, time, timeLink int
	cells                                     [len(printWidths)]any // of the row that is written next
	high                                      float64               // its height; 0 is as high as is usual
}

func (b *book) print(records []table.Sourced) {
	b.add(printSheet)
	for i, w := range printWidths {
		b.width(i, w)
	}
	top := &excelize.Alignment{WrapText: true, Vertical: "top"}
	off := &excelize.Alignment{WrapText: true, Vertical: "top", Indent: 1}
	under := []excelize.Border{{Type: "bottom", Style: 1, Color: "000000"}}
	p := printer{b: b,
		title:   b.style(&excelize.Style{Font: &excelize.Font{Bold: true, Size: 16}}),
		section: b.style(&excelize.Style{Font: &excelize.Font{Bold: true, Size: 12}, Border: under}),
		head:    b.style(&excelize.Style{Font: &excelize.Font{Color: "555555", Size: 9}, Alignment: off}),
		group:   b.style(&excelize.Style{Font: &excelize.Font{Bold: true}}),
		faint:   b.style(&excelize.Style{Font: &excelize.Font{Color: "555555"}, Alignment: top}),
		plain:   b.style(&excelize.Style{Alignment: top}),
		cell:    b.style(&excelize.Style{Alignment: off}),
		time:    b.style(&excelize.Style{Alignment: &excelize.Alignment{Horizontal: "right", Vertical: "top"}}),
		timeLink: b.style(&excelize.Style{Font: &excelize.Font{Color: linkColor, Underline: "single"},
			Alignment: &excelize.Alignment{Horizontal: "right", Vertical: "top"}}),
	}
	index, err := b.f.GetSheetIndex(printSheet)
	b.check(err)
	b.f.SetActiveSheet(index)
	grid := false
	b.check(b.f.SetSheetView(printSheet, 0, &excelize.ViewOptions{ShowGridLines: &grid}))
	b.begin("")
	for i, s := range records {
		if i > 0 {
			b.check(b.f.InsertPageBreak(printSheet, b.at(0, b.row)))
		}
		p.record(b.article.Page(s.Record))
	}
	b.end()
	b.define(printSheet, printArea, fmt.Sprintf("$A$1:$F$%d", max(b.row, 1)))
	if len(records) == 1 {
		b.define(printSheet, "_xlnm.Print_Titles", "$1:$1")
	}
}

// next writes the row, and begins the next one.
func (p *printer) next() {
	p.b.put(p.cells[:], p.high)
	p.cells, p.high = [len(printWidths)]any{}, 0
}

// record writes the sheet of one record.
func (p *printer) record(a *article.Page) {
	p.wide(a.Title, p.title)
	for _, s := range []string{a.Kind, a.About} {
		p.wide(s, p.plain)
	}
	p.wide(a.Origin, p.faint)
	var legend []string
	for _, l := range a.Legend {
		legend = append(legend, l.Sign+" "+l.Meaning)
	}
	p.wide(strings.Join(legend, " · "), p.faint)
	for _, s := range a.Sections {
		p.sectionOf(s)
	}
	p.ear(a.Ear)
	if len(a.Findings) > 0 {
		p.heads("Findings", nil)
		for _, f := range a.Findings {
			p.line(f.Time, f.Severity, f.Message+" ("+f.More+")")
		}
	}
	p.list("The file itself", a.Problems)
	p.list("Take care", a.Cautions)
	p.next()
}

func (p *printer) ear(items []article.EarItem) {
	if len(items) == 0 {
		return
	}
	p.heads("Needs your ear", nil)
	for _, e := range items {
		var choices []string
		for _, c := range e.Choices {
			choices = append(choices, strings.TrimSpace(c.Text+" "+c.Percent))
		}
		text := word.Join([]string{e.As, strings.Join(choices, " · ")}, ": ")
		if e.Context != "" {
			text += ", in “" + e.Context + "”"
		}
		p.line(e.Time, "“"+e.Heard+"”", text)
	}
}

func (p *printer) list(title string, items []string) {
	if len(items) == 0 {
		return
	}
	p.heads(title, nil)
	for _, s := range items {
		p.wide(s, p.plain)
	}
}

// sectionOf writes a table: each cell in its column where there are as many,
// else the last joined over what is left.
func (p *printer) sectionOf(s article.Section) {
	p.heads(s.Title, s.Heads)
	for _, r := range s.Rows {
		if r.Heading != "" {
			p.text(0, r.Heading, p.group)
			p.next()
			continue
		}
		texts := []string{r.Label}
		for _, c := range r.Cells {
			var b strings.Builder
			for _, s := range c {
				b.WriteString(s.Text)
			}
			texts = append(texts, strings.TrimSpace(b.String()))
		}
		p.line(r.Time, texts...)
	}
}

// heads writes the title of a section, a line above it, and its column heads:
// "what" and "as said", which are those of two columns, say nothing in
// print.
func (p *printer) heads(title string, heads []string) {
	p.text(0, title, p.section)
	p.blank(1, p.section)
	p.high = 19
	p.next()
	if len(heads) > 2 {
		for i, h := range heads {
			p.text(i+1, h, p.head)
		}
		p.next()
	}
}

// line writes a time and texts behind it, the last over the columns left.
func (p *printer) line(at article.TimeLink, texts ...string) {
	if at.Clock != "" {
		style := p.time
		if p.b.link(p.b.at(0, p.b.row), at.Link) {
			style = p.timeLink
		}
		p.text(0, at.Clock, style)
	}
	high := 1
	last := len(texts) - 1
	for i, s := range texts {
		p.text(i+1, s, p.cell)
		room := printWidths[i+1]
		if i == last && i+1 < len(printWidths)-1 {
			p.join(i+1, p.cell)
			for _, w := range printWidths[i+2:] {
				room += w
			}
		}
		high = max(high, linesOf(s, int(room)))
	}
	p.height(high)
	p.next()
}

// wide writes text over all columns; nothing where there is none.
func (p *printer) wide(s string, style int) {
	if s == "" {
		return
	}
	p.text(0, s, style)
	p.join(0, style)
	if style != p.title {
		room := 0.0
		for _, w := range printWidths {
			room += w
		}
		p.height(linesOf(s, int(room)))
	}
	p.next()
}

func (p *printer) text(col int, s string, style int) {
	c := excelize.Cell{StyleID: style}
	if runes := []rune(table.CellText(s)); len(runes) > 0 {
		c.Value = string(runes[:min(len(runes), maxCell)])
	}
	p.cells[col] = c
}

// blank has the cells from a column to the last empty, in a style.
func (p *printer) blank(from, style int) {
	for i := from; i < len(p.cells); i++ {
		p.cells[i] = excelize.Cell{StyleID: style}
	}
}

// join joins the cells from a column to the last.
func (p *printer) join(from, style int) {
	p.blank(from+1, style)
	if p.b.err == nil {
		p.b.err = p.b.rows.MergeCell(p.b.at(from, p.b.row), p.b.at(len(p.cells)-1, p.b.row))
	}
}

// lineHeight is the height of a line in points, highestRow of a row at most
// (409 is what spreadsheet programs take, common practice, no source).
const (
	lineHeight = 15
	highestRow = 409
)

// height makes room for lines: joined cells do not make it for themselves.
func (p *printer) height(lines int) {
	if lines > 1 {
		p.high = float64(min(lines*lineHeight, highestRow))
	}
}

// linesOf is how many lines text takes in a width of digits: a letter of running
// text is narrower than a digit, in Calibri by a quarter. A fifth is counted on.
func linesOf(s string, room int) int {
	return 1 + (utf8.RuneCountInString(s)-1)/max(room*6/5, 1)
}
