package overview

import (
	"embed"
	"html/template"
	"io"
	"strings"
	"sync"
	"unicode/utf8"

	"saywatt/internal/archive"
	"saywatt/internal/export/account"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/table"
	"saywatt/internal/wrap"
	"saywatt/schema"
)

//go:embed templates/*.html
var templates embed.FS

var comparePage = sync.OnceValue(func() *template.Template {
	return template.Must(template.ParseFS(templates, "templates/compare.html"))
})

// comparisonLegend says what the signs of places mean that the cells have, "" for
// none.
func comparisonLegend(c *archive.Comparison) string {
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
	Rows  []archive.Row
}

// parts cuts the rows into differences and the rest, each by section.
func parts(c *archive.Comparison) []comparePart {
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
func (l Look) WriteComparison(w io.Writer, c *archive.Comparison) error {
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
	row("", bold, func(i int) string { return shown(c.Reviews[i]) })
	if sameTitles(c) {
		row("", "", func(i int) string { return c.Reviews[i].Name })
	}
	for _, part := range parts(c) {
		p.line("")
		p.line(p.paint(p.text(part.Title), bold))
		for _, r := range part.Rows {
			row(r.Label, plain, func(i int) string {
				cell := r.Cells[i]
				if cell.Text == "" {
					return "–"
				}
				return join(cell.Text+cell.Mark(), cell.Ratio)
			})
		}
	}
	if len(c.Common) > 0 {
		p.line("")
		p.line(p.text("Parts in common: " + strings.Join(c.Common, ", ")))
	}
	if s := comparisonLegend(c); s != "" {
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
func WriteComparisonCSV(w io.Writer, c *archive.Comparison) error {
	t := table.NewCSV(w)
	head := []string{"section", "property", "differs"}
	for _, rv := range c.Reviews {
		name := table.CSVCell(rv.Name)
		head = append(head, name, name+" value", name+" unit", name+" status", name+" place doubt")
	}
	t.Write(head)
	for _, r := range c.Rows {
		line := []string{r.Section, table.CSVCell(r.Label), map[bool]string{true: "yes", false: "no"}[r.Differs]}
		for _, cell := range r.Cells {
			value, unit, status := "", "", ""
			if cell.Quantity != nil && !cell.Quantity.Range {
				value, unit = cell.Quantity.High.String(), string(cell.Quantity.Unit)
			}
			if cell.Text != "" && cell.Status != schema.StatusUnknown {
				status = cell.Status.String()
			}
			line = append(line, table.CSVCell(cell.Text+cell.Mark()), value, unit, status, cell.Place.Words())
		}
		t.Write(line)
	}
	t.Flush()
	return t.Error()
}

// WriteComparisonHTML writes a comparison as one HTML page that needs nothing
// else.
func WriteComparisonHTML(w io.Writer, c *archive.Comparison) error {
	return comparePage().Execute(w, struct {
		*archive.Comparison
		Parts   []comparePart
		Columns int
		Places  string
		Caution string
	}{c, parts(c), len(c.Reviews) + 1, comparisonLegend(c), account.NotACertification})
}

// The JSON form of a comparison.
type (
	comparisonJSON struct {
		Reviews []*archive.Review `json:"reviews"`
		Rows    []rowJSON         `json:"rows"`
		Common  []string          `json:"common_parts"`
		Damages []string          `json:"damages,omitempty"`
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
func WriteComparisonJSON(w io.Writer, c *archive.Comparison) error {
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
	return plainjson.Write(w, out)
}

// sameTitles reports whether two of the reviews have one title, so that only
// their names distinguish them.
func sameTitles(c *archive.Comparison) bool {
	seen := map[string]bool{}
	for _, r := range c.Reviews {
		if seen[r.Title()] {
			return true
		}
		seen[r.Title()] = true
	}
	return false
}
