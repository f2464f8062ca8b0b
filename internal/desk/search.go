package desk

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/word"
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
	Sign                string // of its status, and of its place where that is in doubt
	Word                string // what the sign of the place says
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
	p := &searchPage{page: d.page(q, "Archive", "search"), Query: queryIn(q), Sorts: archive.Sorts(),
		Sort: q.URL.Query().Get("sort")}
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
			narrowed := strings.TrimSpace(p.Query + " " + f.Field + `:"` +
				strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(c.Value) + `"`)
			v.Counts = append(v.Counts, facetCount{clip(c.Value, 60),
				"/archive?" + queryOf("q", narrowed, "sort", p.Sort), c.N})
		}
		if len(v.Counts) > 0 {
			p.Facets = append(p.Facets, v)
		}
	}
	if offset > 0 {
		p.Earlier = "/archive?" + queryOf("q", p.Query, "sort", p.Sort, "from",
			strconv.Itoa(max(0, offset-archive.DefaultLimit)))
	}
	if next := offset + len(found.Hits); next < found.Total && len(found.Hits) > 0 {
		p.Later = "/archive?" + queryOf("q", p.Query, "sort", p.Sort, "from", strconv.Itoa(next))
	}
	d.show(w, http.StatusOK, "search", p)
}

// wrong shows where a query cannot be read, nil for other errors.
func wrong(err error) *wrongQuery {
	var e *query.Error
	if !errors.As(err, &e) {
		return nil
	}
	from, to := min(max(0, e.Span.Start), len(e.Query)), min(max(0, e.Span.End), len(e.Query))
	return &wrongQuery{clip(e.Query[:from], maxQuery), clip(e.Query[from:max(from, to)], maxQuery),
		clip(e.Query[max(from, to):], maxQuery), clip(e.Msg, 300), clip(e.Hint, 300)}
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
	v := hitView{Name: h.Review.Name, Title: clip(h.Review.Title(), 80), Kind: clip(h.Review.Kind, 60),
		Maker: clip(h.Review.Maker, 60), Version: h.Review.Version,
		Added: h.Review.Added.Format("2 January 2006"), Link: reviewLink(h.Review.Name, 0)}
	v.More = max(0, len(h.Matches)-maxMatches)
	for i := range h.Matches[:len(h.Matches)-v.More] {
		v.Matches = append(v.Matches, matchOf(h.Review.Name, &h.Matches[i]))
	}
	return v
}

func matchOf(review string, m *archive.Match) matchView {
	v := matchView{Label: clip(m.Fact.Label, 80), Clock: clockOf(m.Fact.At), Sign: m.Fact.Mark(),
		Word: m.Fact.Place.Words(), Link: reviewLink(review, m.Fact.Said)}
	if m.Fact.Quantity != nil {
		v.Value = word.Quantity(m.Fact.Quantity)
	} else {
		v.Value = clip(m.Fact.Text, 80)
	}
	at := 0
	for _, s := range m.Marks {
		if s.Start < at || s.End > len(m.Text) {
			continue
		}
		v.Text = append(v.Text, part{Text: clip(m.Text[at:s.Start], 300)},
			part{Text: clip(m.Text[s.Start:s.End], 100), Class: "found", Word: "found", Now: true})
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
		s, err := r.refresh()
		if err != nil {
			d.fail(w, q, err)
			return
		}
		rec := s.record
		if said := rec.Quantity(n); said != nil {
			to = "/r/" + r.id + "/question/" + addressOf(rec, said)
		}
	}
	http.Redirect(w, q, to, http.StatusSeeOther)
}
