package archive

import (
	"sync"

	"saywatt/internal/archive/store"
	"saywatt/schema"
)

// recentKept is how many decoded records are remembered: some pages of results.
const recentKept = 256

// recent remembers the records decoded last. A record and what was decided on
// it never change, so one holds for as long as the review has that record and
// that many decisions. What it hands out is shared and not to be changed.
type recent struct {
	mu    sync.Mutex
	of    map[recentKey]*schema.Record
	order []recentKey // as they came; the oldest goes first
}

type recentKey struct {
	review, record string
	decisions      int
	facts          bool
}

// recall is load, or loadFacts, for those who only look at the record. What is
// damaged is read, and reported, every time.
func (a *Archive) recall(rv *Review, facts bool) (*schema.Record, []*store.Damage) {
	key := recentKey{rv.Name, rv.Record, len(rv.lines), facts}
	c := &a.recent
	c.mu.Lock()
	r := c.of[key]
	c.mu.Unlock()
	if r != nil {
		return r, nil
	}
	load := a.load
	if facts {
		load = a.loadFacts
	}
	r, damages := load(rv)
	if r == nil || len(damages) > 0 {
		return r, damages
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.of == nil {
		c.of = map[recentKey]*schema.Record{}
	}
	if c.of[key] == nil {
		if len(c.order) == recentKept {
			delete(c.of, c.order[0])
			c.order = append(c.order[:0], c.order[1:]...)
		}
		c.of[key] = r
		c.order = append(c.order, key)
	}
	return r, nil
}
