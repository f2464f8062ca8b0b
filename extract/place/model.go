package place

import (
	"bufio"
	_ "embed" // weightsTable
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"saywatt/extract/feature"
)

//go:embed tables/weights.packed
var weightsTable string

// Default returns the model of tables/weights.tsv, which Pack made weights.packed of
// (TestPacked).
var Default = sync.OnceValue(func() *Model { return feature.MustLoad(weightsTable, open) })

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
	m.weights, m.table = w, nil
	m.setSteps(w[m.transitions():])
}

// setSteps takes the weights of transitions, [link][before][class] and
// [before][class].
func (m *Model) setSteps(w []float64) {
	from := m.transitions()
	if m.steps == nil {
		m.steps, m.back = make([]classRow, int(links)*m.classes), make([]classRow, int(links)*m.classes)
	}
	for l := range links {
		for b := range m.classes {
			for c := range m.classes {
				step := math.Exp(w[m.link(l, Class(b), Class(c))-from] + w[m.pair(Class(b), Class(c))-from])
				m.steps[int(l)*m.classes+b][c], m.back[int(l)*m.classes+c][b] = step, step
			}
		}
	}
}

// linkPrefix marks the rows of transitions in the table of weights.
const linkPrefix = "@"

// readModel reads a table of weights (package feature), "class:weight" for
// every class in which the weight of a feature is not zero. "@tight part" is the
// weight from class part to the classes named over a tight link; "@any part" over
// any.
func readModel(text string) (*Model, error) {
	var names, lines, steps, to []string
	err := feature.Rows(text, func(name, weights string) error {
		if strings.HasPrefix(name, linkPrefix) {
			steps, to = append(steps, name), append(to, weights)
		} else {
			names, lines = append(names, name), append(lines, weights)
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
	for f, line := range lines {
		row, err := parseWeights(line)
		if err != nil {
			return nil, fmt.Errorf("feature %s: %w", names[f], err)
		}
		for _, w := range row {
			m.weights[f*m.classes+int(w.class)] = w.value
		}
	}
	for i, name := range steps {
		if err := m.readStep(m.weights[m.transitions():], name, to[i]); err != nil {
			return nil, err
		}
	}
	m.SetWeights(m.weights)
	return m, nil
}

// readStep reads a row of transitions into their weights.
func (m *Model) readStep(steps []float64, name, weights string) error {
	at, err := m.transition(name)
	if err != nil {
		return err
	}
	row, err := parseWeights(weights)
	if err != nil {
		return fmt.Errorf("feature %s: %w", name, err)
	}
	for _, w := range row {
		steps[at(w.class)-m.transitions()] = w.value
	}
	return nil
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

// Write writes the table that readModel reads, weights to two decimals and
// those nearer to zero than least left out. seen says at how many mentions each
// feature was seen.
func (m *Model) Write(w io.Writer, seen []int, least float64) error {
	if m.weights == nil {
		return errors.New("a packed model is not written")
	}
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
		for l := range links {
			line(linkPrefix+l.String()+" "+Class(before).String(), 0,
				func(c Class) int { return m.link(l, Class(before), c) })
		}
	}
	return b.Flush()
}
