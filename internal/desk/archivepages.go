package desk

import (
	"bytes"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/export"
	"saywatt/schema"
)

// ofArchive lets only those in who have an archive.
func (d *Desk) ofArchive(do func(http.ResponseWriter, *http.Request, *archive.Archive)) http.HandlerFunc {
	return func(w http.ResponseWriter, q *http.Request) {
		if d.config.Archive == nil {
			d.refuse(w, q, http.StatusNotFound, "The desk was started without an archive: saywatt desk --archive DIR.")
			return
		}
		do(w, q, d.config.Archive)
	}
}

// A searchPage shows what a query finds.
type searchPage struct {
	*page
	Query      string
	Sort       string
	Sorts      []string
	Understood string
	Notes      []string
	Total      int
	Hits       []hitView
	Facets     []facetView
	Earlier    string
	Later      string
	Wrong      *wrongQuery
	Damages    []string
	Behind     bool
}

type wrongQuery struct{ Before, At, After, Msg, Hint string }

type hitView struct {
	Name, Title, Kind, Maker string
	Version                  int
	Added                    string
	Link                     string
	Matches                  []matchView
	More                     int // matches not shown
}

type matchView struct {
	Label, Value, Clock string
	Status              schema.Status
	Text                []part
	Link                string
}

type facetView struct {
	Field  string
	Counts []facetCount
}

type facetCount struct {
	Value, Link string
	N           int
}

// maxMatches bounds the facts shown of one review found.
const maxMatches = 8

// maxQuery bounds a query, in bytes.
const maxQuery = 1000

// queryIn is the query of an address.
func queryIn(q *http.Request) string { return clip(q.URL.Query().Get("q"), maxQuery) }

func (d *Desk) search(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	p := &searchPage{page: d.page(q, "Archive", "search"), Query: queryIn(q), Sorts: archive.Sorts(), Sort: q.URL.Query().Get("sort")}
	if !slices.Contains(p.Sorts, p.Sort) {
		p.Sort = p.Sorts[0]
	}
	offset, _ := strconv.Atoi(q.URL.Query().Get("from"))
	offset = max(0, offset)
	found, err := a.Search(archive.Request{Query: p.Query, Sort: p.Sort, Offset: offset, Facets: true})
	if p.Wrong = wrong(err); p.Wrong != nil {
		d.show(w, http.StatusUnprocessableEntity, "search", p)
		return
	}
	if err != nil {
		d.fail(w, q, err)
		return
	}
	p.Understood, p.Notes, p.Total, p.Behind = found.Understood, clipAll(found.Notes), found.Total, found.Behind
	p.Damages = damagesOf(found.Damages)
	for i := range found.Hits {
		p.Hits = append(p.Hits, hitOf(&found.Hits[i]))
	}
	for _, f := range found.Facets {
		v := facetView{Field: f.Field}
		for _, c := range f.Counts {
			narrowed := strings.TrimSpace(p.Query + " " + f.Field + `:"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(c.Value) + `"`)
			v.Counts = append(v.Counts, facetCount{clip(c.Value, 60), "/archive?" + queryOf("q", narrowed, "sort", p.Sort), c.N})
		}
		if len(v.Counts) > 0 {
			p.Facets = append(p.Facets, v)
		}
	}
	if offset > 0 {
		p.Earlier = "/archive?" + queryOf("q", p.Query, "sort", p.Sort, "from", strconv.Itoa(max(0, offset-archive.DefaultLimit)))
	}
	if next := offset + len(found.Hits); next < found.Total && len(found.Hits) > 0 {
		p.Later = "/archive?" + queryOf("q", p.Query, "sort", p.Sort, "from", strconv.Itoa(next))
	}
	d.show(w, http.StatusOK, "search", p)
}

// wrong shows where a query cannot be read, nil for other errors.
func wrong(err error) *wrongQuery {
	var e *archive.QueryError
	if !errors.As(err, &e) {
		return nil
	}
	from, to := min(max(0, e.Span.Start), len(e.Query)), min(max(0, e.Span.End), len(e.Query))
	return &wrongQuery{clip(e.Query[:from], maxQuery), clip(e.Query[from:max(from, to)], maxQuery), clip(e.Query[max(from, to):], maxQuery), clip(e.Msg, 300), clip(e.Hint, 300)}
}

func clipAll(all []string) []string {
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = clip(s, 300)
	}
	return out
}

func damagesOf(all []*archive.Damage) []string {
	var out []string
	for _, d := range all {
		out = append(out, clip(d.Error(), 300))
	}
	return out
}

func hitOf(h *archive.Hit) hitView {
	v := hitView{Name: h.Review.Name, Title: clip(h.Review.Title(), 80), Kind: clip(h.Review.Kind, 60), Maker: clip(h.Review.Maker, 60), Version: h.Review.Version,
		Added: h.Review.Added.Format("2 January 2006"), Link: reviewLink(h.Review.Name, 0)}
	v.More = max(0, len(h.Matches)-maxMatches)
	for i := range h.Matches[:len(h.Matches)-v.More] {
		v.Matches = append(v.Matches, matchOf(h.Review.Name, &h.Matches[i]))
	}
	return v
}

