package desk

import (
	"embed"
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
