// Kindfit fits the weights of package extract/product on marked narrations:
//
//	go run ./internal/kindfit [-fold N] [-penalty X] [-write FILE] FILE.mark ...
//
// Each narration is learned from as the captions show it. Features seen in fewer
// than three narrations are dropped. With -fold it also fits N times on all
// narrations but one group and says how the kinds of that group are told. The same
// narrations give the same bytes.
package main

import (
	"bufio"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"slices"
	"sort"

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
	folds := flag.Int("fold", 0, "how many `groups` of narrations to leave out in turn")
	penalty := flag.Float64("penalty", 1, "inverse variance of the weights")
	write := flag.String("write", "", "write the weights to `FILE`")
	flag.Parse()
	narrations, err := narration.Read(flag.Args())
	if err != nil {
		log.Fatal(err)
	}
	s := &seen{rows: map[string]int32{}}
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
		rows := extract.Survey(tr).ProductFeatures(feature.List{Name: s.row})
		all = append(all, &example{n.Name, rows, kind})
	}
	if *folds > 0 {
		validate(all, s, *folds, *penalty)
	}
	if *write != "" {
		names, weights, counts := solve(all, s, *penalty)
		if err := save(*write, names, weights, counts, len(all)); err != nil {
			log.Fatal(err)
		}
	}
}

// example is a narration with its features and the kind of its product.
type example struct {
	name string
	rows []int32
	kind int
}

// seen numbers the features.
type seen struct {
	rows  map[string]int32
	names []string
}

func (s *seen) row(name string) int32 {
	r, ok := s.rows[name]
	if !ok {
		r = int32(len(s.names))
		s.rows[name], s.names = r, append(s.names, name)
	}
	return r
}

// solve returns the features that are kept, by name, their weights and how often
// each was seen.
func solve(all []*example, s *seen, penalty float64) (names []string, weights []float64, counts []int) {
	n := len(product.Kinds())
	count := make([]int, len(s.names))
	for _, e := range all {
		for _, r := range e.rows {
			count[r]++
		}
	}
	var kept []int32
	for r := range count {
		if count[r] >= leastSeen {
			kept = append(kept, int32(r))
		}
	}
	sort.Slice(kept, func(a, b int) bool { return s.names[kept[a]] < s.names[kept[b]] })
	to := make([]int32, len(count))
	for r := range to {
		to[r] = -1
	}
	for i, r := range kept {
		to[r] = int32(i)
		names, counts = append(names, s.names[r]), append(counts, count[r])
	}
	var w []float64
	p := fit.Problem{Mean: make([]float64, len(kept)*n), Penalty: penalty, Examples: len(all), Iterations: 200,
		SetWeights: func(x []float64) { w = x },
		LogLikelihood: func(i int, gradient []float64) float64 {
			p := probabilities(all[i], to, w)
			for _, r := range all[i].rows {
				if f := int(to[r]); f >= 0 {
					for k := range p {
						gradient[f*n+k] -= p[k]
					}
					gradient[f*n+all[i].kind]++
				}
			}
			return math.Log(math.Max(p[all[i].kind], 1e-300))
		}}
	weights, err := p.Solve()
	if err != nil {
		log.Fatal(err)
	}
	return names, weights, counts
}

// probabilities returns how likely each kind is; to numbers the features kept.
func probabilities(e *example, to []int32, w []float64) []float64 {
	n := len(product.Kinds())
	p := make([]float64, n)
	for _, r := range e.rows {
		if f := int(to[r]); f >= 0 {
			for k := range p {
				p[k] += w[f*n+k]
			}
		}
	}
	top, sum := slices.Max(p), 0.0
	for k := range p {
		p[k] = math.Exp(p[k] - top)
		sum += p[k]
	}
	for k := range p {
		p[k] /= sum
	}
	return p
}

// validate says how the kinds of narrations are told that were left out.
func validate(all []*example, s *seen, folds int, penalty float64) {
	right, ll := 0, 0.0
	var named, wrong [10]int
	for f := range folds {
		var train []*example
		for i, e := range all {
			if i%folds != f {
				train = append(train, e)
			}
		}
		names, weights, _ := solve(train, s, penalty)
		m, err := product.NewModel(names, weights)
		if err != nil {
			log.Fatal(err)
		}
		for i, e := range all {
			if i%folds != f {
				continue
			}
			var rows []int32
			for _, r := range e.rows {
				if k := m.Index.Row(feature.Of(s.names[r])); k >= 0 {
					rows = append(rows, k)
				}
			}
			p := m.Probabilities(rows)
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
				fmt.Printf("%s: %s for %s at %.2f\n", e.name, product.Kinds()[best], product.Kinds()[e.kind], p[best])
			}
		}
	}
	fmt.Printf("%d of %d right, ln P %.1f; by tenth of probability: named %v, wrong %v\n", right, len(all), ll, named,
		wrong)
}

func save(name string, names []string, weights []float64, counts []int, narrations int) error {
	m, err := product.NewModel(names, weights)
	if err != nil {
		return err
	}
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	b := bufio.NewWriter(f)
	fmt.Fprintf(b, "# Weights of package product, in nats, written by go run ./internal/kindfit\n"+
		"# from %d narrations of testdata/tuning. Do not edit: mark more narrations and fit again.\n"+
		"# feature  what is seen of a review\n# n        narrations that it was seen in\n"+
		"# weights  kind:weight\n", narrations)
	if err := m.Write(b, counts); err != nil {
		return err
	}
	if err := b.Flush(); err != nil {
		return err
	}
	return f.Close()
}
