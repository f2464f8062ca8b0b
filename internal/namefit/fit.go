package main

import (
	"log"
	"math"
	"slices"

	"saywatt/extract/feature"
	"saywatt/extract/name"
	"saywatt/internal/fit"
)

// stackFolds is in how many groups the narrations are left out in turn to
// score places for the model that learns from these scores.
const stackFolds = 4

// least is in how many narrations a feature must be seen.
const least = 2

// fitted fits all questions, one after the other.
func fitted(all []*marked, penalty float64) (*name.Model, map[string]int) {
	places := make([][]name.Choice, len(all)) // with scores of a model that has not seen them
	for f := range stackFolds {
		var train, test []int
		for i := range all {
			if all[i].fold/8%stackFolds == f {
				test = append(test, i)
			} else {
				train = append(train, i)
			}
		}
		m, _ := fitPlaces(all, train, penalty)
		for _, i := range test {
			places[i] = m.Score(name.Places(all[i].items.Items, m.List()))
		}
	}
	index := make([]int, len(all))
	for i := range index {
		index[i] = i
	}
	final, seen := fitPlaces(all, index, penalty)
	makers := make([][]name.Choice, len(all))
	for i, t := range all {
		makers[i] = name.Likely(places[i], t.items.Key)
	}
	m := binary(all, index, penalty, func(i int, list feature.List) []name.Choice {
		return name.Makers(all[i].items.Items, list, makers[i])
	}, final, seen)
	scored := make([][]name.Choice, len(all))
	for i, t := range all {
		scored[i] = m.Score(name.Makers(t.items.Items, m.List(), makers[i]))
	}
	m = choosing(all, penalty, func(i int, list feature.List) ([]name.Choice, map[[2]int]bool) {
		return name.Titles(all[i].items.Items, list, scored[i]), all[i].titles
	}, m, seen)
	m = choosing(all, penalty, func(i int, list feature.List) ([]name.Choice, map[[2]int]bool) {
		t := all[i]
		var title name.Choice // the first that there is
		for s := range t.titles {
			if title.Last == 0 || s[0] < title.First {
				title = name.Choice{First: s[0], Last: s[1]}
			}
		}
		choices := name.Owners(t.items.Items, list, scored[i], title, t.items.Key)
		keys := map[string]bool{}
		for s := range t.owners {
			keys[t.items.Key(s[0], s[1])] = true
		}
		right := map[[2]int]bool{}
		for _, c := range choices {
			if c.Key != "" && keys[c.Key] {
				right[[2]int{c.First, c.Last}] = true
			}
		}
		return choices, right
	}, m, seen)
	return m, seen
}

func fitPlaces(all []*marked, which []int, penalty float64) (*name.Model, map[string]int) {
	seen := map[string]int{}
	empty, err := name.NewModel(nil, nil)
	if err != nil {
		log.Fatal(err)
	}
	m := binary(all, which, penalty, func(i int, list feature.List) []name.Choice {
		return name.Places(all[i].items.Items, list)
	}, empty, seen)
	return m, seen
}

// rows names the features of a question that enough narrations have.
type rows struct {
	names []string
	at    map[string]int32
}

func (r *rows) list() feature.List {
	return feature.List{Name: func(n string) int32 {
		if i, ok := r.at[n]; ok {
			return i
		}
		return -1
	}}
}

// features counts the features of the narrations. The two forms of a narration
// are one.
func features(all []*marked, which []int, seen map[string]int, see func(i int, list feature.List)) *rows {
	in, last := map[string]int{}, map[string]string{}
	for _, i := range which {
		see(i, feature.List{Name: func(f string) int32 {
			seen[f]++
			if l, ok := last[f]; !ok || l != all[i].n.Name {
				last[f] = all[i].n.Name
				in[f]++
			}
			return -1
		}})
	}
	r := &rows{at: map[string]int32{}}
	for f, n := range in {
		if _, ok := name.Priors()[f]; n >= least && !ok {
			r.names = append(r.names, f)
		}
	}
	r.sort()
	return r
}