func matchOf(review string, m *archive.Match) matchView {
	v := matchView{Label: clip(m.Fact.Label, 80), Clock: clockOf(m.Fact.At), Status: m.Fact.Status, Link: reviewLink(review, m.Fact.Said)}
	if m.Fact.Quantity != nil {
		v.Value = export.Quantity(m.Fact.Quantity)
	} else {
		v.Value = clip(m.Fact.Text, 80)
	}
	at := 0
	for _, s := range m.Marks {
		if s.Start < at || s.End > len(m.Text) {
			continue
		}
		v.Text = append(v.Text, part{Text: clip(m.Text[at:s.Start], 300)}, part{Text: clip(m.Text[s.Start:s.End], 100), Class: "found", Word: "found", Now: true})
		at = s.End
	}
	v.Text = append(v.Text, part{Text: clip(m.Text[at:], 300)})
	return v
}

// reviewLink is the address that opens a review of the archive, at one of its
// quantities where a number is given.
func reviewLink(name string, said int) string {
	link := "/archive/review/" + url.PathEscape(name)
	if said > 0 {
		link += "?said=" + strconv.Itoa(said)
	}
	return link
}

// archived opens a review of the archive and leads to it.
func (d *Desk) archived(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	r, err := d.openArchived(q.PathValue("name"))
	if errors.Is(err, archive.ErrNoReview) {
		d.refuse(w, q, http.StatusNotFound, "There is no review of this name in the archive.")
		return
	}
	if err != nil {
		d.fail(w, q, err)
		return
	}
	to := "/r/" + r.id + "/sheet"
	if n, err := strconv.Atoi(q.URL.Query().Get("said")); err == nil {
		rec := r.state().record
		if said := rec.Quantity(n); said != nil {
			to = "/r/" + r.id + "/question/" + addressOf(rec, said)
		}
	}
	http.Redirect(w, q, to, http.StatusSeeOther)
}

// A comparePage sets reviews side by side.
type comparePage struct {
	*page
	Query   string // which reviews are offered
	Wrong   *wrongQuery
	Known   []compareChoice
	More    int // reviews not offered
	Heads   []hitView
	Rows    []compareRow
	Common  string
	Damages []string
	Only    bool // what differs
}

type compareChoice struct {
	Name, Title string
	Chosen      bool
}

type compareRow struct {
	Heading bool
	Label   string
	Differs bool
	Cells   []compareCell
}

type compareCell struct {
	Text, Sign, Word, Class, Ratio string
}

// Bounds on the reviews side by side, and on those offered.
const (
	maxCompared  = 6
	choicesShown = 100
)

func (d *Desk) compare(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	p := &comparePage{page: d.page(q, "Side by side", "compare"), Only: q.URL.Query().Get("only") != ""}
	names := q.URL.Query()["r"]
	p.Query = queryIn(q)
	found, err := a.Search(archive.Request{Query: p.Query, Sort: "name", Limit: choicesShown})
	if p.Wrong = wrong(err); p.Wrong != nil {
		d.show(w, http.StatusUnprocessableEntity, "compare", p)
		return
	}
	if err != nil {
		d.fail(w, q, err)
		return
	}
	p.Damages, p.More = damagesOf(found.Damages), found.Total-len(found.Hits)
	for _, name := range names { // those chosen stay chosen, whatever is looked for
		if !slices.ContainsFunc(found.Hits, func(h archive.Hit) bool { return h.Review.Name == name }) {
			p.Known = append(p.Known, compareChoice{clip(name, 80), clip(name, 80), true})
		}
	}
	for i := range found.Hits {
		rv := &found.Hits[i].Review
		p.Known = append(p.Known, compareChoice{rv.Name, clip(rv.Title(), 80), slices.Contains(names, rv.Name)})
	}
	if len(names) > maxCompared {
		names = names[:maxCompared]
		p.Fault = "Only the first six are shown."
	}
	if len(names) >= 2 {
		c, err := a.Compare(names...)
		if errors.Is(err, archive.ErrNoReview) {
			d.refuse(w, q, http.StatusNotFound, "One of these reviews is not in the archive.")
			return
		}
		if err != nil {
			d.fail(w, q, err)
			return
		}
		p.fill(c)
	} else if len(names) == 1 {
		p.Fault = "Choose one more to compare it with."
	}
	d.show(w, http.StatusOK, "compare", p)
}

func (p *comparePage) fill(c *archive.Comparison) {
	for _, rv := range c.Reviews {
		p.Heads = append(p.Heads, hitView{Name: rv.Name, Title: clip(rv.Title(), 80), Link: reviewLink(rv.Name, 0)})
	}
	p.Common = clip(strings.Join(c.Common, ", "), 400)
	p.Damages = append(p.Damages, damagesOf(c.Damages)...)
	section := ""
	for _, row := range c.Rows {
		if p.Only && !row.Differs {
			continue
		}
		if row.Section != section {
			section = row.Section
			p.Rows = append(p.Rows, compareRow{Heading: true, Label: section})
		}
		v := compareRow{Label: clip(row.Label, 80), Differs: row.Differs}
		for _, cell := range row.Cells {
			k := compareCell{Text: clip(cell.Text, 120), Ratio: cell.Ratio}
			if cell.Text != "" {
				k.Sign, k.Word, k.Class = signOf(cell.Status), wordOf(cell.Status), classOf(cell.Status)
			}
			v.Cells = append(v.Cells, k)
		}
		p.Rows = append(p.Rows, v)
	}
}

