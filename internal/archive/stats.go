package archive

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/spread"
	"saywatt/internal/archive/store"
	"saywatt/internal/archive/terms"
	"saywatt/schema"
)

// Distribution is how the values of one subject are spread over the archive.
// Each review has one vote for each value it says.
type Distribution struct {
	Subject       string // as asked: on resistance, fuse current
	Unit          schema.Unit
	Reviews       int // reviews that say any
	spread.Sample     // the votes
	Outliers      []Outlier
	Note          string // why nothing can be said, where that is known
	Ranges        int    // ranges given, which have no one value and do not count
	// Places counts the votes whose value may belong elsewhere, by how sure it is.
	Places [schema.PlaceUnlikely + 1]int
	// Damages are what could not be read: reviews that the index has not, and
	// those that may disagree and cannot be shown.
	Damages []*store.Damage
}

// maxOutliers is how many reviews that disagree are shown.
const maxOutliers = 50

// Outlier is a review that disagrees with the rest.
type Outlier struct {
	Review Review
	Value  schema.Quantity
	Z      float64 // robust z-score
	Match  Match
}

// vote is a value with the number of reviews that say it.
type vote struct {
	value terms.Value
	x     float64
	n     int
}

// Stats says how the values of a subject are spread: a property, a group and
// a property, or a group and a kind of quantity, as in a condition. query
// narrows it to the reviews it finds.
func (a *Archive) Stats(subject, query string) (*Distribution, error) {
	var d *Distribution
	_, err := a.with(func(v *index.View) (err error) {
		d, err = a.stats(v, subject, query)
		return err
	})
	return d, err
}

func (a *Archive) stats(v *index.View, subject, asked string) (*Distribution, error) {
	path, kind, note, err := query.Parser{Parts: terms.PartsOf(v)}.Subject(subject)
	if err != nil {
		return nil, err
	}
	e := &terms.Finder{View: v}
	_, in, err := e.Find(asked)
	if err != nil {
		return nil, err
	}
	d := &Distribution{Subject: subject, Unit: query.DisplayUnit(kind), Note: note, Damages: v.Manifest.Unread()}
	any := index.NewSet(v.Numbers)
	var votes []vote
	err = e.Values(path, in, func(value terms.Value, of index.Set) {
		any.Or(of)
		if n := of.Count(); n > 0 {
			votes = append(votes, vote{value: value, n: n})
		}
	})
	if err != nil {
		return nil, err
	}
	d.Reviews = any.Count()
	if d.Ranges, err = e.Ranges(path); err != nil || len(votes) == 0 {
		return d, err
	}
	base := query.BaseUnits()[kind]
	for i := range votes {
		shown, err := base.Convert(votes[i].value.Number, d.Unit)
		if err != nil {
			shown = votes[i].value.Number
		}
		votes[i].x = shown.Float64()
	}
	slices.SortStableFunc(votes, func(a, b vote) int { return cmp.Compare(a.x, b.x) })
	said := make([]spread.Weighed, len(votes))
	for i, v := range votes {
		said[i] = spread.Weighed{X: v.x, N: v.n}
	}
	d.Sample = spread.Of(said)
	for sure := schema.PlaceUncertain; sure <= schema.PlaceUnlikely; sure++ {
		if d.Places[sure], err = e.Elsewhere(path, in, sure); err != nil {
			return nil, err
		}
	}
	return d, a.outliers(e, d, votes, in, path)
}

// outliers finds the reviews whose values are far off, farthest first.
func (a *Archive) outliers(e *terms.Finder, d *Distribution, votes []vote, in index.Set, path string) error {
	far := slices.DeleteFunc(slices.Clone(votes),
		func(v vote) bool { return d.Spread == 0 || math.Abs(d.Z(v.x)) < spread.OutlierZ })
	slices.SortStableFunc(far, func(x, y vote) int { return cmp.Compare(math.Abs(d.Z(y.x)), math.Abs(d.Z(x.x))) })
	for _, v := range far {
		b, err := e.Having(v.value, in)
		if err != nil {
			return err
		}
		var names []string
		b.Each(func(doc uint64) bool {
			var name string
			name, err = e.View.Name(doc)
			names = append(names, name)
			return err == nil
		})
		if err != nil {
			return err
		}
		slices.Sort(names)
		for _, name := range names {
			if len(d.Outliers) == maxOutliers {
				return nil
			}
			rv := reviewIn(e.View, name)
			if rv == nil {
				return fmt.Errorf("%w: review %s is not stored", store.ErrIndex, name)
			}
			r, damages := a.recall(rv, true)
			d.Damages = store.Without(append(d.Damages, damages...))
			if r == nil {
				continue
			}
			o := Outlier{Review: *rv, Z: d.Z(v.x)}
			at := query.Bound{Value: v.value.Number}
			c := &query.Condition{Path: path, Low: at, High: at, Unit: query.BaseUnits()[d.Unit.Kind()]}
			for _, m := range newSubject(rv, r).Matches(c) {
				o.Match, o.Value = m, *m.Fact.Quantity
				break
			}
			d.Outliers = append(d.Outliers, o)
		}
	}
	return nil
}
