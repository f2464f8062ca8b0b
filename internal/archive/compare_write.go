package archive

import (
	"embed"
	"encoding/csv"
	"html/template"
	"io"
	"strings"
	"sync"
	"unicode/utf8"

	"saywatt/internal/export"
	"saywatt/internal/wrap"
	"saywatt/schema"
)

//go:embed templates/*.html
var templates embed.FS

var comparePage = sync.OnceValue(func() *template.Template {
	return template.Must(template.ParseFS(templates, "templates/compare.html"))
})

// Mark is the sign of the cell's status, and of its place where that is in doubt,
// as in sheets; "" where its text has the signs of the values in it.
func (c Cell) Mark() string {
	if c.marked {
		return ""
	}
	return c.doubt().mark()
}

// legend says what the signs of places mean that the cells have, "" for none.
func (c *Comparison) legend() string {
	var shown places
	for _, r := range c.Rows {
		for _, cell := range r.Cells {
			shown.add(cell.Place)
		}
	}
	return shown.legend()
}

// comparePart is a stretch of rows under one title.
type comparePart struct {
	Title string
	Rows  []Row
}

// parts cuts the rows into differences and the rest, each by section.
func (c *Comparison) parts() []comparePart {
	var parts []comparePart
	title := ""
	for _, r := range c.Rows {
		t := "The same: " + r.Section
		if r.Differs {
			t = "Different: " + r.Section
		}
		if t != title {
			parts, title = append(parts, comparePart{Title: t}), t
		}
		last := &parts[len(parts)-1]
		last.Rows = append(last.Rows, r)
	}
	return parts
}

// WriteComparison writes a comparison for the terminal: a column for each
// review, values in the units of the first, ratios to it behind them.
func (l Look) WriteComparison(w io.Writer, c *Comparison) error {
	p := l.printer(w)
	n := len(c.Reviews)
	label := max(p.Width/(n+2), 16)
	column := max((p.Width-label)/max(n, 1), 12)
	row := func(head string, style string, cells func(i int) string) {
		columns := make([][]string, n+1)
		columns[0] = fill(p.text(head), label-2)
		lines := len(columns[0])
		for i := range n {
			columns[i+1] = fill(p.text(cells(i)), column-2)
			lines = max(lines, len(columns[i+1]))
		}
		for k := range lines {
			var b strings.Builder
			for i, col := range columns {
				text, width := "", column
				if i == 0 {
					width = label
				}
				if k < len(col) {
					text = col[k]
				}
				b.WriteString(p.paint(pad(text, width), style))
			}
			p.line(strings.TrimRight(b.String(), " "))
		}
	}
	row("", bold, func(i int) string { return c.Reviews[i].shown() })
	if c.sameTitles() {
		row("", "", func(i int) string { return c.Reviews[i].Name })
	}
	for _, part := range c.parts() {
		p.line("")
		p.line(p.paint(p.text(part.Title), bold))
		for _, r := range part.Rows {
			row(r.Label, plain, func(i int) string {
				cell := r.Cells[i]
				if cell.Text == "" {
					return "–"
				}
				return join2(cell.Text+cell.Mark(), cell.Ratio)
			})
		}
	}
	if len(c.Common) > 0 {
		p.line("")
		p.line(p.text("Parts in common: " + strings.Join(c.Common, ", ")))
	}
	if s := c.legend(); s != "" {
		p.line("")
		p.line(p.paint(p.text(s), faint))
	}
	for _, d := range c.Damages {
		p.line(p.paint(p.text(d.Error()), red))
	}
	return p.err
}

// fill breaks a prepared text into lines of at most n characters, at blanks
// where there are any; an empty text is an empty line.
func fill(s string, n int) []string {
	if all := wrap.Lines(wrap.Cut(s, n), n, utf8.RuneCountInString); len(all) > 0 {
		return all
	}
	return []string{""}
}

