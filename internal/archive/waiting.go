package archive

import (
	"cmp"
	"slices"

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
		r  *schema.Record
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
		r, dm := a.load(rv)
		damages = append(damages, dm...)
		if r == nil {
			return true
		}
		n := 0
		for i := range r.Quantities {
			if r.Quantities[i].Status == schema.StatusOpen {
				n++
			}
		}
		total += n
		queues = append(queues, queue{rv, r, n})
		return true
	})
	if err != nil {
		return nil, 0, nil, err
	}
	slices.SortFunc(queues, func(x, y queue) int {
		return cmp.Or(cmp.Compare(y.n, x.n), cmp.Compare(x.rv.Name, y.rv.Name))
	})
	for _, q := range queues {
		for i := range q.r.Quantities {
			if most > 0 && len(list) == most {
				return list, total, damages, nil
			}
			if s := q.r.Quantities[i]; s.Status == schema.StatusOpen {
				list = append(list, Waiting{*q.rv, s})
			}
		}
	}
	return list, total, damages, nil
}
