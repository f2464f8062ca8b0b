package desk

import (
	"net/http"
	"slices"

	"saywatt/internal/export/word"
	"saywatt/schema"
)

// likely is the probability from which open readings are looked through
// together, and lookShown how many at a time: all of their sentences are in
// view when they are confirmed.
const (
	likely    = 0.9
	lookShown = 4
)

// likelyOpen lists the open quantities whose first reading is likely.
func (r *review) likelyOpen(s *state) []*schema.Said { return r.agenda(s).likely }

// A lookPage shows likely readings to be confirmed together.
type lookPage struct {
	*page
	Places []lookView
	More   int // not shown yet
}

type lookView struct {
	placeView
	Reading, Value, Percent string
}

func (d *Desk) look(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	all := r.likelyOpen(s)
	p := &lookPage{page: d.pageOf(q, r, s, "Look through", "question"), More: max(0, len(all)-lookShown)}
	for _, o := range all[:min(len(all), lookShown)] {
		from, to := r.moment(o)
		p.Places = append(p.Places, lookView{
			placeView: placeView{At: addressOf(s.record, o), Clock: clockOf(o.At), From: from, To: to,
				Sentence: r.sentenceOf(s, o, lookReach),
				Role:     clip(schema.RoleWords(o.Role, subjectOf(s.record, o)), 80)},
			Reading: word.Quantity(&o.Readings[0].Quantity), Value: asJSON(&o.Readings[0].Quantity),
			Percent: word.Percent(o.Readings[0].Confidence),
		})
	}
	d.show(w, http.StatusOK, "look", p)
}

// lookDecide takes those that were left chosen, each as the reading shown.
func (d *Desk) lookDecide(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	var entries []entry
	for _, at := range slices.Compact(slices.Sorted(slices.Values(q.PostForm["also"]))) {
		said := quantityAt(s.record, at)
		if said == nil {
			continue
		}
		e := entryOn(s.record.Source.File, s.record, said)
		var err error
		if e.Quantity, err = readBack(q.PostFormValue("reading-" + at)); err != nil {
			d.refuse(w, q, http.StatusUnprocessableEntity, "Nothing was changed: "+err.Error()+".")
			return
		}
		e.How = howReading
		entries = append(entries, e)
	}
	d.commit(w, q, r, entries, func(next *state) string {
		return "/r/" + r.id + "/question?" +
			doneOf("answered", next)
	})
}
