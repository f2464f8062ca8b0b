package archive

import (
	"cmp"
	"slices"
	"strings"

	"saywatt/schema"
)

// Hint is what the archive knows of one part, or of one kind of part by one
// maker: data for whoever reads the next review. See doc.go on how to use it.
type Hint struct {
	Kind    string       // kind of part: bulk capacitor
	Maker   string       // "" where none was said
	Part    string       // part number, "" where none was said
	Count   int          // reviews that have it
	Records []string     // their records, SHA-256, in order of bytes
	Ratings []HintRating // in order of property and value
}

// HintRating is a rating that the part was said with.
type HintRating struct {
	Property string
	Quantity schema.Quantity
	Count    int      // reviews that tell it
	Records  []string // their records
}

// HintOptions choose what is taken as a hint. The zero value takes all that
// nobody doubts.
type HintOptions struct {
	Without string // name of a review left out: it is no evidence for itself
	Least   int    // reviews that must agree; 0 means 1
}

// Hints lists the parts that the archive holds, with makers and ratings: those
// heard as they stand, repaired with proof, or settled by a person. What is
// open teaches nothing. The list is in order of kind, maker and part. It reads
// every record.
func (a *Archive) Hints(o HintOptions) ([]Hint, []*Damage, error) {
	reviews, damages, err := a.Reviews()
	if err != nil {
		return nil, nil, err
	}
	g := hintGatherer{}
	type made struct {
		r       *schema.Record
		damages []*Damage
	}
	reviews = slices.DeleteFunc(reviews, func(rv *Review) bool { return rv.Name == o.Without })
	err = ordered(len(reviews), func(i int) (m made) {
		m.r, m.damages = a.loadFacts(reviews[i])
		return m
	}, func(i int, m made) error {
		damages = append(damages, m.damages...)
		if m.r != nil {
			g.record(reviews[i], m.r)
		}
		return nil
	})
	return g.sorted(max(o.Least, 1)), damages, err
}

type hintKey struct{ kind, maker, part string }

// hintGatherer counts parts and their ratings.
type hintGatherer map[hintKey]*Hint

func (g hintGatherer) record(rv *Review, r *schema.Record) {
	for i := range r.Components {
		c := &r.Components[i]
		if c.Status == schema.StatusOpen || c.Maker == "" && c.Part == "" {
			continue
		}
		k := hintKey{c.Kind, c.Maker, c.Part}
		h := g[k]
		if h == nil {
			h = &Hint{Kind: c.Kind, Maker: c.Maker, Part: c.Part}
			g[k] = h
		}
		h.Records = with(h.Records, rv.Record)
		for n := range c.Ratings {
			x := &c.Ratings[n]
			if x.Value.Status != schema.StatusOpen {
				h.rating(x, rv.Record)
			}
		}
	}
}

func (h *Hint) rating(x *schema.Rating, record string) {
	for i := range h.Ratings {
		if hr := &h.Ratings[i]; hr.Property == x.Property && hr.Quantity.Same(x.Value.Quantity) {
			hr.Records = with(hr.Records, record)
			return
		}
	}
	h.Ratings = append(h.Ratings, HintRating{Property: x.Property, Quantity: x.Value.Quantity,
		Records: []string{record}})
}

// with adds a record that is not there yet.
func with(records []string, record string) []string {
	if slices.Contains(records, record) {
		return records
	}
	return append(records, record)
}

func (g hintGatherer) sorted(least int) []Hint {
	var all []Hint
	for _, h := range g {
		if h.Count = len(h.Records); h.Count < least {
			continue
		}
		slices.Sort(h.Records)
		for i := range h.Ratings {
			h.Ratings[i].Count = len(h.Ratings[i].Records)
			slices.Sort(h.Ratings[i].Records)
		}
		h.Ratings = slices.DeleteFunc(h.Ratings, func(r HintRating) bool { return r.Count < least })
		slices.SortFunc(h.Ratings, func(a, b HintRating) int {
			return cmp.Or(strings.Compare(a.Property, b.Property), cmp.Compare(a.Quantity.SI(), b.Quantity.SI()),
				strings.Compare(string(a.Quantity.Unit), string(b.Quantity.Unit)))
		})
		all = append(all, *h)
	}
	slices.SortFunc(all, func(a, b Hint) int {
		return cmp.Or(strings.Compare(a.Kind, b.Kind), strings.Compare(a.Maker, b.Maker),
			strings.Compare(a.Part, b.Part))
	})
	return all
}
