package archive

import (
	"cmp"
	"slices"
	"sync"

	"saywatt/schema"
)

// Waiting is one reading of one review that waits for a person.
type Waiting struct {
	Review Review
	Said   schema.Said
}

// Waiting lists the readings that wait for a person, over all reviews that the
// query finds: the review with the most of them first, within it by time. most
// bounds how many are listed, 0 for all; total tells how many there are.
func (a *Archive) Waiting(query string, most int) (list []Waiting, total int, damages []*Damage, err error) {
	_, err = a.with(func(v *view) error {
		list, total, damages, err = a.waiting(v, query, most)
		return err
	})
	return list, total, damages, err
}

func (a *Archive) waiting(v *view, query string, most int) (list []Waiting, total int, damages []*Damage, err error) {
	q, err := Parser{Parts: v.parts}.Parse(query)
	if err != nil {
		return nil, 0, nil, err
	}
	e := &evaluator{v: v}
	in, err := e.eval(q.root)
	if err != nil {
		return nil, 0, nil, err
	}
	status, err := v.term(fieldNames, "status"+sep+schema.StatusOpen.String())
	if err != nil {
		return nil, 0, nil, err
	}
	in.and(status)
	type queue struct {
		rv *Review
		n  int
	}
	var queues []queue
	in.each(func(doc uint64) bool {
		var name string
		if name, err = v.name(doc); err != nil {
			return false
		}
		rv := v.review(name)
		if rv == nil {
			return true
		}
		n, dm := a.openIn(rv)
		damages = append(damages, dm...)
		total += n
		queues = append(queues, queue{rv, n})
		return true
	})
	if err != nil {
		return nil, 0, nil, err
	}
	slices.SortFunc(queues, func(x, y queue) int {
		return cmp.Or(cmp.Compare(y.n, x.n), cmp.Compare(x.rv.Name, y.rv.Name))
	})
	for _, q := range queues {
		if most > 0 && len(list) == most {
			break
		}
		r, _ := a.recall(q.rv, false) // damages are told above
		if r == nil {
			continue
		}
		for i := range r.Quantities {
			if most > 0 && len(list) == most {
				break
			}
			if s := r.Quantities[i]; s.Status == schema.StatusOpen {
				list = append(list, Waiting{*q.rv, s})
			}
		}
	}
	return list, total, damages, nil
}

// openCounts remembers how many readings of a review are open: a record and
// what was decided on it never change, so a count holds for as long as the
// review has that record and that many decisions. Without it every look at the
// queue would read every record that has something open.
type openCounts struct {
	mu sync.Mutex
	of map[openKey]int
}

type openKey struct {
	review, record string
	decisions      int
}

// openIn counts the open readings of a review. What is damaged is read, and
// told of, every time.
func (a *Archive) openIn(rv *Review) (int, []*Damage) {
	key := openKey{rv.Name, rv.Record, len(rv.lines)}
	a.open.mu.Lock()
	n, ok := a.open.of[key]
	a.open.mu.Unlock()
	if ok {
		return n, nil
	}
	r, damages := a.load(rv)
	if r == nil {
		return 0, damages
	}
	n = 0
	for i := range r.Quantities {
		if r.Quantities[i].Status == schema.StatusOpen {
			n++
		}
	}
	if len(damages) == 0 {
		a.open.mu.Lock()
		if a.open.of == nil {
			a.open.of = map[openKey]int{}
		}
		a.open.of[key] = n
		a.open.mu.Unlock()
	}
	return n, damages
}
