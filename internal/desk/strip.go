package desk

import (
	"net/http"
	"net/url"
	"strings"
)

// A strip is the line on top of a page: what was decided last, taken back by u
// and done again by U, and the next question, by n. Pages of a review speak of it,
// those of the desk and the archive of the review that was decided on last.
type strip struct {
	Review *reviewHead // nil where nothing is open
	Last   *lastView
	Named  bool   // the page is of no review: the strip says of which it is
	Back   string // the tab, or the address, that taking back leads to
	Next   *reviewHead
}

// stripOf is the strip of a page of a review.
func (d *Desk) stripOf(q *http.Request, r *review, s *state, tab string) *strip {
	t := &strip{Review: head(r, s), Last: d.lastAct(q, r, s), Back: tab}
	if t.Review.Questions.All() > 0 {
		t.Next = t.Review
	} else {
		t.Next = d.nextReview(r)
	}
	return t
}

// deskTabs are the tabs of pages of no review that have a strip.
var deskTabs = map[string]bool{"home": true, "search": true, "queue": true, "compare": true, "stats": true}

// deskStrip is the strip of a page of no review, nil where it has none.
func (d *Desk) deskStrip(q *http.Request, tab string) *strip {
	all := d.all()
	if !deskTabs[tab] || len(all) == 0 {
		return nil
	}
	var last *review
	for _, r := range all {
		if r.state() != nil && (last == nil || r.summary().acted.After(last.summary().acted)) {
			last = r
		}
	}
	if last == nil {
		return nil
	}
	t := d.stripOf(q, last, last.state(), "")
	t.Named, t.Back = true, here(q)
	return t
}

// nextReview is another review with questions, the one behind r first; nil where
// none has any.
func (d *Desk) nextReview(r *review) *reviewHead {
	all := d.all()
	at := 0
	for i, o := range all {
		if o == r {
			at = i + 1
		}
	}
	for i := range all {
		o := all[(at+i)%len(all)]
		if s := o.summary(); o != r && s.questions.All() > 0 {
			return headOf(o, s)
		}
	}
	return nil
}

// here is the address of a page without what was done just now.
func here(q *http.Request) string {
	v := q.URL.Query()
	v.Del("done")
	v.Del("v")
	u := url.URL{Path: q.URL.Path, RawQuery: v.Encode()}
	return u.String()
}

// localAddress is an address of this desk with what was done just now, "" where it
// is none.
func localAddress(address string, s *state, what string) string {
	u, err := url.Parse(address)
	if err != nil || u.IsAbs() || u.Host != "" || u.User != nil || !strings.HasPrefix(u.Path, "/") ||
		strings.HasPrefix(u.Path, "//") || strings.ContainsAny(address, "\\\r\n") {
		return ""
	}
	v := u.Query()
	v.Del("done")
	v.Del("v")
	query := doneOf(what, s)
	if len(v) > 0 {
		query = v.Encode() + "&" + query
	}
	return (&url.URL{Path: u.Path, RawQuery: query}).String()
}
