package place

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract/feature"
)

// Default returns the model of tables/weights.tsv.
var Default = sync.OnceValue(func() *Model { return feature.MustLoad(tables, ReadModel) })

// NewModel returns a model of the named features with all weights zero.
func NewModel(names []string) (*Model, error) {
	index, err := feature.NewIndex(names)
	if err != nil {
		return nil, err
	}
	m := &Model{classes: Classes(), Index: index}
	m.SetWeights(make([]float64, m.Weights()))
	return m, nil
}

// SetWeights makes w the weights of the model.
func (m *Model) SetWeights(w []float64) {
	m.weights = w
	if m.steps == nil {
		m.steps = make([]float64, int(Links)*m.classes*m.classes)
	}
	for l := range Links {
		for b := range m.classes {
			for c := range m.classes {
				at := (int(l)*m.classes+b)*m.classes + c
				m.steps[at] = math.Exp(w[m.link(l, Class(b), Class(c))] + w[m.pair(Class(b), Class(c))])
			}
		}
	}
}

// linkPrefix marks the rows of transitions in the table of weights.
const linkPrefix = "@"

// ReadModel reads a table of weights (feature.ReadTable), "class:weight" for
// every class in which the weight of a feature is not zero. "@tight part" is the
// weight from class part to the classes named over a tight link; "@any part" over
// any.
func ReadModel(r io.Reader) (*Model, error) {
	type row struct{ name, weights string }
	var rows []row
	var names []string
	err := feature.ReadTable(r, func(name, weights string) error {
		rows = append(rows, row{name, weights})
		if !strings.HasPrefix(name, linkPrefix) {
			names = append(names, name)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	m, err := NewModel(names)
	if err != nil {
		return nil, err
	}
	next := 0
	for _, r := range rows {
		at := func(c Class) int { return next*m.classes + int(c) }
		if strings.HasPrefix(r.name, linkPrefix) {
			if at, err = m.transition(r.name); err != nil {
				return nil, err
			}
		}
		for w := range strings.FieldsSeq(r.weights) {
			name, value, _ := strings.Cut(w, ":")
			c, ok := ParseClass(name)
			v, err := strconv.ParseFloat(value, 64)
			if !ok || err != nil {
				return nil, fmt.Errorf("feature %s: %q is no class with a weight", r.name, w)
			}
			m.weights[at(c)] = v
		}
		if !strings.HasPrefix(r.name, linkPrefix) {
			next++
		}
	}
	m.SetWeights(m.weights)
	return m, nil
}

// transition returns where the weights of a row "@link class" stand.
func (m *Model) transition(name string) (func(Class) int, error) {
	link, before, _ := strings.Cut(strings.TrimPrefix(name, linkPrefix), " ")
	b, ok := ParseClass(before)
	if !ok {
		return nil, fmt.Errorf("%q names no class", name)
	}
	if link == "any" {
		return func(c Class) int { return m.pair(b, c) }, nil
	}
	l := slices.Index(linkNames[:], link)
	if l < 0 {
		return nil, fmt.Errorf("%q names no link", name)
	}
	return func(c Class) int { return m.link(Link(l), b, c) }, nil
}

// Write writes the table that ReadModel reads, weights to two decimals and
// those nearer to zero than least left out. seen says at how many mentions each
// feature was seen.
func (m *Model) Write(w io.Writer, seen []int, least float64) error {
	b := bufio.NewWriter(w)
	fmt.Fprintln(b, "feature\tn\tweights")
	line := func(name string, n int, at func(Class) int) {
		var out []string
		for c := range m.classes {
			if v := math.Round(m.weights[at(Class(c))]*100) / 100; math.Abs(v) >= least {
				out = append(out, Class(c).String()+":"+strconv.FormatFloat(v, 'f', -1, 64))
			}
		}
		if out != nil {
			fmt.Fprintf(b, "%s\t%d\t%s\n", name, n, strings.Join(out, " "))
		}
	}
	for i, name := range m.Index.Names {
		line(name, seen[i], func(c Class) int { return i*m.classes + int(c) })
	}
	for before := range m.classes {
		line(linkPrefix+"any "+Class(before).String(), 0, func(c Class) int { return m.pair(Class(before), c) })
		for l := range Links {
			line(linkPrefix+l.String()+" "+Class(before).String(), 0, func(c Class) int { return m.link(l, Class(before), c) })
		}
	}
	return b.Flush()
}