// WriteComparisonCSV writes a comparison as CSV (RFC 4180): section, property,
// differs, then for each review its value as shown, with the marks of doubt,
// number and UCUM unit where it is a single value, status, and whether it may
// belong elsewhere.
func WriteComparisonCSV(w io.Writer, c *Comparison) error {
	t := csv.NewWriter(w)
	t.UseCRLF = true
	head := []string{"section", "property", "differs"}
	for _, rv := range c.Reviews {
		head = append(head, csvCell(rv.Name), csvCell(rv.Name)+" value", csvCell(rv.Name)+" unit",
			csvCell(rv.Name)+" status", csvCell(rv.Name)+" place doubt")
	}
	t.Write(head)
	for _, r := range c.Rows {
		line := []string{r.Section, csvCell(r.Label), map[bool]string{true: "yes", false: "no"}[r.Differs]}
		for _, cell := range r.Cells {
			value, unit, status := "", "", ""
			if cell.Quantity != nil && !cell.Quantity.Range {
				value, unit = cell.Quantity.High.String(), string(cell.Quantity.Unit)
			}
			if cell.Text != "" && cell.Status != schema.StatusUnknown {
				status = cell.Status.String()
			}
			line = append(line, csvCell(cell.Text+cell.Mark()), value, unit, status, cell.Place.Words())
		}
		t.Write(line)
	}
	t.Flush()
	return t.Error()
}

// csvCell keeps a spreadsheet from taking a text for a formula (common
// practice, no standard).
func csvCell(s string) string {
	s = export.Printable(s)
	if s != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(s)[0]) {
		return "'" + s
	}
	return s
}

// WriteComparisonHTML writes a comparison as one HTML page that needs nothing
// else.
func WriteComparisonHTML(w io.Writer, c *Comparison) error {
	return comparePage().Execute(w, struct {
		*Comparison
		Parts   []comparePart
		Columns int
		Places  string
		Caution string
	}{c, c.parts(), len(c.Reviews) + 1, c.legend(), export.NotACertification})
}

// The JSON form of a comparison.
type (
	comparisonJSON struct {
		Reviews []*Review `json:"reviews"`
		Rows    []rowJSON `json:"rows"`
		Common  []string  `json:"common_parts"`
		Damages []string  `json:"damages,omitempty"`
	}
	rowJSON struct {
		Section string     `json:"section"`
		Label   string     `json:"property"`
		Differs bool       `json:"differs"`
		Cells   []cellJSON `json:"cells"` // one for each review, in order
	}
	cellJSON struct {
		Text     string           `json:"text,omitempty"`
		Quantity *schema.Quantity `json:"quantity,omitempty"`
		Status   string           `json:"status,omitempty"`
		Place    string           `json:"place_doubt,omitempty"` // whether it may belong elsewhere
		At       *schema.Seconds  `json:"at,omitempty"`
		Ratio    string           `json:"ratio,omitempty"`
	}
)

// WriteComparisonJSON writes a comparison as one JSON document.
func WriteComparisonJSON(w io.Writer, c *Comparison) error {
	out := comparisonJSON{Reviews: c.Reviews, Rows: []rowJSON{}, Common: append([]string{}, c.Common...)}
	for _, d := range c.Damages {
		out.Damages = append(out.Damages, d.Error())
	}
	for _, r := range c.Rows {
		row := rowJSON{r.Section, r.Label, r.Differs, []cellJSON{}}
		for _, cell := range r.Cells {
			j := cellJSON{Text: cell.Text + cell.Mark(), Quantity: cell.Quantity, Place: cell.Place.Words(),
				At: cell.At, Ratio: cell.Ratio}
			if cell.Text != "" && cell.Status != schema.StatusUnknown {
				j.Status = cell.Status.String()
			}
			row.Cells = append(row.Cells, j)
		}
		out.Rows = append(out.Rows, row)
	}
	return writeJSON(w, out)
}

// sameTitles reports whether two of the reviews have one title, so that only
// their names tell them apart.
func (c *Comparison) sameTitles() bool {
	seen := map[string]bool{}
	for _, r := range c.Reviews {
		if seen[r.Title()] {
			return true
		}
		seen[r.Title()] = true
	}
	return false
}
