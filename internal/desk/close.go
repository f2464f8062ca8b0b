package desk

import (
	"net/http"
	"slices"
)

// closedKept bounds how many reviews that were closed can be opened again by
// one press.
const closedKept = 20

// closeReview takes a review from the desk. What was decided stays where it is
// kept; where that is in memory, it has to be asked for twice.
func (d *Desk) closeReview(w http.ResponseWriter, q *http.Request, r *review, s *state) {
	if !d.form(w, q) {
		return
	}
	if l, ok := r.log.(*fileLog); ok && l.path == "" && s.version() > 0 && q.PostFormValue("confirmed") == "" {
		d.show(w, http.StatusOK, "close", d.pageOf(q, r, s, "Close it?", "home"))
		return
	}
	if err := d.keep(r, d.who(q)); err != nil {
		d.fail(w, q, err)
		return
	}
	d.mu.Lock()
	d.reviews = slices.DeleteFunc(d.reviews, func(o *review) bool { return o == r })
	d.closed = append(d.closed, r)
	d.closed = d.closed[max(0, len(d.closed)-closedKept):]
	d.mu.Unlock()
	r.park()
	http.Redirect(w, q, "/?done=closed", http.StatusSeeOther)
}

// reopen puts a review that was closed back on the desk.
func (d *Desk) reopen(w http.ResponseWriter, q *http.Request) {
	d.mu.Lock()
	i := slices.IndexFunc(d.closed, func(r *review) bool { return r.id == q.PathValue("id") })
	var r *review
	if i >= 0 {
		r = d.closed[i]
		d.closed = slices.Delete(d.closed, i, i+1)
	}
	d.mu.Unlock()
	if r == nil {
		d.refuse(w, q, http.StatusNotFound, "No review of this name was closed just now; add its captions again.")
		return
	}
	id, err := d.take(r)
	if err != nil {
		d.fail(w, q, err)
		return
	}
	http.Redirect(w, q, "/r/"+id+"/question", http.StatusSeeOther)
}

// reopened puts a review back on the desk that was closed and is the one to be
// opened, and returns its id and name, "" where there is none.
func (d *Desk) reopened(as *review) (id, name string) {
	d.mu.Lock()
	i := slices.IndexFunc(d.closed, as.sameAs)
	if i < 0 {
		d.mu.Unlock()
		return "", ""
	}
	r := d.closed[i]
	d.closed = slices.Delete(d.closed, i, i+1)
	d.mu.Unlock()
	id, err := d.take(r)
	if err != nil {
		d.config.Log(err)
	}
	return id, r.name
}
