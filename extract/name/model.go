package name

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"sync"

	"saywatt/extract/feature"
)

// Default returns the model of tables/weights.tsv.
var Default = sync.OnceValue(func() *Model { return feature.MustLoad(weightsTable, readModel) })

// Priors are the means that the fit takes for the weights of features, of
// tables/priors.tsv; those of all others are zero.
var Priors = sync.OnceValue(func() map[string]float64 {
	return feature.MustNumbers(tables, "tables/priors.tsv", "feature", "mean")
})

// Model holds the weights of all questions. It is not changed once made and may
// be used by several goroutines.
type Model struct {
	index     *feature.Index
	weights   []float64
	titleMost float64 // see mostOfTitle
}

// NewModel returns a model of the named features with their weights.
func NewModel(names []string, weights []float64) (*Model, error) {
	index, err := feature.NewIndex(names)
	if err != nil {
		return nil, err
	}
	return &Model{index, weights, mostOfTitle(names, weights)}, nil
}

// With returns the model with weights of more features.
func (m *Model) With(names []string, weights []float64) (*Model, error) {
	return NewModel(slices.Concat(m.index.Names, names), slices.Concat(m.weights, weights))
}

// Names are the features of the model.
func (m *Model) Names() []string { return m.index.Names }

// List collects features of the model.
func (m *Model) List() feature.List { return feature.List{Index: m.index} }

// Score gives choices that were made with List their scores.
func (m *Model) Score(list []Choice) []Choice {
	for i := range list {
		list[i].Score = feature.Sum(m.weights, list[i].Rows)
	}
	return list
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// readModel reads a table of weights (package feature).
func readModel(text string) (*Model, error) {
	names, weights, err := feature.ReadWeights(text)
	if err != nil {
		return nil, err
	}
	return NewModel(names, weights)
}

// leastWeight is the least weight that is kept: the many small ones change no
// name and would double the table.
const leastWeight = 0.02

// Write writes the table that readModel reads, weights to three decimals and
// the least left out. seen says how often each feature was seen.
func (m *Model) Write(w io.Writer, seen map[string]int) error {
	b := bufio.NewWriter(w)
	fmt.Fprintln(b, "feature\tn\tweight")
	for i, n := range m.index.Names {
		if v := math.Round(m.weights[i]*1000) / 1000; math.Abs(v) >= leastWeight {
			fmt.Fprintf(b, "%s\t%d\t%s\n", n, seen[n], strconv.FormatFloat(v, 'f', -1, 64))
		}
	}
	return b.Flush()
}
