package desk

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// A sheetPage is the record as it stands, by its places.
type sheetPage struct {
	*page
	About             []string
	Sections          []sheetSection
	General           []findingView // findings of no section
	Editing           *editView
	Doubts, Elsewhere bool // there are values that may belong elsewhere, and that likelier do
}

// A sheetSection is one part of the product, with what the rules say of it.
type sheetSection struct {
	ID, Title string
	Grids     []levelGrid
	Rows      []sheetRow
	Findings  []findingView
	More      int       // findings that are not shown
	Editing   *editView // the value that is changed just now, where it is here
}

// A sheetRow is a named line of values, or a heading over lines.
type sheetRow struct {
	Heading bool
	Label   string
	Word    string // of the names in the label, a status that is not plain
	Sign    string
	Class   string
	Find    string // address of the words heard for the name
	Text    string // what is said beside the values
	Values  []valueView
	Behind  string // what is said behind them
}

// A valueView is one value of the record with the words it rests on.
type valueView struct {
	ID       string
	Label    string // in front of it: "at", "voltage"
	Text     string
	Sign     string
	Word     string // the status
	Class    string
	At       string // address of the quantity
	Link     string
	Edit     string
	From, To string
	Heard    string // the words heard, when, how sure
	Notes    []int  // findings about it
	Basis    string
	Now      bool // it is being changed
}

// A levelGrid shows the levels of one mode: voltages down, ports across.
type levelGrid struct {
	Title string
	Ports []string
	Rows  []gridRow
}

type gridRow struct {
	Voltage string       // each level has its own too, which was said for itself
	Cells   [][]cellView // by port
}

type cellView struct{ Values []valueView }

// An editView is the form for one value.
type editView struct {
	At, What, Now, Heard string
	Typed, Note, Wrong   string
	Sure                 string // what was typed, where typing it again takes it
	Clock, From, To      string
}

// sheet shows the record.
func (d *Desk) sheet(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	var editing *schema.Said
	if at := q.URL.Query().Get("edit"); at != "" {
		editing = quantityAt(s.record, at)
	}
	d.show(w, http.StatusOK, "sheet", d.sheetOf(q, r, s, editing))
}

// sheetOf is the sheet with the form for one value, nil for none.
func (d *Desk) sheetOf(q *http.Request, r *review, s *state, editing *schema.Said) *sheetPage {
	b := sheetBuilder{rec: s.record, base: "/r/" + r.id, editing: editing, moment: r.moment,
		finding: func(f *schema.Finding, n int) findingView { return r.findingOf(s, f, nil, n) }}
	p := &sheetPage{page: d.pageOf(q, r, s, "Sheet", "sheet")}
	p.Live = editing == nil
	p.About = b.about()
	p.Sections = b.sections()
	for i := range s.record.Quantities {
		d := s.record.Quantities[i].PlaceDoubt()
		p.Doubts, p.Elsewhere = p.Doubts || d == schema.PlaceUncertain, p.Elsewhere || d == schema.PlaceUnlikely
	}
	p.General = b.findings(p.Sections)
	if b.editing != nil && !b.placed {
		p.Editing = b.editView()
	}
	return p
}

// typo puts what was typed back into the form, with what is wrong with it.
func (p *sheetPage) typo(wrong, typed, note, sure string) {
	for i := range p.Sections {
		if e := p.Sections[i].Editing; e != nil {
			e.Wrong, e.Typed, e.Note, e.Sure = wrong, typed, note, sure
		}
	}
	if e := p.Editing; e != nil {
		e.Wrong, e.Typed, e.Note, e.Sure = wrong, typed, note, sure
	}
}

type sheetBuilder struct {
	moment  func(*schema.Said) (from, to string)
	finding func(*schema.Finding, int) findingView // with its number
	rec     *schema.Record
	base    string
	editing *schema.Said
	placed  bool // the form for it has its section
	shown   map[int]bool
	values  map[string][]*valueView // by section and address
}

// rowsShown bounds the rows of one section, and of one table in it.
const rowsShown = 200

// about gives maker, model and marks.
func (b *sheetBuilder) about() []string {
	p := &b.rec.Product
	var all []string
	if p.Maker != "" {
		all = append(all, "made by "+clip(p.Maker, 60))
	}
	if p.Model != "" {
		all = append(all, "model "+clip(p.Model, 60))
	}
	if len(p.Marks) > 0 {
		all = append(all, "marked "+clip(strings.Join(p.Marks, ", "), 100))
	}
	return all
}

