package place

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
)

// FoldFile is the name of the file of the weights that were fitted without one
// of so many groups of narrations.
func FoldFile(fold, folds int) string { return fmt.Sprintf("places-%d-of-%d.tsv", fold, folds) }

// Folds reads the models of a directory's files of that name in the order of the
// groups. Without a directory it is the program's own model alone.
func Folds(dir string) ([]*Model, error) {
	if dir == "" {
		return []*Model{Default()}, nil
	}
	var out []*Model
	for {
		files, err := filepath.Glob(filepath.Join(dir, fmt.Sprintf("places-%d-of-*.tsv", len(out))))
		if err != nil || len(files) == 0 {
			if len(out) == 0 {
				return nil, fmt.Errorf("%s: no weights of places", dir)
			}
			return out, err
		}
		b, err := os.ReadFile(files[0])
		if err != nil {
			return nil, err
		}
		m, err := readModel(string(b))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", files[0], err)
		}
		out = append(out, m)
	}
}

// Example is a chain with the class that each of its mentions has.
type Example struct {
	Chain []Observation
	Truth []Class
}

// residual is what the probability of a class lacks of what it should be.
type residual struct {
	class Class
	by    float64
}

// noResidual is how much a probability may lack to count as what it should be.
const noResidual = 1e-7

// LogLikelihood adds the gradient of ln P(truth | chain) to grad, which is as
// long as the weights, and returns it.
func (m *Model) LogLikelihood(e *Example, grad []float64) float64 {
	var l lattice
	m.run(e.Chain, &l)
	k, ll := m.classes, -l.logZ
	residuals := make([]residual, 0, k)
	for i := range e.Chain {
		o, truth := &e.Chain[i], e.Truth[i]
		ll += l.score[i*k+int(truth)]
		residuals = residuals[:0]
		for _, c := range Allowed(o.Kind) {
			d := -l.forward[i*k+int(c)] * l.behind[i*k+int(c)]
			if c == truth {
				d++
			}
			if math.Abs(d) > noResidual {
				residuals = append(residuals, residual{c, d})
			}
		}
		for _, f := range o.Features {
			row := grad[int(f)*k : int(f)*k+k]
			for _, r := range residuals {
				row[r.class] += r.by
			}
		}
		if i == 0 {
			continue
		}
		before := e.Truth[i-1]
		ll += m.weights[m.link(o.Link, before, truth)] + m.weights[m.pair(before, truth)]
		grad[m.link(o.Link, before, truth)]++
		grad[m.pair(before, truth)]++
		step := m.steps[int(o.Link)*k:]
		for _, b := range Allowed(e.Chain[i-1].Kind) {
			for _, c := range Allowed(o.Kind) {
				at := i*k + int(c)
				p := l.forward[(i-1)*k+int(b)] * step[b][c] * l.likely[at] * l.behind[at] / l.scale[i]
				grad[m.link(o.Link, b, c)] -= p
				grad[m.pair(b, c)] -= p
			}
		}
	}
	return ll
}
