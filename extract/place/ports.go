package place

import (
	_ "embed"
	"sync"

	"saywatt/extract/feature"
)

//go:embed tables/ports.tsv
var portsTable string

//go:embed tables/ownports.tsv
var ownPortsTable string

// Choice scores one of several answers by its features: the probability of an
// answer is the exponential of its score, the sum of their weights, over the sum
// of all.
type Choice struct {
	index   *feature.Index
	weights []float64 // by row
}

// Ports returns the model of tables/ports.tsv: which port a level belongs to.
var Ports = sync.OnceValue(func() *Choice { return readChoice("ports.tsv", portsTable) })

// OwnPorts returns the model of tables/ownports.tsv: whether words name a port as the
// speaker does. The score of one answer is the logarithm of its odds.
var OwnPorts = sync.OnceValue(func() *Choice { return readChoice("ownports.tsv", ownPortsTable) })

func readChoice(file, table string) *Choice {
	var names []string
	c := &Choice{}
	feature.EachNumber(file, table, "feature", "weight", func(name string, weight float64) {
		names, c.weights = append(names, name), append(c.weights, weight)
	})
	var err error
	if c.index, err = feature.NewIndex(names); err != nil {
		panic(file + ": " + err.Error())
	}
	return c
}

// Weight is that of a feature; one that the model does not have weighs nothing.
func (c *Choice) Weight(h feature.Hash) float64 {
	if row := c.index.Row(h); row >= 0 {
		return c.weights[row]
	}
	return 0
}