// value shows a value of the record.
func (b *sheetBuilder) value(v *schema.Value, label string) valueView {
	view := valueView{Label: label, Text: word.Qualified(v.Qualifier, &v.Quantity), Sign: v.Status.Mark(),
		Word: wordOf(v.Status), Class: classOf(v.Status)}
	if v.Basis == schema.BasisDerived {
		view.Basis = v.Basis.String()
	}
	if len(v.Said) > 0 {
		if said := b.rec.Quantity(v.Said[0]); said != nil {
			b.said(&view, said)
		}
	}
	view.doubt(b.rec.PlaceDoubtOf(v))
	return view
}

// doubt marks a value whose place is in doubt.
func (v *valueView) doubt(d schema.PlaceDoubt) {
	if d == schema.PlaceSure {
		return
	}
	v.Sign += d.Mark()
	v.Heard += ", " + d.Words()
	if d == schema.PlaceUnlikely {
		v.Class += " unlikely"
	}
}

// said gives a view the words that it rests on.
func (b *sheetBuilder) said(view *valueView, said *schema.Said) {
	view.At = addressOf(b.rec, said)
	view.ID = "q-" + view.At
	if b.shown[said.Number] {
		view.ID = "" // an id stands once in a page
	}
	if b.shown == nil {
		b.shown = map[int]bool{}
	}
	b.shown[said.Number] = true
	view.Link = b.base + "/question/" + view.At + "?from=sheet"
	view.Edit = b.base + "/sheet?edit=" + view.At + ""
	view.From, view.To = b.moment(said)
	view.Now = said == b.editing
	view.Heard = "heard " + quoted(said.Heard)
	if said.At != nil {
		view.Heard += " at " + said.At.Clock()
	}
	view.Heard += ", " + wordOf(said.Status)
	if said.Status != schema.StatusSettled {
		view.Heard += ", " + word.Percent(said.Confidence) + " sure"
	}
}

func (b *sheetBuilder) editView() *editView {
	s := b.editing
	from, to := b.moment(s)
	b.placed = true
	e := &editView{At: addressOf(b.rec, s), Now: word.Quantity(&s.Quantity), Heard: quoted(s.Heard),
		Clock: clockOf(s.At), From: from, To: to,
		What:  clip(b.rec.PlaceWords(s.Place), 80),
		Typed: strings.ReplaceAll(word.Quantity(&s.Quantity), "\u00a0", " ")}
	if e.What == "" {
		e.What = "quantity in no field"
	}
	return e
}

// section makes a section of rows; "" rows are left out by the callers.
func (b *sheetBuilder) section(id, title string, rows []sheetRow, grids ...levelGrid) sheetSection {
	if n := len(rows) - rowsShown; n > 0 {
		rows = append(rows[:rowsShown:rowsShown],
			sheetRow{Label: "and " + strconv.Itoa(n) + " more", Text: "in the tables to take away"})
	}
	for i := range grids {
		g := &grids[i]
		if n := len(g.Rows) - rowsShown; n > 0 {
			g.Rows = g.Rows[:rowsShown]
			g.Title += ", the first " + strconv.Itoa(rowsShown) + " voltages; the others are in the tables to take away"
		}
	}
	s := sheetSection{ID: id, Title: title, Rows: rows, Grids: grids}
	if b.editing != nil && !b.placed && s.holds(addressOf(b.rec, b.editing)) {
		s.Editing = b.editView()
	}
	return s
}

// each calls do for every value of the section.
func (s *sheetSection) each(do func(*valueView)) {
	for i := range s.Rows {
		for k := range s.Rows[i].Values {
			do(&s.Rows[i].Values[k])
		}
	}
	for g := range s.Grids {
		for i := range s.Grids[g].Rows {
			for _, cells := range s.Grids[g].Rows[i].Cells {
				for c := range cells {
					for k := range cells[c].Values {
						do(&cells[c].Values[k])
					}
				}
			}
		}
	}
}

func (s *sheetSection) holds(at string) bool {
	found := false
	s.each(func(v *valueView) { found = found || v.At == at })
	return found
}

// findings puts each finding beside the section that holds the first of its
// values, and returns those that none holds.
func (b *sheetBuilder) findings(sections []sheetSection) []findingView {
	var rest []findingView
	b.index(sections)
	for i := range b.rec.Findings {
		f := &b.rec.Findings[i]
		v := b.finding(f, i+1)
		of := b.sectionOf(sections, f)
		if of == nil {
			if len(rest) < rowsShown {
				rest = append(rest, v)
			}
			continue
		}
		if len(of.Findings) == rowsShown {
			of.More++
			continue
		}
		of.Findings = append(of.Findings, v)
		for _, n := range f.Said {
			said := b.rec.Quantity(n)
			if said == nil {
				continue
			}
			at := addressOf(b.rec, said)
			for _, v := range b.values[of.ID+" "+at] {
				if !slices.Contains(v.Notes, i+1) {
					v.Notes = append(v.Notes, i+1)
				}
			}
		}
	}
	return rest
}

