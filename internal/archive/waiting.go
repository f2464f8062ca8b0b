package archive

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/store"
	"saywatt/internal/archive/terms"
	"saywatt/schema"
)

// Waiting is one reading of one review that waits for a person.
type Waiting struct {
	Review Review
	Said   schema.Said
}

// Waiting lists the readings that wait for a person, over all reviews that the
// query finds: the review with the most of them first, within it by time. most
// bounds how many are listed, 0 for all; total says how many there are. All of
// it is kept in the index: no record is read.
func (a *Archive) Waiting(query string, most int) (list []Waiting, total int, damages []*store.Damage, err error) {
	_, err = a.with(func(v *index.View) error {
		list, total, damages, err = a.waiting(v, query, most)
		return err
	})
	return list, total, damages, err
}

func (a *Archive) waiting(v *index.View, query string, most int) (list []Waiting, total int, damages []*store.Damage,
	err error) {
	_, in, err := (&terms.Finder{View: v}).Find(query)
	if err != nil {
		return nil, 0, nil, err
	}
	status, err := v.Term(index.FieldNames, "status"+index.Sep+schema.StatusOpen.String())
	if err != nil {
		return nil, 0, nil, err
	}
	in.And(status)
	open, err := v.Column(terms.ColumnOpen)
	if err != nil {
		return nil, 0, nil, err
	}
	type queue struct {
		name string
		n    int
	}
	var queues []queue
	in.Each(func(doc uint64) bool {
		n := 0
		if i := open.One[doc]; i >= 0 {
			n, _ = strconv.Atoi(open.Values[i])
		}
		var name string
		if name, err = v.Name(doc); err != nil {
			return false
		}
		total += n
		queues = append(queues, queue{name, n})
		return true
	})
	if err != nil {
		return nil, 0, nil, err
	}
	slices.SortFunc(queues, func(x, y queue) int {
		return cmp.Or(cmp.Compare(y.n, x.n), cmp.Compare(x.name, y.name))
	})
	for _, q := range queues {
		if most > 0 && len(list) == most {
			break
		}
		rv := reviewIn(v, q.name)
		if rv == nil {
			return nil, 0, nil, fmt.Errorf("%w: review %s is not stored", store.ErrIndex, q.name)
		}
		said, err := openIn(v, q.name)
		if err != nil {
			return nil, 0, nil, err
		}
		for _, s := range said {
			if most > 0 && len(list) == most {
				break
			}
			list = append(list, Waiting{*rv, s})
		}
	}
	return list, total, v.Manifest.Unread(), nil
}

// WaitingNames counts the names of makers and parts that wait for a person, and the
// reviews that they are of, over all reviews that the query finds. With what
// [Archive.Waiting] counts they are all that is for an ear.
func (a *Archive) WaitingNames(query string) (names, reviews int, err error) {
	_, err = a.with(func(v *index.View) error {
		names, reviews = 0, 0
		_, in, err := (&terms.Finder{View: v}).Find(query)
		if err != nil {
			return err
		}
		c, err := v.Column(terms.ColumnNames)
		if err != nil {
			return err
		}
		in.Each(func(doc uint64) bool {
			if i := c.One[doc]; i >= 0 {
				n, _ := strconv.Atoi(c.Values[i])
				names, reviews = names+n, reviews+1
			}
			return true
		})
		return nil
	})
	return names, reviews, err
}

// openOf lists the readings of a record that wait for a person, with what a
// queue shows of them: not why they were read so, nor what each reading scored.
func openOf(r *schema.Record) []schema.Said {
	var all []schema.Said
	for i := range r.Quantities {
		s := r.Quantities[i]
		if s.Status != schema.StatusOpen {
			continue
		}
		s.Why, s.Belongs = nil, nil
		s.Readings = slices.Clone(s.Readings)
		for k := range s.Readings {
			s.Readings[k].Terms = nil
		}
		all = append(all, s)
	}
	return all
}

// storedOpen is openOf as the index keeps it, nil for none.
func storedOpen(r *schema.Record) []byte {
	all := openOf(r)
	if all == nil {
		return nil
	}
	b, err := json.Marshal(all)
	if err != nil {
		return nil // a record from elsewhere that could not be written: what cannot be kept is not shown
	}
	return b
}
