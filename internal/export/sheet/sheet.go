// Package sheet writes the specification sheet of a record as text, for a terminal or
// a file: what the product is and how much of it was heard, its places in the order
// of the record, what found no place, what a person should listen to, what the rules
// object to, and the cautions.
//
// A sheet is a page of lines (package line). Its sections are rows of a time, a label
// and a body of runs; [Sections] gives them to others, so that an article (package
// article) shows the same values in the same words and order. Which quantities and
// names wait for an ear, and in what order, is for package account to say. The files:
// sheet.go the page, places.go the sections of the product, together.go what ports in
// use together give, doubts.go names, reasons and what waits, value.go a value with
// its marks.
package sheet

import (
	"io"
	"strings"

	"saywatt/internal/export/account"
	"saywatt/internal/export/line"
	"saywatt/internal/export/naming"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// Options say how a specification sheet looks. The zero value gives a plain
// Unicode sheet of 80 columns.
//
// A sheet reads from the top: what the product is and how much of it was
// heard; its places in the order of the record (body, claims, powers of ports
// in use together, ports, levels, battery, cable, parts, measurements); what
// found no place; then what a person should listen to, what the rules object to, and the cautions. The
// left margin holds the time at which a line was said, to jump to in the video.
type Options struct {
	Width   int  // columns; 0 means 80, less than 40 counts as 40
	ASCII   bool // no character beyond ASCII
	Color   bool // SGR colours
	Explain bool // for every quantity: why it is read so, and its other readings
}

// page is a sheet being written.
type page struct {
	*line.Writer
	record *schema.Record
	gutter int        // columns of the margin for times
	gather *[]Section // where sections go instead of the page, for articles
}

// Write writes the sheet of one record.
func (s Options) Write(w io.Writer, r *schema.Record) error {
	look := line.Look{Width: s.Width, ASCII: s.ASCII, Color: s.Color}
	p := &page{Writer: look.Writer(w), record: r, gutter: gutterOf(r)}
	p.head()
	p.said()
	if s.Explain {
		p.reasons()
	}
	p.needsEar()
	p.whereItBelongs()
	p.findings()
	p.problems()
	p.cautions()
	return p.Err
}

// said writes what the record says of the product, in the order of the record, and
// what found no place.
func (p *page) said() {
	p.body()
	p.claims()
	p.together()
	p.ports()
	p.levels()
	p.battery()
	p.cable()
	p.parts()
	p.measurements()
	p.names()
	p.alsoSaid()
}

// Sections lists the sections of a sheet that are tables, in its order; those whose
// places are in doubt come last.
func Sections(r *schema.Record) []Section {
	const wide = 1000 // columns: nothing is cut
	var all []Section
	p := &page{Writer: line.Look{Width: wide}.Writer(io.Discard), record: r, gather: &all}
	p.said()
	p.whereItBelongs()
	return all
}

// maxTime bounds the times in the margin, in columns; longer ones are clipped.
const maxTime = 10

// gutterOf is the margin that the longest time of the record needs.
func gutterOf(r *schema.Record) int {
	longest := 0
	for i := range r.Quantities {
		if at := r.Quantities[i].At; at != nil {
			longest = max(longest, len(at.Clock()))
		}
	}
	for i := range r.Components {
		if at := r.Components[i].At; at != nil {
			longest = max(longest, len(at.Clock()))
		}
	}
	if longest == 0 {
		return 2
	}
	return min(max(longest, len("0:00")), maxTime) + 3
}

func (p *page) head() {
	r := p.record
	kind := p.Text(r.Product.Kind)
	name := p.Label(TitleOf(r), p.Width)
	if gap := p.Width - word.Columns(name) - word.Columns(kind); kind != "" && gap >= 2 {
		p.Line(p.Paint(name, line.StyleTitle) + strings.Repeat(" ", gap) + p.Paint(kind, line.StyleFaint))
	} else {
		p.Line(p.Paint(name, line.StyleTitle))
		if kind != "" {
			p.Flow("", 0, []line.Run{line.Faint(r.Product.Kind)})
		}
	}
	p.Line(p.Paint(strings.Repeat(p.rule(), p.Width), line.StyleFaint))
	if about := About(p.record); about != "" {
		p.Flow("", 0, []line.Run{line.Plain(about)})
	}
	p.Flow("", 0, []line.Run{line.Plain(Origin(p.record))})
	p.legend()
}

// About names the maker, the model and the marks, as far as they were said.
func About(r *schema.Record) string {
	var about []string
	if r.Source.Title != "" && r.Product.Name != "" {
		about = append(about, word.Clip(r.Product.Name, mostTitle))
	}
	if r.Product.Maker != "" {
		about = append(about, "made by "+word.Clip(r.Product.Maker, mostTitle))
	}
	if r.Product.Model != "" {
		about = append(about, "model "+word.Clip(r.Product.Model, mostTitle))
	}
	if len(r.Product.Marks) > 0 {
		about = append(about, "marked "+strings.Join(r.Product.Marks, ", "))
	}
	return strings.Join(about, "; ")
}

// Origin says what was read and how the quantities stand: those as heard,
// repaired, open, settled, and in no field add up to those said.
func Origin(r *schema.Record) string {
	source := naming.ShownFile(&r.Source)
	if source == "-" {
		source = "standard input"
	}
	source = word.CutMiddle(word.Printable(source), maxPath)
	if r.Source.Duration != nil {
		source += ", " + r.Source.Duration.Clock()
	}
	return source + ": " + account.InWords(&r.Counts, account.Of(r))
}

// maxPath bounds the name of the file read, in columns.
const maxPath = 48

// legend explains the marks that this sheet uses.
func (p *page) legend() {
	var runs []line.Run
	for _, l := range Legend(p.record) {
		if runs != nil {
			runs = append(runs, line.Plain(word.NBSP+word.NBSP+" "))
		}
		meaning := word.NBSP + l.Meaning
		if word.Columns(l.Sign+meaning)+word.Columns(word.NBSP+word.NBSP) <= p.Width { // else it breaks where it must
			meaning = word.Glue(meaning)
		}
		runs = append(runs, line.Styled(l.Sign, l.Style), line.Faint(meaning))
	}
	if runs != nil {
		p.Flow("", 0, runs)
	}
}

// signMeaning is an entry of the legend.
type signMeaning struct {
	Sign, Meaning string
	Style         line.Style
}

// Legend lists the marks that the record has values for.
func Legend(r *schema.Record) []signMeaning {
	var used [len(statusStyles)]bool
	var doubts [schema.PlaceUnlikely + 1]bool
	for i := range r.Quantities {
		used[statusIndex(r.Quantities[i].Status)] = true
		doubts[r.Quantities[i].PlaceDoubt()] = true
	}
	for i := range r.Components {
		used[statusIndex(r.Components[i].Status)] = true
	}
	for i := range r.Terms {
		if t := &r.Terms[i]; t.Status == schema.StatusSettled {
			used[statusIndex(t.Status)] = true
		}
	}
	if len(r.Product.Settled) > 0 {
		used[statusIndex(schema.StatusSettled)] = true
	}
	var all []signMeaning
	for i, s := range statusStyles {
		if used[i] && s.meaning != "" {
			sign, st := line.Mark(s.status)
			all = append(all, signMeaning{sign, s.meaning, st})
		}
	}
	for d := schema.PlaceUncertain; d <= schema.PlaceUnlikely; d++ {
		if doubts[d] {
			_, st := line.Doubted(schema.StatusHeard, d)
			all = append(all, signMeaning{d.Mark(), d.Words(), st})
		}
	}
	return all
}

// statusStyles are the marks in the order of the legend.
var statusStyles = [...]struct {
	status  schema.Status
	meaning string
}{

	{schema.StatusHeard, ""},
	{schema.StatusRepaired, "repaired, with the words heard beside it"},
	{schema.StatusOpen, "needs your ear"},
	{schema.StatusSettled, "settled by a person"},
}

func statusIndex(s schema.Status) int {
	for i := range statusStyles {
		if statusStyles[i].status == s {
			return i
		}
	}
	return 0
}

func (p *page) cautions() {
	p.section("Take care")
	for _, c := range account.Cautions(p.record) {
		p.bullet("!", line.StyleGrave, c)
	}
}

// bullet writes a sentence behind a sign.
func (p *page) bullet(sign string, st line.Style, text string) {
	p.Flow(strings.Repeat(" ", p.gutter)+p.Paint(sign, st)+" ", p.gutter+2, []line.Run{line.Plain(text)})
}

// rule is the stroke of horizontal rules.
func (p *page) rule() string {
	if p.ASCII {
		return "-"
	}
	return "─"
}

// section writes a blank line and a title with a rule behind it.
func (p *page) section(title string) {
	p.Line("")
	lead := p.gutter + word.Columns(title) + 1
	p.Line(strings.Repeat(" ", p.gutter) + p.Paint(title, line.StyleTitle) + " " +
		p.Paint(strings.Repeat(p.rule(), max(p.Width-lead, 0)), line.StyleFaint))
}

// A Row is one line of a section: when it was said, what it is, what was said.
// A row without body is a heading of those after it.
type Row struct {
	At     *schema.Seconds
	indent int
	Label  string
	Body   []line.Run
}

// A Section is a titled list of rows.
type Section struct {
	Title string
	Rows  []Row
}

// table writes a section of rows, the bodies in one column. It writes nothing
// where there are no rows.
func (p *page) table(title string, rows []Row) {
	if len(rows) == 0 {
		return
	}
	if p.gather != nil {
		*p.gather = append(*p.gather, Section{title, rows})
		return
	}
	p.section(title)
	width := 0
	most := min(p.Width/3, p.Width-p.gutter-2-line.MinRoom)
	for i := range rows {
		if rows[i].Body != nil {
			rows[i].Label = p.Label(rows[i].Label, most-rows[i].indent)
			width = max(width, rows[i].indent+word.Columns(rows[i].Label))
		}
	}
	for _, r := range rows {
		head := p.time(r.At) + strings.Repeat(" ", r.indent)
		if r.Body == nil {
			p.Flow(head, p.gutter+r.indent, []line.Run{line.Label(r.Label)})
			continue
		}
		pad := width - r.indent - word.Columns(r.Label) + 2
		p.Flow(head+r.Label+strings.Repeat(" ", pad), p.gutter+width+2, r.Body)
	}
}

// time fills the margin.
func (p *page) time(at *schema.Seconds) string {
	if at == nil {
		return strings.Repeat(" ", p.gutter)
	}
	c := p.Label(at.Clock(), maxTime)
	return strings.Repeat(" ", max(p.gutter-2-len(c), 0)) + p.Paint(c, line.StyleFaint) + "  "
}

// join puts the separator of lists between items.
func (p *page) join(items [][]line.Run) []line.Run {
	sep := line.Faint(word.NBSP + "· ")
	if p.ASCII {
		sep = line.Plain(", ")
	}
	var all []line.Run
	for _, item := range items {
		if len(item) == 0 {
			continue
		}
		if all != nil {
			all = append(all, sep)
		}
		all = append(all, item...)
	}
	return all
}

// TitleOf is the title of a sheet: that given to the review, else the name of the
// product.
func TitleOf(r *schema.Record) string {
	for _, title := range []string{r.Source.Title, r.Product.Name} {
		if title = word.Clip(title, mostTitle); strings.TrimSpace(title) != "" {
			return title
		}
	}
	return "Product without a name"
}

// mostTitle is how many letters a title of a sheet has at most; captions may say
// anything, and the record has all of it.
const mostTitle = 200
