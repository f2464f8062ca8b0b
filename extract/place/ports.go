package place

import (
	"fmt"
	"strconv"
	"sync"

	"saywatt/schema"
)

// Choice scores one of several answers by its features: the probability of an
// answer is the exponential of its score, over the sum of all.
type Choice struct{ weights map[string]float64 }

// Ports returns the model of tables/ports.tsv: which port a level belongs to.
var Ports = sync.OnceValue(func() *Choice {
	c := &Choice{weights: map[string]float64{}}
	for _, r := range schema.MustReadTable(tables, "tables/ports.tsv").Rows {
		w, err := strconv.ParseFloat(r.Get("weight"), 64)
		if err != nil {
			panic(fmt.Sprintf("ports.tsv:%d: %v", r.Line, err))
		}
		c.weights[r.Get("feature")] = w
	}
	return c
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