func (r *rows) sort() {
	slices.Sort(r.names)
	for i, f := range r.names {
		r.at[f] = int32(i)
	}
}

// each returns the logarithm of the probability that each stretch answers for
// itself as it should, and adds its gradient.
func each(e *fit.Choice, w, gradient []float64) float64 {
	sum := 0.0
	for j, rows := range e.Rows {
		x := 0.0
		for _, f := range rows {
			x += w[f]
		}
		p := 1 / (1 + math.Exp(-x))
		d := -p
		if e.Right[j] {
			d = 1 - p
			sum += math.Log(max(p, 1e-300))
		} else {
			sum += math.Log(max(1-p, 1e-300))
		}
		if d > 1e-7 || d < -1e-7 {
			for _, f := range rows {
				gradient[f] += d
			}
		}
	}
	return sum
}

// solve fits the weights of the features, and returns the model with them added.
func (r *rows) solve(examples []fit.Choice, penalty float64, old *name.Model,
	likelihood func(e *fit.Choice, w, gradient []float64) float64) *name.Model {
	var w []float64
	p := fit.Problem{Mean: make([]float64, len(r.names)), Penalty: penalty, Examples: len(examples), Iterations: 100,
		SetWeights:    func(x []float64) { w = x },
		LogLikelihood: func(k int, gradient []float64) float64 { return likelihood(&examples[k], w, gradient) }}
	for i, f := range r.names {
		p.Mean[i] = name.Priors()[f]
	}
	x, err := p.Solve()
	if err != nil {
		log.Fatal(err)
	}
	m, err := old.With(r.names, x)
	if err != nil {
		log.Fatal(err)
	}
	return m
}

// binary fits a question that each stretch answers for itself, and returns the
// model with its weights added.
func binary(all []*marked, which []int, penalty float64, see func(int, feature.List) []name.Choice, old *name.Model,
	seen map[string]int) *name.Model {
	r := features(all, which, seen, func(i int, list feature.List) { see(i, list) })
	if len(old.Names()) == 0 {
		for f := range name.Priors() { // they are of places
			r.names = append(r.names, f)
		}
		r.sort()
	}
	examples := make([]fit.Choice, len(which))
	for k, i := range which {
		for _, c := range see(i, r.list()) {
			right := all[i].makers[[2]int{c.First, c.Last}]
			if !right && all[i].hides(c.First, c.Last) {
				continue
			}
			examples[k].Rows = append(examples[k].Rows, c.Rows)
			examples[k].Right = append(examples[k].Right, right)
		}
	}
	return r.solve(examples, penalty, old, each)
}

// choosing fits a question that one of the choices of a narration answers.
// Where none of them is right, the last one is.
func choosing(all []*marked, penalty float64, see func(int, feature.List) ([]name.Choice, map[[2]int]bool),
	old *name.Model, seen map[string]int) *name.Model {
	index := make([]int, len(all))
	for i := range index {
		index[i] = i
	}
	r := features(all, index, seen, func(i int, list feature.List) { see(i, list) })
	examples := make([]fit.Choice, len(all))
	for i := range all {
		choices, right := see(i, r.list())
		e := &examples[i]
		any := false
		for _, c := range choices {
			ok := c.Last > c.First && right[[2]int{c.First, c.Last}]
			any = any || ok
			e.Rows, e.Right = append(e.Rows, c.Rows), append(e.Right, ok)
		}
		if !any {
			e.Right[len(e.Right)-1] = true
		}
	}
	return r.solve(examples, penalty, old, (*fit.Choice).LogLikelihood)
}

// hides reports whether the truth does not speak of items [a, b).
func (t *marked) hides(a, b int) bool {
	for i := a; i < b; i++ {
		if t.hidden[i] {
			return true
		}
	}
	return false
}
