package desk

import (
	"embed"
	"math"
	"strconv"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/worth.tsv
var worthFiles embed.FS

// weights are the rows of the table, in its order.
var weights = sync.OnceValue(func() []weight {
	var all []weight
	for _, r := range schema.MustReadTable(worthFiles, "tables/worth.tsv").Rows {
		w, err := strconv.ParseFloat(r.Get("weight"), 64)
		if err != nil {
			panic(err) // the table is embedded, and a test reads it
		}
		all = append(all, weight{strings.TrimPrefix(r.Get("path"), "-"), w})
	}
	return all
})

// A weight says how much fields matter whose path begins so.
type weight struct {
	path   string
	weight float64
}

// weightOf is how much a field matters.
func weightOf(place string) float64 {
	for _, w := range weights() {
		if strings.HasPrefix(place, w.path) {
			return w.weight
		}
	}
	return 0
}

// worth is what an answer on what was said is worth: how much the field matters,
// times how open the question is, times what the answer would say of it and of
// others.
func worth(q *schema.Said) float64 {
	return weightOf(q.Place) * (1 - q.Confidence) * q.Information
}

// placeInDoubt reports whether it may be asked what a quantity belongs to.
func placeInDoubt(q *schema.Said) bool {
	return len(q.Belongs) > 0 && !q.BelongsSettled && !q.Withdrawn
}

// placeWorth is what an answer on what a quantity belongs to is worth.
func placeWorth(q *schema.Said, bits float64) float64 {
	return weightOf(q.Place) * (1 - q.Belongs[0].Confidence) * bits
}

// listReach is how many quantities may stand between two of one list.
const listReach = 3

// placeBits is what an answer on the place of each quantity would say, in bits: its
// own doubt, and half of the smaller doubt of those that stand and fall with it, as
// the engine counts readings that hang together (schema.Said.Information). Those are
// the ones said in one list with it, which most likely belong to the same.
func placeBits(all []schema.Said) []float64 {
	bits, own := make([]float64, len(all)), make([]float64, len(all))
	var list []int // those in doubt since one that belongs elsewhere
	end := func() {
		for _, i := range list {
			bits[i] = own[i]
			for _, j := range list {
				if i != j {
					bits[i] += min(own[i], own[j]) / 2
				}
			}
		}
		list = list[:0]
	}
	for i := range all {
		q := &all[i]
		if !placeInDoubt(q) {
			continue
		}
		own[i] = bitsOf(q.Belongs)
		if n := len(list); n > 0 && (i-list[n-1] > listReach || n == listMost ||
			all[list[n-1]].Belongs[0].Place != q.Belongs[0].Place) {
			end()
		}
		list = append(list, i)
	}
	end()
	return bits
}

// listMost bounds the quantities of one list.
const listMost = 32

// bitsOf is how much is in doubt between some places, in bits.
func bitsOf(all []schema.Belonging) float64 {
	bits := 0.0
	for i := range all {
		if p := all[i].Confidence; p > 0 {
			bits -= p * math.Log2(p)
		}
	}
	return bits
}
