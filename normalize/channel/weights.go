package channel

import (
	"sync"

	"saywatt/schema"
)

// weights are the rows of tables/weights.tsv, which say what each weighs.
type weights struct {
	pairTail, wordsTail, commaPoint, toPoint, teenPoint, groupedPoint, digitAlone, stopRange, learnedWorth float64
}

// fields are the weights by their names in the table.
func (w *weights) fields() map[string]*float64 {
	return map[string]*float64{"pair_tail": &w.pairTail, "words_tail": &w.wordsTail, "comma_point": &w.commaPoint,
		"to_point": &w.toPoint, "teen_point": &w.teenPoint, "grouped_point": &w.groupedPoint,
		"digit_alone": &w.digitAlone, "stop_range": &w.stopRange, "learned_worth": &w.learnedWorth}
}

var loadWeights = sync.OnceValue(func() *weights {
	w := &weights{}
	schema.MustReadNumbers(tables, "tables/weights.tsv", "name", "value", w.fields())
	return w
})