// index finds the values by section and address.
func (b *sheetBuilder) index(sections []sheetSection) {
	b.values = map[string][]*valueView{}
	for i := range sections {
		s := &sections[i]
		s.each(func(v *valueView) {
			if v.At != "" {
				b.values[s.ID+" "+v.At] = append(b.values[s.ID+" "+v.At], v)
			}
		})
	}
}

// homes are the sections by the first step of a path.
var homes = map[string]string{"body": "body", "claims": "claims", "ports": "claims", "levels": "levels",
	"battery": "battery", "cable": "cable", "components": "parts", "measurements": "measured", "quantities": "more"}

func (b *sheetBuilder) sectionOf(sections []sheetSection, f *schema.Finding) *sheetSection {
	for _, path := range f.Paths {
		first := path
		if i := strings.IndexAny(path, ".["); i >= 0 {
			first = path[:i]
		}
		for i := range sections {
			if sections[i].ID == homes[first] {
				return &sections[i]
			}
		}
	}
	for _, n := range f.Said {
		if said := b.rec.Quantity(n); said != nil {
			for i := range sections {
				if len(b.values[sections[i].ID+" "+addressOf(b.rec, said)]) > 0 {
					return &sections[i]
				}
			}
		}
	}
	return nil
}

// grids puts the levels of each mode in a grid of their own.
func (b *sheetBuilder) grids() []levelGrid {
	var grids []levelGrid
	find := func(title string) *levelGrid {
		for i := range grids {
			if grids[i].Title == title {
				return &grids[i]
			}
		}
		grids = append(grids, levelGrid{Title: title})
		return &grids[len(grids)-1]
	}
	for i := range b.rec.Levels {
		l := &b.rec.Levels[i]
		g := find(modeWords(l.Mode))
		port := schema.PortWords(l.Port)
		if l.Protocol != port {
			port = strings.TrimSpace(port + " " + l.Protocol)
		}
		if port == "" {
			port = "port not stated"
		}
		col := slices.Index(g.Ports, clip(port, 40))
		if col < 0 {
			col = len(g.Ports)
			g.Ports = append(g.Ports, clip(port, 40))
		}
		voltage := word.Qualified(l.Voltage.Qualifier, &l.Voltage.Quantity)
		row := slices.IndexFunc(g.Rows, func(r gridRow) bool { return r.Voltage == voltage })
		if row < 0 {
			row = len(g.Rows)
			g.Rows = append(g.Rows, gridRow{Voltage: voltage})
		}
		for len(g.Rows[row].Cells) <= col {
			g.Rows[row].Cells = append(g.Rows[row].Cells, nil)
		}
		g.Rows[row].Cells[col] = append(g.Rows[row].Cells[col], b.cell(l))
	}
	for g := range grids {
		for i := range grids[g].Rows {
			for len(grids[g].Rows[i].Cells) < len(grids[g].Ports) {
				grids[g].Rows[i].Cells = append(grids[g].Rows[i].Cells, nil)
			}
		}
	}
	return grids
}

// cell shows one level, its voltage too: each was said for itself.
func (b *sheetBuilder) cell(l *schema.Level) cellView {
	c := cellView{Values: []valueView{b.value(&l.Voltage, "")}}
	if l.Current != nil {
		c.Values = append(c.Values, b.value(l.Current, ""))
	}
	if l.Power != nil {
		c.Values = append(c.Values, b.value(l.Power, "="))
	}
	return c
}

// modeWords writes "mains/output" as "output, mains mode".
func modeWords(mode string) string {
	product, flow, ok := strings.Cut(mode, "/")
	if !ok {
		product, flow = "", mode
	}
	flow = strings.ReplaceAll(flow, "-", " ")
	switch {
	case flow == "" && product == "":
		return "mode not stated"
	case product == "":
		return clip(flow, 40)
	}
	return clip(flow+", "+product+" mode", 60)
}

// count writes how many of a part there are, "" where one or not given.
func count(n int) string {
	if n > 1 {
		return strconv.Itoa(n) + " × "
	}
	return ""
}

// A sheetEdit is what the form for one value needs of its page.
type sheetEdit struct {
	Base    string
	Version int
	E       *editView
}

// ForEdit puts the form for a value together.
func (p *sheetPage) ForEdit(e *editView) sheetEdit {
	return sheetEdit{p.Review.Base, p.Review.Version, e}
}
