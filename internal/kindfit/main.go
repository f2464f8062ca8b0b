// Kindfit fits the weights of package extract/product on marked narrations:
//
//	go run ./internal/kindfit [-fold N] [-penalty X] [-write FILE] FILE.mark ...
//
// Each narration is learned from as the captions show it. Features seen in fewer
// than three narrations are dropped. With -fold it also fits N times on all
// narrations but one group and says how often the kinds of that group are right. The same
// narrations give the same bytes.
package main

import (
	"flag"
	"fmt"
	"io"
	"log"
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/extract/feature"
	"saywatt/extract/product"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
)

// leastSeen is in how many narrations a feature must be seen to have a weight.
const leastSeen = 3

func main() {
	log.SetFlags(0)
	f := fit.NewFlags(1)
	flag.Parse()
	narrations, err := narration.Read(flag.Args())
	if err != nil {
		log.Fatal(err)
	}
	var all []*example
	for _, n := range narrations {
		kind, ok := product.Named(n.Head["product"])
		if !ok {
			continue // nobody can tell
		}
		tr, _, err := n.Transcript()
		if err != nil {
			log.Fatal(err)
		}
		e := &example{n: n, kind: kind}
		extract.Survey(tr).ProductFeatures(feature.List{Name: func(name string) int32 {
			e.features = append(e.features, name)
			return 0
		}})
		slices.Sort(e.features)
		e.features = slices.Compact(e.features)
		all = append(all, e)
	}
	if *f.Folds > 0 {
		validate(all, *f.Folds, *f.Penalty)
	}
	if *f.Write != "" {
		m, seen := fitted(all, *f.Penalty)
		if err := save(*f.Write, m, seen, len(all)); err != nil {
			log.Fatal(err)
		}
	}
}

// example is a narration with its features, each once, and the kind of its product.
type example struct {
	n        *narration.Narration
	features []string
	kind     int
}

// rows are the rows of the features that a model has.
func (e *example) rows(m *product.Model) []int32 {
	list := feature.List{Index: m.Index}
	for _, f := range e.features {
		list.Put(f)
	}
	return list.Rows
}

// fitted fits a model on the narrations, and says how often each feature was seen.
func fitted(all []*example, penalty float64) (*product.Model, map[string]int) {
	names, seen := fit.Names(leastSeen, len(all), func(k int, see func(string)) {
		for _, f := range all[k].features {
			see(f)
		}
	})
	n := len(product.Kinds())
	m, err := product.NewModel(names, make([]float64, len(names)*n))
	if err != nil {
		log.Fatal(err)
	}
	rows := make([][]int32, len(all))
	for i, e := range all {
		rows[i] = e.rows(m)
	}
	p := fit.Problem{Mean: make([]float64, len(names)*n), Penalty: penalty, Examples: len(all), Iterations: 200,
		SetWeights: m.SetWeights,
		LogLikelihood: func(i int, gradient []float64) float64 {
			p, kind := m.Probabilities(rows[i]), all[i].kind
			for _, r := range rows[i] {
				for k := range p {
					gradient[int(r)*n+k] -= p[k]
				}
				gradient[int(r)*n+kind]++
			}
			return math.Log(math.Max(p[kind], 1e-300))
		}}
	w, err := p.Solve()
	if err != nil {
		log.Fatal(err)
	}
	m.SetWeights(w)
	return m, seen
}

// validate says how often the kinds of narrations that were left out are right.
func validate(all []*example, folds int, penalty float64) {
	right, ll := 0, 0.0
	var named, wrong [10]int
	for f := range folds {
		var train []*example
		for _, e := range all {
			if e.n.Group(folds) != f {
				train = append(train, e)
			}
		}
		m, _ := fitted(train, penalty)
		for _, e := range all {
			if e.n.Group(folds) != f {
				continue
			}
			p := m.Probabilities(e.rows(m))
			best := 0
			for k := range p {
				if p[k] > p[best] {
					best = k
				}
			}
			ll += math.Log(p[e.kind])
			bin := min(9, int(p[best]*10))
			named[bin]++
			if best == e.kind {
				right++
			} else {
				wrong[bin]++
				fmt.Printf("%s: %s for %s at %.2f\n", e.n.Name, product.Kinds()[best], product.Kinds()[e.kind], p[best])
			}
		}
	}
	fmt.Printf("%d of %d right, ln P %.1f; by tenth of probability: named %v, wrong %v\n", right, len(all), ll, named,
		wrong)
}

func save(file string, m *product.Model, seen map[string]int, narrations int) error {
	h := fit.Head{What: "Weights of package product, in nats",
		By: "./internal/kindfit", From: narrations,
		Columns: "# feature  what is seen of a review\n" +
			"# n        narrations that it was seen in\n" +
			"# weights  kind:weight\n"}
	return fit.Save(file, h, func(w io.Writer) error { return m.Write(w, seen) })
}
