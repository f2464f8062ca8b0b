package prior

import (
	"embed"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// weights are the rows of tables/weights.tsv, which say what each weighs.
type weights struct{ usualShare, plausibleShare, floor, rangeShare float64 }

// fields are the weights by their names in the table.
func (w *weights) fields() map[string]*float64 {
	return map[string]*float64{"usual_share": &w.usualShare, "plausible_share": &w.plausibleShare, "floor": &w.floor,
		"range_share": &w.rangeShare}
}

var loadWeights = sync.OnceValue(func() *weights {
	w := &weights{}
	schema.MustReadNumbers(tables, "tables/weights.tsv", "name", "value", w.fields())
	return w
})
