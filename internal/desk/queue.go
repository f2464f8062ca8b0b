package desk

import (
	"net/http"

	"saywatt/internal/archive"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// A queuePage lists what waits for a person, over all reviews.
type queuePage struct {
	*page
	Query   string
	Wrong   *wrongQuery
	Total   int // readings that wait
	Names   int // and names, which are in so many reviews:
	Named   int
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
	if p.Names, p.Named, err = a.WaitingNames(p.Query); err != nil {
		d.fail(w, q, err)
		return
	}
	p.Total, p.Damages = total, damagesOf(damages)
	for i := range list {
		l := &list[i]
		if n := len(p.Reviews); n == 0 || p.Reviews[n-1].Name != l.Review.Name {
			p.Reviews = append(p.Reviews, queueReview{Title: clip(l.Review.Title(), 80), Name: l.Review.Name,
				Link: reviewLink(l.Review.Name, 0)})
		}
		item := queueItem{Clock: clockOf(l.Said.At), Heard: quoted(l.Said.Heard),
			As: clip(schema.RoleWords(l.Said.Role, ""), 60), Link: reviewLink(l.Review.Name, l.Said.Number)}
		for k := range l.Said.Readings[:min(3, len(l.Said.Readings))] {
			rd := &l.Said.Readings[k]
			item.Readings = append(item.Readings,
				readingView{Text: word.Quantity(&rd.Quantity), Percent: word.Percent(rd.Confidence)})
		}
		of := &p.Reviews[len(p.Reviews)-1]
		of.Items = append(of.Items, item)
	}
	d.show(w, http.StatusOK, "queue", p)
}
