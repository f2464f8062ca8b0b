package part

import (
	"bufio"
	"embed"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract/feature"
)

//go:embed tables/priors.tsv tables/bounds.tsv
var tables embed.FS

//go:embed tables/weights.tsv
var weightsTable string

// Default returns the model of tables/weights.tsv.
var Default = sync.OnceValue(func() *Model { return feature.MustLoad(weightsTable, readModel) })

// Priors are the means that the fit takes for the weights of features, of
// tables/priors.tsv; those of all others are zero.
var Priors = sync.OnceValue(func() map[string]float64 {
	return feature.MustNumbers(tables, "tables/priors.tsv", "feature", "mean")
})

// Model holds the weights. It is not changed once made and may be used by
// several goroutines.
type Model struct {
	index   *feature.Index
	weights []float64 // by feature, then the turns of layout
}

// NewModel returns a model of the named features with all weights zero.
func NewModel(names []string) (*Model, error) {
	index, err := feature.NewIndex(names)
	if err != nil {
		return nil, err
	}
	m := &Model{index: index}
	m.weights = make([]float64, m.Weights())
	return m, nil
}

// Weights returns the number of weights.
func (m *Model) Weights() int { return len(m.index.Names) + int(links)*int(layouts*layouts) }

// SetWeights makes w the weights of the model.
func (m *Model) SetWeights(w []float64) { m.weights = w }

// turn is the index of the weight of a layout behind another over a link.
func (m *Model) turn(l Link, before, now layout) int {
	return len(m.index.Names) + (int(l)*int(layouts)+int(before))*int(layouts) + int(now)
}

// turnName is how the table of weights calls a turn.
func turnName(l Link, before, now layout) string {
	return "@" + l.String() + " " + layoutNames[before] + " " + layoutNames[now]
}

func (m *Model) eachTurn(f func(name string, at int)) {
	for l := range links {
		for b := range layouts {
			for n := range layouts {
				f(turnName(l, b, n), m.turn(l, b, n))
			}
		}
	}
}

// readModel reads a table of weights (package feature). Names with an @ are
// turns.
func readModel(text string) (*Model, error) {
	names, weights, err := feature.ReadWeights(text)
	if err != nil {
		return nil, err
	}
	turns, n := map[string]float64{}, 0
	for i, name := range names {
		if strings.HasPrefix(name, "@") {
			turns[name] = weights[i]
			continue
		}
		names[n], weights[n] = name, weights[i]
		n++
	}
	names, weights = names[:n], weights[:n]
	m, err := NewModel(names)
	if err != nil {
		return nil, err
	}
	copy(m.weights, weights)
	m.eachTurn(func(name string, at int) { m.weights[at] = turns[name] })
	return m, nil
}

// Write writes the table that readModel reads, weights to three decimals and
// those that round to zero left out. seen says how often each feature was seen.
func (m *Model) Write(w io.Writer, seen []int) error {
	b := bufio.NewWriter(w)
	fmt.Fprintln(b, "feature\tn\tweight")
	line := func(name string, n int, v float64) {
		if v = math.Round(v*1000) / 1000; v != 0 {
			fmt.Fprintf(b, "%s\t%d\t%s\n", name, n, strconv.FormatFloat(v, 'f', -1, 64))
		}
	}
	for i, name := range m.index.Names {
		line(name, seen[i], m.weights[i])
	}
	m.eachTurn(func(name string, at int) { line(name, 0, m.weights[at]) })
	return b.Flush()
}
