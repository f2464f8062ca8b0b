package desk

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"saywatt/normalize"
	"saywatt/schema"
)

// A decision is followed by a reading of everything anew. Of captions of an hour
// that takes some hundredths of a second; of a text of megabytes it takes
// seconds. Then it is made behind the pages: the decision is put into the log and
// shown at its place at once, the pages say that the rest is still being read,
// and no page waits for it.

// patience is how long a reading may take for which an act waits.
const patience = time.Second

// errBeingRead says that a review has nothing to show yet.
var errBeingRead = errors.New("the captions are being read")

// behind is what a review knows of its readings; guarded by review.stateMu.
type behind struct {
	took   time.Duration         // the last reading
	done   chan struct{}         // closed when the reading that goes on ends; nil where none does
	failed error                 // of the last one behind the pages
	was    map[spot]*schema.Said // quantities before they were decided
}

// took notes how long a reading took.
func (r *review) took(d time.Duration) {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	r.behind.took = d
}

// slow reports whether readings are made behind the pages.
func (r *review) slow() bool { return r.readingTakes() > r.options.patience }

// readingTakes is how long the last reading took.
func (r *review) readingTakes() time.Duration {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	if r.transcript == nil {
		return 0
	}
	return r.behind.took
}

// with is a state in which entries are heeded at their own places only: what
// hangs on them is as it was.
func (s *state) with(add []entry) *state {
	n := &state{entries: append(slices.Clone(s.entries), add...), stray: s.stray, whole: s.whole}
	if n.whole == nil {
		n.whole = s
	}
	n.stands = standing(n.entries)
	rec := *s.record
	rec.Quantities = slices.Clone(rec.Quantities)
	n.record = &rec
	for i := range add {
		e := &add[i]
		q := quantityOf(&rec, e)
		if e.spot().words || e.Names != "" || q == nil {
			continue
		}
		rec.Counts.Count(q, -1)
		if stands := n.stands[e.spot()]; stands != nil {
			stands.apply(q)
		} else if was := quantityOf(n.whole.record, e); was != nil && n.whole.stands[e.spot()] == nil {
			*q = *was
		}
		rec.Counts.Count(q, 1)
	}
	return n
}

// misplaced is what a whole reading would say against the places of entries, as
// far as the record says that.
func (s *state) misplaced(add []entry) error {
	for i := range add {
		e := &add[i]
		q := quantityOf(s.record, e)
		if e.Place == nil || q == nil {
			continue
		}
		kind := q.Kind
		if e.Quantity != nil {
			kind = e.Quantity.Unit.Kind()
		}
		if !slices.ContainsFunc(normalize.PlacesFor(kind),
			func(b schema.BelongsTo) bool { return b.To == e.Place.To }) {
			return fmt.Errorf("%s: %w", clip(e.Place.To, 60), normalize.ErrNoPlace)
		}
	}
	return nil
}

// quantityOf finds the quantity that an entry is about, nil where there is none.
func quantityOf(rec *schema.Record, e *entry) *schema.Said {
	for i := range rec.Quantities {
		q := &rec.Quantities[i]
		if q.Span == e.Span && (e.Kind == nil || q.Kind == *e.Kind) {
			return q
		}
	}
	return nil
}

// apply lets a decision stand at its quantity.
func (e *entry) apply(q *schema.Said) {
	switch {
	case e.Quantity != nil:
		q.Quantity, q.Status, q.Confidence = *e.Quantity, schema.StatusSettled, 1
	case e.Nothing:
		q.Status, q.Confidence = schema.StatusSettled, 1
	}
	if e.Place != nil {
		q.Belongs, q.BelongsSettled = nil, true
	}
}

// keepAsItWas keeps the quantities that entries are about as they were read
// before: reading everything without one decision takes too long here.
func (r *review) keepAsItWas(now *state, add []entry) {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	if r.behind.was == nil {
		r.behind.was = map[spot]*schema.Said{}
	}
	for i := range add {
		q := quantityOf(now.record, &add[i])
		if q != nil && q.Status != schema.StatusSettled {
			was := *q
			r.behind.was[add[i].spot()] = &was
		}
	}
}

// asItWas is a quantity before it was decided, as it is where that is not known.
func (r *review) asItWas(place spot, said *schema.Said) *schema.Said {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	if was := r.behind.was[place]; was != nil {
		return was
	}
	return said
}

// catchUpBehind is catchUp where nobody waits for a reading; mu is held.
func (r *review) catchUpBehind(now *state, entries []entry) (*state, error) {
	defer r.readBehind()
	if now != nil && len(entries) < now.version() { // somebody cut the log
		r.park()
		now = nil
	}
	if now == nil {
		return nil, errBeingRead
	}
	next := now.with(entries[now.version():])
	r.setState(next)
	return next, nil
}

// readBehind has everything read anew behind the pages, unless that is being
// done, and returns what is closed when it ends.
func (r *review) readBehind() <-chan struct{} {
	r.stateMu.Lock()
	defer r.stateMu.Unlock()
	if r.behind.done != nil {
		return r.behind.done
	}
	done := make(chan struct{})
	r.behind.done, r.behind.failed = done, nil
	go func() {
		defer close(done)
		for r.readOnce() {
		}
	}()
	return done
}

// readOnce reads everything that is in the log and reports whether more came
// meanwhile. What was read is shown even then, so that somebody who decides faster
// than this reads sees it move.
func (r *review) readOnce() (more bool) {
	r.mu.Lock()
	entries, err := r.log.entries()
	r.mu.Unlock()
	var next *state
	if err == nil {
		next, err = r.readLenient(entries)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	now := r.state()
	if err == nil && now != nil && now.version() > next.version() {
		next, more = next.with(now.entries[next.version():]), true
	} else if err == nil && now != nil && now.whole != nil {
		next.last = effects(now.whole.record, next.record, next.entries[min(now.whole.version(), next.version()):])
	}
	if err == nil {
		r.setState(next)
	}
	if !more {
		r.stateMu.Lock()
		r.behind.done, r.behind.failed = nil, err
		r.stateMu.Unlock()
	}
	if err != nil && r.changed != nil {
		r.changed()
	}
	return more
}

// readWhole is the newest state once it was read whole.
func (r *review) readWhole(ctx context.Context) (*state, error) {
	for {
		s, err := r.refresh()
		if err != nil && !errors.Is(err, errBeingRead) || err == nil && s.whole == nil {
			return s, err
		}
		select {
		case <-r.readBehind():
		case <-ctx.Done():
			return nil, ctx.Err()
		}
		if err := r.readingFailed(); err != nil {
			return nil, err
		}
	}
}

// readingFailed is the error of the last reading behind the pages.
func (r *review) readingFailed() error {
	r.stateMu.RLock()
	defer r.stateMu.RUnlock()
	return r.behind.failed
}
