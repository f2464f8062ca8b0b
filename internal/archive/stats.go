package archive

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/schema"
)

// Distribution is how the values of one subject are spread over the archive.
// Each review has one vote for each value it tells.
type Distribution struct {
	Subject  string // as asked: on resistance, fuse current
	Unit     schema.Unit
	Reviews  int // reviews that say any
	Values   int // votes
	Least    float64
	Median   float64
	Most     float64
	Spread   float64 // 1.4826 × median absolute deviation, in the scale of the bins
	Log      bool    // bins and spread are over the logarithm
	Bins     []Bin
	Outliers []Outlier
	Note     string // why nothing can be said, where that is known
	Ranges   int    // ranges given, which have no one value and do not count
	// Places counts the votes whose value may belong elsewhere, by how sure it is.
	Places [schema.PlaceUnlikely + 1]int
	// Damages are what could not be read: reviews that the index has not, and
	// those that may disagree and cannot be shown.
	Damages []*store.Damage
}

// Bin is one bar of the histogram: values from Low up to but not including
// High, the last one's High included.
type Bin struct {
	Low, High float64
	N         int
}

// Outlier is a review that disagrees with the rest.
type Outlier struct {
	Review Review
	Value  schema.Quantity
	Z      float64 // robust z-score
	Match  Match
}

// OutlierZ is the robust z-score from which a value is reported: 3.5, after
// Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993), who score by
// 0.6745 × (x − median) / MAD; 1/0.6745 = 1.4826 makes the MAD of normal
// values their standard deviation.
const (
	OutlierZ    = 3.5
	madToSigma  = 1.4826
	maxOutliers = 50
	logFrom     = 20 // most over least from which a logarithmic scale is used
)

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
	d.spread(votes)
	if err := e.places(d, path, in); err != nil {
		return nil, err
	}
	return d, a.outliers(e, d, votes, in, path)
}

// votes lists the values of a path with how many of the reviews tell each, in
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

// spread fills in median, deviation and histogram.
func (d *Distribution) spread(votes []vote) {
	slices.SortFunc(votes, func(a, b vote) int { return cmp.Compare(a.x, b.x) })
	for _, v := range votes {
		d.Values += v.n
	}
	d.Least, d.Most = votes[0].x, votes[len(votes)-1].x
	d.Log = d.Least > 0 && d.Most/d.Least > logFrom
	said := make([]weighed, len(votes))
	for i, v := range votes {
		said[i] = weighed{v.x, v.n}
	}
	low, high := middlesOf(said)
	middle := (d.scale(low) + d.scale(high)) / 2
	if d.Median = low; low != high { // else as it was said, not by way of its logarithm
		d.Median = d.unscale(middle)
	}
	off := make([]weighed, len(said))
	for i, s := range said {
		off[i] = weighed{math.Abs(d.scale(s.x) - middle), s.n}
	}
	slices.SortFunc(off, func(a, b weighed) int { return cmp.Compare(a.x, b.x) })
	low, high = middlesOf(off)
	d.Spread = madToSigma * (low + high) / 2
	d.histogram(votes)
}

type weighed struct {
	x float64
	n int
}

// middlesOf are the two in the middle of sorted values with their numbers, one and the
// same where they are odd: the median is their mean.
func middlesOf(sorted []weighed) (low, high float64) {
	total := 0
	for _, w := range sorted {
		total += w.n
	}
	at := func(k int) float64 {
		for _, w := range sorted {
			if k -= w.n; k < 0 {
				return w.x
			}
		}
		return sorted[len(sorted)-1].x
	}
	return at((total - 1) / 2), at(total / 2)
}

func (d *Distribution) scale(x float64) float64 {
	if d.Log {
		return math.Log10(x)
	}
	return x
}

func (d *Distribution) unscale(x float64) float64 {
	if d.Log {
		return math.Pow(10, x)
	}
	return x
}

// Bounds of the number of bars; Sturges' rule between them.
const (
	fewestBins = 5
	mostBins   = 20
)

func (d *Distribution) histogram(votes []vote) {
	if d.Least == d.Most {
		d.Bins = []Bin{{d.Least, d.Most, d.Values}}
		return
	}
	n := min(max(int(math.Ceil(math.Log2(float64(d.Values))))+1, fewestBins), mostBins)
	edges := evenEdges(d.Least, d.Most, n)
	if d.Log {
		edges = decadeEdges(d.Least, d.Most)
	}
	for i := range len(edges) - 1 {
		d.Bins = append(d.Bins, Bin{Low: edges[i], High: edges[i+1]})
	}
	for _, v := range votes { // one on an edge is above it
		i := sort.SearchFloat64s(edges, math.Nextafter(v.x, math.Inf(1))) - 1
		d.Bins[min(max(i, 0), len(d.Bins)-1)].N += v.n
	}
}

// evenEdges are round numbers at one distance, of which the first is at or below
// least and the last at or above most, for about n bars: the distance is 1, 2 or 5
// times a power of ten, which people read at once (common practice, no source).
func evenEdges(least, most float64, n int) []float64 {
	step := (most - least) / float64(n)
	power := int(math.Floor(math.Log10(step)))
	times := 10
	for _, t := range [...]int{1, 2, 5} {
		if float64(t)*math.Pow10(power) >= step {
			times = t
			break
		}
	}
	at := func(k float64) float64 { // exact where the number is written with few digits
		if power < 0 {
			return k * float64(times) / math.Pow10(-power)
		}
		return k * float64(times) * math.Pow10(power)
	}
	var edges []float64
	for k := math.Floor(least / at(1)); ; k++ {
		edges = append(edges, at(k))
		if len(edges) > 1 && at(k) >= most {
			return edges
		}
	}
}

// decadeEdges are the numbers 1, 2 and 5 of each power of ten from at or below least
// to at or above most; the powers alone where that would be too many bars.
func decadeEdges(least, most float64) []float64 {
	first, last := int(math.Floor(math.Log10(least))), int(math.Ceil(math.Log10(most)))
	times := []float64{1, 2, 5}
	if (last-first)*len(times) > mostBins {
		times = times[:1]
	}
	var edges []float64
	for power := first; power <= last; power++ {
		for _, t := range times {
			x := t * math.Pow10(power)
			if power < 0 {
				x = t / math.Pow10(-power)
			}
			if len(edges) == 1 && x <= least {
				edges[0] = x
				continue
			}
			if edges = append(edges, x); len(edges) > 1 && x >= most {
				return edges
			}
		}
	}
	return edges
}

// Z is the robust z-score of a value in the distribution's unit. Where more
// than half of all agree to the digit the deviation is none, and any other
// value has an infinite score.
func (d *Distribution) Z(x float64) float64 {
	off := d.scale(x) - d.scale(d.Median)
	if off == 0 {
		return 0
	}
	return off / d.Spread
}

// outliers finds the reviews whose values are far off, farthest first.
func (a *Archive) outliers(e *evaluator, d *Distribution, votes []vote, in index.Set, path string) error {
	far := slices.DeleteFunc(slices.Clone(votes),
		func(v vote) bool { return d.Spread == 0 || math.Abs(d.Z(v.x)) < OutlierZ })
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
