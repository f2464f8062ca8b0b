package prior

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"saywatt/schema"
)

// RangeShare is the share of pairs of numbers, of whatever sort, that are said as a
// range.
func RangeShare() float64 { return loadWeights().rangeShare }

// RareRange is what a range that was not shown as one costs by its kind, in nats: 0 for
// a kind that is said so as often as pairs of numbers are.
func (t *Table) RareRange(k schema.Kind) float32 {
	share, ok := t.ranges[k]
	if !ok {
		share = t.ranges[schema.KindUnknown]
	}
	return float32(math.Log(loadWeights().rangeShare / share))
}

// readRanges reads ranges.tsv: the share of ranges by kind, KindUnknown for
// every other.
func readRanges() map[schema.Kind]float64 {
	shares := map[schema.Kind]float64{}
	for _, r := range schema.MustReadTable(tables, "tables/ranges.tsv").Rows {
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		of, err2 := strconv.ParseFloat(r.Get("of"), 64)
		kind, err3 := schema.KindUnknown, error(nil)
		if name := r.Get("kind"); name != "*" {
			kind, err3 = schema.ParseKind(name)
		}
		if err := errors.Join(err1, err2, err3); err != nil {
			panic(fmt.Sprintf("ranges.tsv:%d: %v", r.Line, err))
		}
		shares[kind] = (n + 0.5) / (of + 1)
	}
	return shares
}
