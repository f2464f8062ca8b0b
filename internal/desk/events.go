package desk

import (
	"net/http"
	"sync"
)

// watchers wait for news.
type watchers struct {
	mu  sync.Mutex
	all map[chan struct{}]bool
}

// wake wakes all of them.
func (w *watchers) wake() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for c := range w.all {
		select {
		case c <- struct{}{}:
		default:
		}
	}
}

// watch gives word of all news until stop is called.
func (w *watchers) watch() (news <-chan struct{}, stop func()) {
	c := make(chan struct{}, 1)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.all == nil {
		w.all = map[chan struct{}]bool{}
	}
	w.all[c] = true
	return c, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		delete(w.all, c)
	}
}

// events streams how many states of each review there were: one stream is enough for any
// number of tabs.
func (d *Desk) events(w http.ResponseWriter, q *http.Request) {
	news, stop := d.news.watch()
	defer stop()
	stream(w, q, news, func() (string, any, bool) {
		versions := map[string]int{}
		for _, r := range d.all() {
			versions[r.id] = r.summary().shown
		}
		return "versions", versions, false
	})
}
