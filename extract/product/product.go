package product

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
	"saywatt/schema"
)

//go:embed tables/kinds.tsv
var tables embed.FS

//go:embed tables/weights.tsv
var weightsTable string

// kindTable is tables/kinds.tsv.
type kindTable struct {
	names []string
	also  map[string]int // and their other names
	heads map[string]bool
	input map[string]string // port of its input, by kind
}

var loadKinds = sync.OnceValue(func() *kindTable {
	t, err := schema.ReadTable(tables, "tables/kinds.tsv")
	if err != nil {
		panic(err)
	}
	k := &kindTable{also: map[string]int{}, heads: map[string]bool{}, input: map[string]string{}}
	for i, r := range t.Rows {
		k.names = append(k.names, r.Get("kind"))
		for _, name := range append(r.List("also"), r.Get("kind")) {
			k.also[name] = i
		}
		if socket := r.Get("socket"); socket != "-" {
			k.input[r.Get("kind")] = socket
		}
		for _, head := range r.List("heads") {
			k.heads[head] = true
		}
	}
	return k
})

// Kinds lists the kinds, in the order of the table.
func Kinds() []string { return loadKinds().names }

// Named returns the number of the kind that a name is of: one of Kinds, or
// another name for it.
func Named(name string) (kind int, ok bool) {
	kind, ok = loadKinds().also[name]
	return kind, ok
}

// IsHead reports whether the name of a kind ends in the word.
func IsHead(word string) bool { return loadKinds().heads[word] }

// Socket is the port that the input of a kind of product has, named or not; "" where
// it has none of its own.
func Socket(kind string) string { return loadKinds().input[kind] }

// Default returns the model of tables/weights.tsv.
var Default = sync.OnceValue(func() *Model { return feature.MustLoad(weightsTable, readModel) })

// Model holds the weights. It is not changed once made and may be used by several
// goroutines.
type Model struct {
	Index   *feature.Index
	weights []float64 // [feature][kind]
}

// NewModel returns a model of the named features with their weights, those of a
// feature for each kind side by side.
func NewModel(names []string, weights []float64) (*Model, error) {
	index, err := feature.NewIndex(names)
	if err != nil {
		return nil, err
	}
	return &Model{index, weights}, nil
}

// SetWeights makes w the weights of the model: for training.
func (m *Model) SetWeights(w []float64) { m.weights = w }

// Probabilities returns how likely each kind is, with the features of a review.
func (m *Model) Probabilities(rows []int32) []float64 {
	n := len(Kinds())
	p := make([]float64, n)
	for _, r := range rows {
		for k, w := range m.weights[int(r)*n : int(r)*n+n] {
			p[k] += w
		}
	}
	return feature.Softmax(p)
}

// readModel reads a table of weights (package feature), "kind:weight" for every
// kind for which the weight of a feature is not zero, blanks in its name as
// underscores.
func readModel(text string) (*Model, error) {
	n, rows := len(Kinds()), strings.Count(text, "\n")
	names, weights := make([]string, 0, rows), make([]float64, 0, rows*n)
	err := feature.Rows(text, func(name, list string) error {
		names = append(names, name)
		at := len(weights)
		weights = weights[:at+n]
		for pair := range strings.FieldsSeq(list) {
			kind, number, _ := strings.Cut(pair, ":")
			k, ok := Named(strings.ReplaceAll(kind, "_", " "))
			w, err := strconv.ParseFloat(number, 64)
			if !ok || err != nil {
				return fmt.Errorf("weight %q", pair)
			}
			weights[at+k] = w
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return NewModel(names, weights)
}

// least is the least weight that is written: smaller ones change no kind.
const least = 0.04

// Write writes the table that readModel reads, weights to two decimals and small
// ones left out. seen says how often each feature was seen.
func (m *Model) Write(w io.Writer, seen map[string]int) error {
	b := bufio.NewWriter(w)
	fmt.Fprintln(b, "feature\tn\tweights")
	n := len(Kinds())
	for i, name := range m.Index.Names {
		var list []string
		for k, v := range m.weights[i*n : i*n+n] {
			if v = math.Round(v*100) / 100; math.Abs(v) >= least {
				list = append(list, strings.ReplaceAll(Kinds()[k], " ", "_")+":"+strconv.FormatFloat(v, 'f', -1, 64))
			}
		}
		if len(list) > 0 {
			fmt.Fprintf(b, "%s\t%d\t%s\n", name, seen[name], strings.Join(list, " "))
		}
	}
	return b.Flush()
}
