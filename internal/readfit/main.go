// Readfit fits the weights of the reading engine on marked narrations.
package main

import (
	"bufio"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
	"saywatt/normalize"
	"saywatt/schema"
)

func main() {
	log.SetFlags(0)
	folds := flag.Int("fold", 0, "how many `groups` of narrations to leave out in turn")
	penalty := flag.Float64("penalty", 2, "inverse variance of the weights")
	rounds := flag.Int("rounds", 2, "how often to read the narrations anew with the weights found")
	models := flag.String("models", "", "find places with the weights that placefit -fold -models wrote to `DIR`")
	write := flag.String("write", "", "write the weights to `FILE`")
	flag.Parse()
	all, err := read(flag.Args(), *models)
	if err != nil {
		log.Fatal(err)
	}
	if *folds > 0 {
		validate(all, *folds, *rounds, *penalty)
	}
	if *write != "" {
		w, seen := fitted(all, *rounds, *penalty)
		if err := save(*write, w, seen, len(all)); err != nil {
			log.Fatal(err)
		}
	}
}

// told is a marked narration with its document.
type told struct {
	name  string
	d     *extract.Document
	truth normalize.Truth
}

func read(files []string, models string) ([]*told, error) {
	places, err := placeModels(models)
	if err != nil {
		return nil, err
	}
	narrations, err := narration.Read(files)
	if err != nil {
		return nil, err
	}
	var out []*told
	for i, n := range narrations {
		tr, at, err := n.Transcript()
		if err != nil {
			return nil, err
		}
		out = append(out, &told{name: n.Name, d: extract.FindUsing(tr, places[i%len(places)]), truth: truthOf(n, at)})
	}
	return out, nil
}

// truthOf tells what the marks say. A number that stands in no mark is no quantity;
// one in a mark that is mostly of other words is not known.
func truthOf(n *narration.Narration, at *narration.Offsets) normalize.Truth {
	return func(start, end int) (*schema.Quantity, bool) {
		m := n.MarkAt(at, start, end, narration.Any)
		if m == nil || m.Kind != narration.MarkQuantity {
			return nil, true
		}
		a, b := at.Span(m)
		common := min(b, end) - max(a, start)
		return &m.Meant, common*5 >= 3*max(b-a, end-start)
	}
}

func placeModels(dir string) ([]*place.Model, error) {
	if dir == "" {
		return []*place.Model{place.Default()}, nil
	}
	var out []*place.Model
	for {
		files, err := filepath.Glob(filepath.Join(dir, fmt.Sprintf("places-%d-of-*.tsv", len(out))))
		if err != nil || len(files) == 0 {
			if len(out) == 0 {
				return nil, fmt.Errorf("%s: no weights of places", dir)
			}
			return out, err
		}
		f, err := os.Open(files[0])
		if err != nil {
			return nil, err
		}
		m, err := place.ReadModel(f)
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", files[0], err)
		}
		out = append(out, m)
	}
}

func studies(all []*told, w normalize.Traits) []*normalize.Study {
	r := normalize.Ranker{Traits: w}
	var out []*normalize.Study
	for _, t := range all {
		out = append(out, r.Study(t.d, t.truth))
	}
	return out
}

func fitted(all []*told, rounds int, penalty float64) (normalize.Traits, []int) {
	size := len(normalize.TraitNames())
	w := make(normalize.Traits, size)
	var seen []int
	for range rounds {
		list := studies(all, w)
		seen = make([]int, size)
		in, last := make([]int, size), make([]int, size)
		for k, s := range list {
			s.EachTrait(func(row int32) {
				seen[row]++
				if last[row] != k+1 {
					last[row] = k + 1
					in[row]++
				}
			})
		}
		var rows []int32
		for r := range in {
			if in[r] >= 2 {
				rows = append(rows, int32(r))
			}
		}
		full := make([]float64, size)
		p := fit.Problem{Mean: make([]float64, len(rows)), Penalty: penalty, Examples: len(list), Iterations: 200,
			SetWeights: func(x []float64) {
				for i, r := range rows {
					full[r] = x[i]
				}
			},
			LogLikelihood: func(i int, gradient []float64) float64 {
				g := make([]float64, size)
				v := list[i].LogLikelihood(full, g)
				for i, r := range rows {
					gradient[i] += g[r]
				}
				return v
			}}
		x, err := p.Solve()
		if err != nil {
			log.Fatal(err)
		}
		for i, r := range rows {
			w[r] = x[i]
		}
	}
	return w, seen
}

var verbose = false

type tally struct {
	ll, n                                                float64
	intact, kept, changed, garbled, repaired, wrong, off float64
}

func (t *tally) add(s *normalize.Study, w normalize.Traits) {
	t.ll += s.LogLikelihood(w, nil)
	var p []float64
	for i := range s.Nodes {
		n := &s.Nodes[i]
		p = n.Posterior(w, p)
		best, right, said := -1, 0.0, false
		for k := range p {
			if best < 0 || p[k] > p[best] {
				best = k
			}
			if n.Readings[k].Right {
				right += p[k]
				said = said || !n.Readings[k].Nothing
			}
		}
		if n.Known {
			t.n++
		}
		stands := p[best]*n.Cut*0.99 >= 0.95 && !n.Readings[best].Nothing
		switch {
		case n.Intact:
			t.intact++
			if stands && n.Readings[best].Right {
				t.kept++
			}
		case said:
			t.garbled++
			if stands && n.Readings[best].Right {
				t.repaired++
			}
		default:
			t.off++
		}
		if stands && !n.Readings[best].Right {
			t.wrong++
			if verbose {
				fmt.Printf("  wrong %q given %s said %s known %v\n", n.Words, n.Readings[best].Text, n.Said, n.Known)
			}
		}
	}
}

func (t *tally) String() string {
	return fmt.Sprintf("ll %.1f of %.0f; intact kept %.1f %%; repaired %.1f %% of %.0f; wrong %.0f",
		t.ll, t.n, 100*t.kept/t.intact, 100*t.repaired/t.garbled, t.garbled, t.wrong)
}

func validate(all []*told, folds, rounds int, penalty float64) {
	var before, after, inside tally
	for f := range folds {
		var train, test []*told
		for i, t := range all {
			if i%folds == f {
				test = append(test, t)
			} else {
				train = append(train, t)
			}
		}
		w, _ := fitted(train, rounds, penalty)
		zero := make(normalize.Traits, len(w))
		for _, s := range studies(test, zero) {
			before.add(s, zero)
		}
		verbose = true
		for _, s := range studies(test, w) {
			after.add(s, w)
		}
		verbose = false
		for _, s := range studies(train, w) {
			inside.add(s, w)
		}
	}
	fmt.Println("before:", &before)
	fmt.Println("after: ", &after)
	fmt.Println("inside:", &inside)
}

func save(name string, w normalize.Traits, seen []int, narrations int) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(f)
	fmt.Fprintf(out, "# Weights of the traits of readings (traits.go), in nats, written by go run ./internal/readfit\n"+
		"# from %d narrations of testdata/tuning. Do not edit: mark more narrations and fit again.\n"+
		"# trait   what is seen of a reading: the family, and what it is\n# n       readings it was seen at\n# weight  nats that it adds to the score\n"+
		"trait\tn\tweight\n", narrations)
	for i, name := range normalize.TraitNames() {
		if math.Abs(w[i]) >= 0.02 {
			fmt.Fprintf(out, "%s\t%d\t%.2f\n", name, seen[i], w[i])
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return f.Close()
}
