package archive

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/spread"
	"saywatt/internal/archive/store"
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
	term  string
	value schema.Decimal
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
	path, kind, note, err := query.Parser{Parts: partsOf(v)}.Subject(subject)
	if err != nil {
		return nil, err
	}
	e := &evaluator{v: v}
	_, in, err := e.find(asked)
	if err != nil {
		return nil, err
	}
	d := &Distribution{Subject: subject, Unit: query.DisplayUnit(kind), Note: note, Damages: v.Manifest.Unread()}
	any := index.NewSet(v.Numbers)
	votes, err := e.votes(path, in, any)
	if err != nil {
		return nil, err
	}
	d.Reviews = any.Count()
	err = v.Prefixed(index.FieldRanges, path+index.Sep, func(_ string, n uint64) bool {
		d.Ranges += int(n)
		return true
	})
	if err != nil || len(votes) == 0 {
		return d, err
	}
	base := query.BaseUnits()[kind]
	for i := range votes {
		shown, err := base.Convert(votes[i].value, d.Unit)
		if err != nil {
			shown = votes[i].value
		}
		votes[i].x = shown.Float64()
	}
	slices.SortStableFunc(votes, func(a, b vote) int { return cmp.Compare(a.x, b.x) })
	said := make([]spread.Weighed, len(votes))
	for i, v := range votes {
		said[i] = spread.Weighed{X: v.x, N: v.n}
	}
	d.Sample = spread.Of(said)
	if err := e.places(d, path, in); err != nil {
		return nil, err
	}
	return d, a.outliers(e, d, votes, in, path)
}

// votes lists the values of a path with how many of the reviews say each, in
// order, and adds those reviews to any.
func (e *evaluator) votes(path string, in, any index.Set) ([]vote, error) {
	var votes []vote
	mark := path + index.NumberMark
	err := e.valuesIn(mark, in, func(term string, of index.Set) {
		value, ok := index.Unsortable(strings.TrimPrefix(term, mark))
		if !ok {
			return
		}
		any.Or(of)
		if n := of.Count(); n > 0 {
			votes = append(votes, vote{term: term, value: value, n: n})
		}
	})
	return votes, err
}

// valuesIn calls f with each value of the index that begins so, and the reviews of in
// that have it.
func (e *evaluator) valuesIn(prefix string, in index.Set, f func(term string, of index.Set)) error {
	var terms []string
	if err := e.v.Prefixed(index.FieldValues, prefix, func(term string, _ uint64) bool {
		terms = append(terms, term)
		return true
	}); err != nil {
		return err
	}
	for _, term := range terms {
		of, err := e.v.Term(index.FieldValues, term)
		if err != nil {
			return err
		}
		of.And(in)
		f(term, of)
	}
	return nil
}

// places counts the values of a path that may belong elsewhere.
func (e *evaluator) places(d *Distribution, path string, in index.Set) error {
	for sure := schema.PlaceUncertain; sure <= schema.PlaceUnlikely; sure++ {
		err := e.valuesIn(path+index.PlaceMark+strconv.Itoa(int(sure)), in,
			func(_ string, of index.Set) { d.Places[sure] += of.Count() })
		if err != nil {
			return err
		}
	}
	return nil
}

// outliers finds the reviews whose values are far off, farthest first.
func (a *Archive) outliers(e *evaluator, d *Distribution, votes []vote, in index.Set, path string) error {
	far := slices.DeleteFunc(slices.Clone(votes),
		func(v vote) bool { return d.Spread == 0 || math.Abs(d.Z(v.x)) < spread.OutlierZ })
	slices.SortStableFunc(far, func(x, y vote) int { return cmp.Compare(math.Abs(d.Z(y.x)), math.Abs(d.Z(x.x))) })
	for _, v := range far {
		b, err := e.v.Term(index.FieldValues, v.term)
		if err != nil {
			return err
		}
		b.And(in)
		var names []string
		b.Each(func(doc uint64) bool {
			var name string
			name, err = e.v.Name(doc)
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
			rv := reviewIn(e.v, name)
			if rv == nil {
				return fmt.Errorf("%w: review %s is not stored", store.ErrIndex, name)
			}
			r, damages := a.recall(rv, true)
			d.Damages = store.Without(append(d.Damages, damages...))
			if r == nil {
				continue
			}
			o := Outlier{Review: *rv, Z: d.Z(v.x)}
			c := &query.Condition{Path: path, Low: query.Bound{Value: v.value}, High: query.Bound{Value: v.value},
				Unit: query.BaseUnits()[d.Unit.Kind()]}
			for _, m := range newSubject(rv, r).matches(c) {
				o.Match, o.Value = m, *m.Fact.Quantity
				break
			}
			d.Outliers = append(d.Outliers, o)
		}
	}
	return nil
}