// A statsPage tells how a property is spread.
type statsPage struct {
	*page
	Subject, Query      string
	Wrong               *wrongQuery
	Of                  *archive.Distribution
	Least, Median, Most string
	Picture             string
	Bins                []binView
	Outliers            []outlierView
	Suggested           []string
}

type binView struct {
	Low, High string
	N         int
}

type outlierView struct {
	Title, Link, Value, Z string
}

// suggested are subjects to begin with.
var suggested = []string{"power", "efficiency", "no load power", "on resistance", "cell capacity", "fuse current"}

func (d *Desk) stats(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	p := &statsPage{page: d.page(q, "Spread", "stats"), Subject: clip(strings.TrimSpace(q.URL.Query().Get("subject")), 200), Query: queryIn(q), Suggested: suggested}
	if p.Subject == "" {
		d.show(w, http.StatusOK, "stats", p)
		return
	}
	of, err := a.Stats(p.Subject, p.Query)
	if p.Wrong = wrong(err); p.Wrong != nil {
		d.show(w, http.StatusUnprocessableEntity, "stats", p)
		return
	}
	if err != nil {
		d.fail(w, q, err)
		return
	}
	p.Of = of
	unit := of.Unit.Symbol()
	write := func(x float64) string {
		return strings.TrimSpace(strconv.FormatFloat(x, 'g', 5, 64) + "\u00a0" + unit)
	}
	p.Least, p.Median, p.Most = write(of.Least), write(of.Median), write(of.Most)
	p.Picture = "/archive/stats.svg?" + queryOf("subject", p.Subject, "q", p.Query)
	for _, b := range of.Bins {
		p.Bins = append(p.Bins, binView{write(b.Low), write(b.High), b.N})
	}
	for i := range of.Outliers {
		o := &of.Outliers[i]
		p.Outliers = append(p.Outliers, outlierView{clip(o.Review.Title(), 80), reviewLink(o.Review.Name, o.Match.Fact.Said), export.Quantity(&o.Value), strconv.FormatFloat(o.Z, 'f', 1, 64)})
	}
	d.show(w, http.StatusOK, "stats", p)
}

// statsPicture draws the spread.
func (d *Desk) statsPicture(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	of, err := a.Stats(clip(strings.TrimSpace(q.URL.Query().Get("subject")), 200), queryIn(q))
	var b bytes.Buffer
	if err == nil {
		err = archive.WriteDistributionSVG(&b, of)
	}
	if err != nil {
		d.refuse(w, q, http.StatusNotFound, "There is nothing to draw.")
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox")
	w.Write(b.Bytes())
}

// A queuePage lists what waits for a person, over all reviews.
type queuePage struct {
	*page
	Query   string
	Wrong   *wrongQuery
	Total   int
	Reviews []queueReview
	Damages []string
}

type queueReview struct {
	Title, Name, Link string
	Items             []queueItem
}

type queueItem struct {
	Clock, Heard, As, Link string
	Readings               []readingView
}

// queueShown bounds the readings listed.
const queueShown = 100

func (d *Desk) queue(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	p := &queuePage{page: d.page(q, "Waiting", "queue"), Query: queryIn(q)}
	list, total, damages, err := a.Waiting(p.Query, queueShown)
	if p.Wrong = wrong(err); p.Wrong != nil {
		d.show(w, http.StatusUnprocessableEntity, "queue", p)
		return
	}
	if err != nil {
		d.fail(w, q, err)
		return
	}
	p.Total, p.Damages = total, damagesOf(damages)
	for i := range list {
		l := &list[i]
		if n := len(p.Reviews); n == 0 || p.Reviews[n-1].Name != l.Review.Name {
			p.Reviews = append(p.Reviews, queueReview{Title: clip(l.Review.Title(), 80), Name: l.Review.Name, Link: reviewLink(l.Review.Name, 0)})
		}
		item := queueItem{Clock: clockOf(l.Said.At), Heard: quoted(l.Said.Heard), As: clip(schema.RoleWords(l.Said.Role, ""), 60), Link: reviewLink(l.Review.Name, l.Said.Number)}
		for k := range l.Said.Readings[:min(3, len(l.Said.Readings))] {
			rd := &l.Said.Readings[k]
			item.Readings = append(item.Readings, readingView{Text: export.Quantity(&rd.Quantity), Percent: export.Percent(rd.Confidence)})
		}
		of := &p.Reviews[len(p.Reviews)-1]
		of.Items = append(of.Items, item)
	}
	d.show(w, http.StatusOK, "queue", p)
}
