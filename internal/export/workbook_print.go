package export

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
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
	row                                       int
	title, section, head                      int // styles
	group, faint, plain, cell, time, timeLink int
	// joined are the first and last cells of those to be joined. That comes last: the
	// library goes through all that are joined for each cell that is written.
	joined [][2]string
}

func (b *book) print(records []Sourced) {
	b.add(printSheet)
	for i, w := range printWidths {
		col, err := excelize.ColumnNumberToName(i + 1)
		b.check(err)
		b.check(b.f.SetColWidth(printSheet, col, col, w))
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
	for i, s := range records {
		if i > 0 {
			b.check(b.f.InsertPageBreak(printSheet, b.at(0, p.row)))
		}
		p.record(b.article.page(s.Record))
	}
	for _, cells := range p.joined {
		b.check(b.f.MergeCell(printSheet, cells[0], cells[1]))
	}
	b.define(printSheet, printArea, fmt.Sprintf("$A$1:$F$%d", max(p.row, 1)))
	if len(records) == 1 {
		b.define(printSheet, "_xlnm.Print_Titles", "$1:$1")
	}
	index, err := b.f.GetSheetIndex(printSheet)
	b.check(err)
	b.f.SetActiveSheet(index)
	grid := false
	b.check(b.f.SetSheetView(printSheet, 0, &excelize.ViewOptions{ShowGridLines: &grid}))
}

// record writes the sheet of one record.
func (p *printer) record(a *articlePage) {
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
	p.row++
}

func (p *printer) ear(items []earItem) {
	if len(items) == 0 {
		return
	}
	p.heads("Needs your ear", nil)
	for _, e := range items {
		var choices []string
		for _, c := range e.Choices {
			choices = append(choices, strings.TrimSpace(c.Text+" "+c.Percent))
		}
		text := joinNonEmpty([]string{e.As, strings.Join(choices, " · ")}, ": ")
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
func (p *printer) sectionOf(s articleSection) {
	p.heads(s.Title, s.Heads)
	for _, r := range s.Rows {
		if r.Heading != "" {
			p.text(0, r.Heading, p.group)
			p.row++
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

// heads writes the title of a section, a line above it, and its column heads.
func (p *printer) heads(title string, heads []string) {
	p.text(0, title, p.section)
	p.b.check(p.b.f.SetCellStyle(printSheet, p.b.at(0, p.row), p.b.at(len(printWidths)-1, p.row), p.section))
	p.b.check(p.b.f.SetRowHeight(printSheet, p.row+1, 19))
	p.row++
	for i, h := range heads {
		p.text(i+1, h, p.head)
	}
	if len(heads) > 2 {
		p.row++
	} else {
		for i := range heads { // "what" and "as said" tell nobody anything in print
			p.b.check(p.b.f.SetCellStr(printSheet, p.b.at(i+1, p.row), ""))
		}
	}
}

// line writes a time and texts behind it, the last over the columns left.
func (p *printer) line(at timeLink, texts ...string) {
	if at.Clock != "" {
		cell, style := p.b.at(0, p.row), p.time
		p.b.check(p.b.f.SetCellStr(printSheet, cell, at.Clock))
		if at.Link != "" && p.b.links < maxLinks {
			p.b.links++
			p.b.check(p.b.f.SetCellHyperLink(printSheet, cell, at.Link, "External"))
			style = p.timeLink
		}
		p.b.check(p.b.f.SetCellStyle(printSheet, cell, cell, style))
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
	p.row++
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
	p.row++
}

func (p *printer) text(col int, s string, style int) {
	cell := p.b.at(col, p.row)
	runes := []rune(cellText(s))
	p.b.check(p.b.f.SetCellStr(printSheet, cell, string(runes[:min(len(runes), maxCell)])))
	p.b.check(p.b.f.SetCellStyle(printSheet, cell, cell, style))
}

// join joins the cells from a column to the last.
func (p *printer) join(from, style int) {
	first, last := p.b.at(from, p.row), p.b.at(len(printWidths)-1, p.row)
	p.joined = append(p.joined, [2]string{first, last})
	p.b.check(p.b.f.SetCellStyle(printSheet, first, last, style))
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
		p.b.check(p.b.f.SetRowHeight(printSheet, p.row+1, float64(min(lines*lineHeight, highestRow))))
	}
}

// linesOf is how many lines text takes in a width of digits: a letter of running
// text is narrower than a digit, in Calibri by a quarter. A fifth is counted on.
func linesOf(s string, room int) int {
	return 1 + (utf8.RuneCountInString(s)-1)/max(room*6/5, 1)
}
