// Package article writes the sheet of a record for an article and for print: in
// Markdown, and in HTML with its pictures inside that needs no other file.
//
// Both forms show one [Page], which [Options.Page] gathers: the sections of package
// sheet, but levels and ports in use together as tables of several columns, and the
// drawings of package picture. A workbook (package workbook) prints the same page. A
// page holds text that can be shown as it is; each form escapes it for itself.
//
// An article is made for paper too: HTML prints in two columns with the narrow form of
// the pictures, which a telephone shows as well. It shows no folder of the machine it
// was made on, and its times are links only where an address for them is given.
package article

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/edit"
	"saywatt/internal/export/account"
	"saywatt/internal/export/line"
	"saywatt/internal/export/sheet"
	"saywatt/internal/export/word"
	"saywatt/internal/picture"
	"saywatt/schema"
)

// Options say how the Markdown and HTML sheets are made. The zero value
// works.
type Options struct {
	// Link is the address of a moment, with {s} for its whole seconds. Without
	// one, times are plain text: a link that leads nowhere helps nobody.
	Link string
}

// Page is a sheet for an article: what both forms show.
type Page struct {
	Title    string
	Kind     string
	About    string
	Origin   string
	Legend   []LegendItem
	Pictures []DrawnTwice // below the levels, or on top where there are none
	Sections []Section
	Ear      []EarItem
	Findings []FindingItem
	Problems []string
	Cautions []string
}

// HasLevels reports whether there is a table of levels.
func (p *Page) HasLevels() bool {
	return slices.ContainsFunc(p.Sections, func(s Section) bool { return s.Title == sheet.LevelsTitle })
}

// DrawnTwice is a picture for a wide page, and for a narrow one or a column.
type DrawnTwice struct{ Wide, Narrow *picture.Picture }

type LegendItem struct{ Sign, Meaning, Class string }

// Section is a table. Its first column is the time.
type Section struct {
	Title string
	Heads []string // of all columns but the first
	Rows  []Row
}

// Row is a row of cells, or a heading over rows.
type Row struct {
	Heading string
	Time    TimeLink
	Label   string
	Cells   [][]Span
}

// TimeLink is a time with the address to jump to.
type TimeLink struct{ Clock, Link string }

// Span is text of a kind: "", faint, repaired, open, settled.
type Span struct{ Text, Class string }

type EarItem struct {
	Time    TimeLink
	Heard   string
	As      string
	Context string
	Choices []EarChoice
	Picture *picture.Picture
}

type EarChoice struct{ Text, Percent string }

type FindingItem struct {
	Severity, Message, More string
	Time                    TimeLink
}

// maxEvidence bounds the evidence pictures of an article.
const maxEvidence = 6

// Page gathers what an article shows of a record.
// A sheet is sent to others: of the file's name it shows no folder.
func (a Options) Page(r *schema.Record) *Page {
	shown := *r
	shown.Source.File = baseName(r.Source.File)
	shown.Source.Problems = nil
	for _, p := range r.Source.Problems {
		shown.Source.Problems = append(shown.Source.Problems, withoutFolder(p, r.Source.File))
	}
	r = &shown
	out := &Page{Title: sheet.TitleOf(r), Kind: word.Printable(r.Product.Kind),
		About: word.Printable(sheet.About(r)), Origin: word.Printable(sheet.Origin(r)),
		Cautions: printables(account.Cautions(r)), Problems: printables(r.Source.Problems)}
	for _, l := range sheet.Legend(r) {
		out.Legend = append(out.Legend, LegendItem{l.Sign, l.Meaning, className(l.Style)})
	}
	if wide, ok := picture.Levels(r); ok {
		narrow, _ := picture.LevelsNarrow(r)
		out.Pictures = append(out.Pictures, DrawnTwice{wide, narrow})
	}
	if wide, ok := picture.Powers(r); ok {
		narrow, _ := picture.PowersNarrow(r)
		out.Pictures = append(out.Pictures, DrawnTwice{wide, narrow})
	}
	for _, s := range sheet.Sections(r) {
		switch s.Title {
		case sheet.TogetherTitle:
			out.Sections = append(out.Sections, a.together(r))
		case sheet.LevelsTitle:
			out.Sections = append(out.Sections, a.levels(r))
		default:
			out.Sections = append(out.Sections, a.section(s))
		}
	}
	a.ear(r, out)
	for _, f := range account.ByGravity(r) {
		item := FindingItem{Severity: f.Severity.String(), Message: word.Printable(f.Message),
			More: word.Printable(account.FindingSource(f))}
		if len(f.At) > 0 {
			item.Time = a.TimeLink(&f.At[0], "")
		}
		out.Findings = append(out.Findings, item)
	}
	return out
}

