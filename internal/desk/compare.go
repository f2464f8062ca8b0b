package desk

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"saywatt/internal/archive"
)

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
	Alone   bool // one review says it, and no other
	Cells   []compareCell
}

type compareCell struct {
	Text, Sign, Word, Class, Ratio string
	Elsewhere                      string // whether it may belong elsewhere
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
				k.Sign, k.Word, k.Class = cell.Mark(), wordOf(cell.Status), classOf(cell.Status)
				k.Elsewhere = cell.Place.Words()
			}
			v.Cells = append(v.Cells, k)
		}
		saying := 0
		for i := range v.Cells {
			if v.Cells[i].Text != "" {
				saying++
			}
		}
		v.Alone = saying == 1
		p.Rows = append(p.Rows, v)
	}
}
