package desk

import (
	"bytes"
	"net/http"
	"strconv"
	"strings"

	"saywatt/internal/archive"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/overview"
	"saywatt/internal/export/word"
)

// A statsPage says how a property is spread. Of a property that several things
// have, such as the power of outputs and that of inputs, it shows each by itself.
type statsPage struct {
	*page
	Subject, Query string
	Wrong          *wrongQuery
	Spreads        []spreadView
	Suggested      []string
}

// A spreadView is one distribution.
type spreadView struct {
	Of                  *archive.Distribution
	Least, Median, Most string
	Picture             string
	Bins                []binView
	Outliers            []outlierView
	Damages             []string
	Places              []string // how many of the values may belong elsewhere
}

type binView struct {
	Low, High string
	N         int
}

type outlierView struct {
	Title, Link, Value, Z string
	Sign, Word            string // of its place, where that is in doubt
}

// suggested are subjects to begin with.
var suggested = []string{"power", "efficiency", "no load power", "on resistance", "cell capacity", "fuse current"}

func (d *Desk) stats(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	p := &statsPage{page: d.page(q, "Spread", "stats"),
		Subject: clip(strings.TrimSpace(q.URL.Query().Get("subject")), 200), Query: queryIn(q), Suggested: suggested}
	if p.Subject == "" {
		d.show(w, http.StatusOK, "stats", p)
		return
	}
	subjects := query.Apart(p.Subject)
	if len(subjects) == 0 {
		subjects = []string{p.Subject}
	}
	for _, subject := range subjects {
		of, err := a.Stats(subject, p.Query)
		if p.Wrong = wrong(err); p.Wrong != nil {
			d.show(w, http.StatusUnprocessableEntity, "stats", p)
			return
		}
		if err != nil {
			d.fail(w, q, err)
			return
		}
		p.Spreads = append(p.Spreads, spreadOf(of, subject, p.Query))
	}
	d.show(w, http.StatusOK, "stats", p)
}

// spreadOf is how a distribution is shown.
func spreadOf(of *archive.Distribution, subject, query string) spreadView {
	unit := of.Unit.Symbol()
	write := func(x float64) string {
		return strings.TrimSpace(strconv.FormatFloat(x, 'g', 5, 64) + "\u00a0" + unit)
	}
	v := spreadView{Of: of, Damages: damagesOf(of.Damages), Places: overview.PlaceLines(of),
		Least: write(of.Least), Median: write(of.Median), Most: write(of.Most),
		Picture: "/archive/stats.svg?" + queryOf("subject", subject, "q", query)}
	for _, b := range of.Bins {
		v.Bins = append(v.Bins, binView{write(b.Low), write(b.High), b.N})
	}
	for i := range of.Outliers {
		o := &of.Outliers[i]
		v.Outliers = append(v.Outliers,
			outlierView{clip(o.Review.Title(), 80), reviewLink(o.Review.Name, o.Match.Fact.Said),
				word.Quantity(&o.Value), strconv.FormatFloat(o.Z, 'f', 1, 64), o.Match.Fact.Place.Mark(),
				o.Match.Fact.Place.Words()})
	}
	return v
}

// statsPicture draws the spread.
func (d *Desk) statsPicture(w http.ResponseWriter, q *http.Request, a *archive.Archive) {
	of, err := a.Stats(clip(strings.TrimSpace(q.URL.Query().Get("subject")), 200), queryIn(q))
	var b bytes.Buffer
	if err == nil {
		err = overview.Histogram(of).WriteSVG(&b)
	}
	if err != nil {
		d.refuse(w, q, http.StatusNotFound, "There is nothing to draw.")
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox")
	w.Write(b.Bytes())
}
