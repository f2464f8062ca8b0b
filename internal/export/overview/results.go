package overview

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/export/plainjson"
	"saywatt/schema"
)

// maxMatches bounds the matches that a terminal is shown of one review.
const maxMatches = 6

// WriteResults writes the answer to a search for people: a line on how many,
// each review with the facts asked for, the time to jump to, the words heard
// where they are not the value, the words around with the asked for ones
// marked, and the link; then what the results are of.
func (l Look) WriteResults(w io.Writer, r *archive.Results) error {
	p := l.printer(w)
	p.head(r)
	for i := range r.Hits {
		p.line("")
		p.hit(r.Offset+i+1, &r.Hits[i])
	}
	p.legend()
	if last := r.Offset + len(r.Hits); last < r.Total && len(r.Hits) > 0 {
		p.line("")
		p.linef("%d more; --offset %d shows them", r.Total-last, last)
	}
	for i, f := range r.Facets {
		if i == 0 {
			p.line("")
		}
		var parts []string
		for _, c := range f.Counts {
			parts = append(parts, fmt.Sprintf("%s %d", c.Value, c.N))
		}
		p.line(p.paint(pad(f.Field, 10), faint) + p.cut(p.text(strings.Join(parts, " · ")), p.Width-10))
	}
	for _, d := range r.Damages {
		p.line("")
		p.line(p.paint(p.text(d.Error()), red))
	}
	return p.err
}

func (p *printer) head(r *archive.Results) {
	what := "reviews"
	if r.Total == 1 {
		what = "review"
	}
	line := fmt.Sprintf("%d %s", r.Total, what)
	if r.Understood != "" {
		line += ": " + p.text(r.Understood)
	}
	p.line(p.paint(line, bold))
	for _, n := range r.Notes {
		p.line(p.paint(p.text(n), warning))
	}
	if r.Behind {
		p.line(p.paint("another process is adding reviews; the newest are not among these", warning))
	}
}

func (p *printer) hit(number int, h *archive.Hit) {
	rv := &h.Review
	about := rv.Kind
	if rv.Maker != "" && !strings.Contains(rv.Product, rv.Maker) {
		about = join(about, "by "+rv.Maker)
	}
	line := fmt.Sprintf("%d  %s", number, p.paint(p.text(shown(rv)), bold))
	p.line(line + "  " + p.paint(p.text(join(about, "["+rv.Name+"]")), faint))
	for i := range h.Matches {
		if i == maxMatches {
			p.linef("         %d more", len(h.Matches)-i)
			break
		}
		p.match(rv, &h.Matches[i])
	}
}

func (p *printer) match(rv *archive.Review, m *archive.Match) {
	f := &m.Fact
	when := ""
	if f.At != nil {
		when = f.At.Clock()
	}
	head := fmt.Sprintf("%7s  ", when)
	value := f.Value() + f.Mark()
	p.places.add(f.Place)
	line := p.paint(head, faint) + p.text(f.Label) + "  " + p.paint(p.text(value), bold)
	if f.Quantity != nil && f.Heard != "" && f.Status != schema.StatusHeard && f.Status != schema.StatusUnknown {
		line += p.paint(p.text(" “"+f.Heard+"”"), faint)
	}
	if link := p.link(rv, f.At, f.Media); link != "" {
		line += p.paint("  "+p.text(link), faint)
	}
	p.line(line)
	if f.Context != "" && len(m.Marks) > 0 {
		p.line("         " + p.context(m))
	}
}

// context writes the words around, the marked ones bright, or in brackets
// where there are no colours.
func (p *printer) context(m *archive.Match) string {
	var b strings.Builder
	at := 0
	for _, s := range m.Marks {
		if s.Start < at || s.End > len(m.Text) {
			continue
		}
		b.WriteString(p.paint(p.text(m.Text[at:s.Start]), faint))
		if p.Color {
			b.WriteString(p.paint(p.text(m.Text[s.Start:s.End]), marked))
		} else {
			b.WriteString("[" + p.text(m.Text[s.Start:s.End]) + "]")
		}
		at = s.End
	}
	b.WriteString(p.paint(p.text(m.Text[at:]), faint))
	return b.String()
}

// The JSON form of results.
type (
	resultsJSON struct {
		Query   string      `json:"query"`
		Total   int         `json:"total"`
		Offset  int         `json:"offset"`
		Notes   []string    `json:"notes,omitempty"`
		Behind  bool        `json:"behind,omitempty"`
		Reviews []hitJSON   `json:"reviews"`
		Facets  []facetJSON `json:"facets,omitempty"`
		Damaged []string    `json:"damaged,omitempty"`
	}
	hitJSON struct {
		archive.Review
		Matches []matchJSON `json:"matches"`
	}
	matchJSON struct {
		Path     string           `json:"path"`
		Label    string           `json:"label"`
		Quantity *schema.Quantity `json:"quantity,omitempty"`
		Value    string           `json:"value"`
		Status   string           `json:"status,omitempty"`
		Place    string           `json:"place_doubt,omitempty"` // whether it may belong elsewhere
		Heard    string           `json:"heard,omitempty"`
		Said     int              `json:"said,omitempty"`
		At       *schema.Seconds  `json:"at,omitempty"`
		Link     string           `json:"link,omitempty"`
		Text     string           `json:"text,omitempty"`
		Marks    []schema.Span    `json:"marks,omitempty"` // bytes of text
	}
	facetJSON struct {
		Field  string      `json:"field"`
		Counts []countJSON `json:"counts"`
	}
	countJSON struct {
		Value string `json:"value"`
		N     int    `json:"n"`
	}
)

// WriteResultsJSON writes the answer to a search as one JSON document.
func (l Look) WriteResultsJSON(w io.Writer, r *archive.Results) error {
	out := resultsJSON{Query: r.Understood, Total: r.Total, Offset: r.Offset, Notes: r.Notes, Behind: r.Behind,
		Reviews: []hitJSON{}}
	for i := range r.Hits {
		h := &r.Hits[i]
		hit := hitJSON{Review: h.Review, Matches: []matchJSON{}}
		for k := range h.Matches {
			hit.Matches = append(hit.Matches, l.matchJSON(&h.Review, &h.Matches[k]))
		}
		out.Reviews = append(out.Reviews, hit)
	}
	for _, f := range r.Facets {
		j := facetJSON{Field: f.Field}
		for _, c := range f.Counts {
			j.Counts = append(j.Counts, countJSON(c))
		}
		out.Facets = append(out.Facets, j)
	}
	for _, d := range r.Damages {
		out.Damaged = append(out.Damaged, d.Error())
	}
	return plainjson.Write(w, out)
}

func (l Look) matchJSON(rv *archive.Review, m *archive.Match) matchJSON {
	f := &m.Fact
	return matchJSON{Path: f.Path, Label: f.Label, Quantity: f.Quantity, Value: f.Value(), Status: statusName(f.Status),
		Place: f.Place.Words(), Heard: f.Heard, Said: f.Said, At: f.At,
		Link: l.link(rv, f.At, f.Media), Text: m.Text, Marks: m.Marks}
}

func statusName(s schema.Status) string {
	if s == schema.StatusUnknown {
		return ""
	}
	return s.String()
}

// join joins the words that are there.
func join(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " ")
}