// baseName is a file's name without its folders, however they are parted.
func baseName(name string) string { return name[strings.LastIndexAny(name, `/\`)+1:] }

// withoutFolder is a message with the name of a file in it, without its folders.
func withoutFolder(message, name string) string {
	if base := baseName(name); base != "" && base != name {
		return strings.ReplaceAll(message, name, base)
	}
	return message
}

func printables(all []string) []string {
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = word.Printable(s)
	}
	return out
}

func (a Options) section(s sheet.Section) Section {
	out := Section{Title: s.Title, Heads: []string{"what", "as said"}}
	if s.Title == sheet.BelongsTitle {
		out.Heads[1] = "heard, and what it may belong to"
	}
	for _, r := range s.Rows {
		if r.Body == nil {
			out.Rows = append(out.Rows, Row{Heading: word.Printable(r.Label)})
			continue
		}
		out.Rows = append(out.Rows, Row{Time: a.TimeLink(r.At, ""), Label: word.Printable(r.Label),
			Cells: [][]Span{spans(r.Body)}})
	}
	return out
}

// together is a table of its own: one row a set of ports in use, with what
// each gives and the total where one was stated.
func (a Options) together(r *schema.Record) Section {
	all := r.Splits()
	out := Section{Title: sheet.TogetherTitle,
		Heads: []string{"ports in use", "each, in that order", "total"}}
	mode := ""
	for i := range all {
		s := &all[i]
		if product, _, ok := strings.Cut(s.Mode, "/"); ok && product != mode {
			mode = product
			out.Rows = append(out.Rows, Row{Heading: word.Printable(word.Words(product) + " mode")})
		}
		each := sheet.Each(r, s)
		if odd := sheet.Oddly(s); odd != "" {
			each = append(each, line.Faint(" ("+odd+")"))
		}
		cells := [][]Span{spans(each), nil}
		if s.Total != nil {
			cells[1] = spans(sheet.Spec(r, s.Total))
		}
		values := append(append([]*schema.Value{}, s.Each...), s.Total)
		out.Rows = append(out.Rows, Row{Time: a.TimeLink(account.FirstSaid(r, values...), ""),
			Label: word.Printable(sheet.PortList(s.Ports)), Cells: cells})
	}
	return out
}

// levels is a table of its own: one row a level, modes as headings, ports of a
// mode together, all in the order said.
func (a Options) levels(r *schema.Record) Section {
	out := Section{Title: sheet.LevelsTitle, Heads: []string{"port", "protocol", "voltage", "current", "power"}}
	modes, ports := map[string]int{}, map[string]int{}
	order := make([]int, len(r.Levels))
	for i := range r.Levels {
		order[i] = i
		sheet.FirstAt(modes, r.Levels[i].Mode)
		sheet.FirstAt(ports, r.Levels[i].Port)
	}
	slices.SortStableFunc(order, func(x, y int) int {
		l, m := &r.Levels[x], &r.Levels[y]
		return cmp.Or(cmp.Compare(modes[l.Mode], modes[m.Mode]), cmp.Compare(ports[l.Port], ports[m.Port]))
	})
	mode := ""
	for k, i := range order {
		l := &r.Levels[i]
		if k == 0 || l.Mode != mode {
			mode = l.Mode
			heading := word.Mode(mode)
			if heading == "" {
				heading = "mode not stated"
			}
			out.Rows = append(out.Rows, Row{Heading: word.Printable(heading)})
		}
		cells := [][]Span{{{word.Printable(l.Protocol), ""}}}
		for _, v := range []*schema.Value{&l.Voltage, l.Current, l.Power} {
			if v == nil {
				cells = append(cells, nil)
				continue
			}
			cells = append(cells, spans(sheet.Spec(r, v)))
		}
		out.Rows = append(out.Rows, Row{Time: a.TimeLink(account.FirstSaid(r, &l.Voltage, l.Current, l.Power), ""),
			Label: word.Printable(schema.PortWords(l.Port)), Cells: cells})
	}
	return out
}

func (a Options) ear(r *schema.Record, out *Page) {
	for i, s := range account.OpenQuantities(r) {
		item := EarItem{Time: a.TimeLink(s.At, s.Media), Heard: word.Printable(s.Heard),
			As: schema.RoleWords(s.Role, "")}
		if s.Context != s.Heard {
			item.Context = word.Printable(s.Context)
		}
		for k := range s.Readings[:min(len(s.Readings), account.MaxReadings)] {
			q := &s.Readings[k]
			item.Choices = append(item.Choices, EarChoice{word.Quantity(&q.Quantity), word.Percent(q.Confidence)})
		}
		if i < maxEvidence {
			item.Picture, _ = picture.Evidence(s)
		}
		out.Ear = append(out.Ear, item)
	}
	for _, c := range account.OpenNames(r) {
		item := EarItem{Time: a.TimeLink(c.At, ""), Heard: word.Printable(c.Heard), As: word.Printable(c.What)}
		if len(c.Readings) == 0 {
			item.As = "the name of " + item.As
		}
		for _, t := range c.Readings {
			item.Choices = append(item.Choices, EarChoice{word.Printable(t.Meant), word.Percent(t.Confidence)})
		}
		if len(c.Readings) == 0 && c.Read != "" && c.Read != c.Heard {
			item.Choices = []EarChoice{{word.Printable(c.Read), ""}}
		}
		out.Ear = append(out.Ear, item)
	}
}

// TimeLink writes a time and its address.
func (a Options) TimeLink(at *schema.Seconds, media string) TimeLink {
	switch {
	case at == nil:
		return TimeLink{}
	case a.Link == "":
		return TimeLink{Clock: at.Clock()}
	}
	if media == "" {
		media = "#t=" + at.String()
	}
	return TimeLink{at.Clock(), edit.Link(&edit.Change{At: at, Media: media}, a.Link)}
}

// spans turns runs into spans of printable text, blanks as they are read.
func spans(runs []line.Run) []Span {
	var all []Span
	for _, r := range runs {
		all = append(all, Span{word.Printable(r.Text), className(r.Style)})
	}
	return all
}

func className(s line.Style) string {
	switch s {
	case line.StyleFaint:
		return "faint"
	case line.StyleRepaired:
		return "repaired"
	case line.StyleOpen:
		return "open"
	case line.StyleSettled:
		return "settled"
	}
	return ""
}

// anchor names an element of a page: "needs-your-ear".
func anchorOf(title string, n int) string {
	s := strings.ToLower(strings.ReplaceAll(title, " ", "-"))
	if n > 0 {
		s += "-" + strconv.Itoa(n+1)
	}
	return s
}
