package place

import (
	"sync"

	"saywatt/extract/feature"
)

// Choice scores one of several answers by its features: the probability of an
// answer is the exponential of its score, over the sum of all.
type Choice struct{ weights map[string]float64 }

// Ports returns the model of tables/ports.tsv: which port a level belongs to.
var Ports = sync.OnceValue(func() *Choice {
	return &Choice{feature.MustNumbers(tables, "tables/ports.tsv", "feature", "weight")}
})

// Score is the sum of the weights of the features; one that the model does not
// have weighs nothing.
func (c *Choice) Score(features []string) float64 {
	s := 0.0
	for _, f := range features {
		s += c.weights[f]
	}
	return s
}
