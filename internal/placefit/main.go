// Placefit fits the weights of package extract/place on marked narrations:
//
//	go run ./internal/placefit [-fold N] [-made N] [-penalty X] [-write FILE] FILE.mark ...
//	go run ./internal/placefit -pack FILE
//
// With -write it also packs the weights, as -pack does alone: FILE.packed beside
// FILE.tsv is what the program carries.
// Features seen in one narration only are dropped; made ones do not count. With
// -fold it also fits N times on all narrations but one group and says how well
// the classes of that group are found. With -made it adds narrations that package
// narration makes from those that are fitted on, never from the group left out.
// The same narrations give the same bytes.
package main

import (
	"flag"
	"fmt"
	"io"
	"log"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"saywatt/extract"
	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
)

func main() {
	log.SetFlags(0)
	f := fit.NewFlags(10)
	confusions := flag.Bool("confusions", false, "list what was taken for what")
	least := flag.Int("least", 2, "narrations a feature must be seen in")
	models := flag.String("models", "", "with -fold, write the weights of each fold to `DIR`")
	made := flag.Int("made", 0, "add so `many` narrations made from those that are fitted on")
	rate := flag.Float64("rate", -1, "share of garbled quantities of the made ones; below 0 drawn for each")
	own := flag.Bool("own", false, "fit the names of ports in the speaker's own words instead")
	ports := flag.Bool("ports", false, "fit the antecedents of ports instead")
	packed := flag.String("pack", "", "pack the weights of `FILE` and fit nothing")
	flag.Parse()
	if *packed != "" {
		if err := pack(*packed); err != nil {
			log.Fatal(err)
		}
		return
	}
	if *own {
		fitOwnNames(flag.Args(), *f.Folds, *f.Penalty, *f.Write)
		return
	}
	if *ports {
		files := flag.Args()
		sort.Strings(files)
		fitPorts(files, *f.Folds, *f.Penalty, *f.Write)
		return
	}
	all, err := read(flag.Args())
	if err != nil {
		log.Fatal(err)
	}
	if *f.Folds > 0 {
		validate(all, *f.Folds, settings{*f.Penalty, *least, *made, *rate}, *confusions, *models)
	}
	if *f.Write != "" {
		m, seen := fitted(settings{*f.Penalty, *least, *made, *rate}.withMade(all), *f.Penalty, *least)
		err := save(*f.Write, m, seen, len(all), *made)
		if err == nil {
			err = pack(*f.Write)
		}
		if err != nil {
			log.Fatal(err)
		}
	}
}

// pack writes the weights of a table as the program carries them, beside it.
func pack(name string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	b, err := place.Pack(string(text))
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return os.WriteFile(strings.TrimSuffix(name, filepath.Ext(name))+".packed", b, 0o644)
}

// leastWeight is the least weight that is kept: without the smaller ones ln P of
// narrations left out is half a per cent lower, and the table two thirds as long.
const leastWeight = 0.02

// marked is a narration with its chain in feature names.
type marked struct {
	name     string
	n        *narration.Narration
	made     bool // from others that are fitted on too
	features [][]string
	example  place.Example
	words    []string  // of the mentions
	excerpts []*marked // of the narration, each a text of its own
}

func read(files []string) ([]*marked, error) {
	narrations, err := narration.Read(files)
	if err != nil {
		return nil, err
	}
	var out []*marked
	for _, n := range narrations {
		t, err := one(n)
		if err != nil {
			return nil, err
		}
		for _, e := range n.Excerpts() {
			short, err := one(e)
			if err != nil {
				return nil, err
			}
			t.excerpts = append(t.excerpts, short)
		}
		out = append(out, t)
	}
	return out, nil
}

// one makes the chain of a narration with the class of each mention.
func one(n *narration.Narration) (*marked, error) {
	tr, at, err := n.Transcript()
	if err != nil {
		return nil, err
	}
	d := extract.Survey(tr)
	t := &marked{name: n.Name, n: n}
	names, rows := []string{}, map[string]int32{}
	chain := d.ObserveNames(func(name string) int32 {
		i, ok := rows[name]
		if !ok {
			i = int32(len(names))
			names, rows[name] = append(names, name), i
		}
		return i
	})
	for i := range chain.Observations {
		o := &chain.Observations[i]
		var list []string
		for _, f := range o.Features {
			list = append(list, names[f])
		}
		slices.Sort(list)
		t.features = append(t.features, slices.Compact(list))
		m := &d.Mentions[chain.Mentions[i]]
		t.words = append(t.words, d.Words(m.First, m.Last))
		class := truth(n, at, int(d.Tokens[m.First].Start), int(d.Tokens[m.Last-1].End))
		if !class.Fits(o.Kind) {
			class = place.None
		}
		t.example.Truth = append(t.example.Truth, class)
		t.example.Chain = append(t.example.Chain, place.Observation{Kind: o.Kind, Link: o.Link})
	}
	return t, nil
}

// truth is the class of the mark over the bytes, None where there is none.
func truth(n *narration.Narration, at *narration.Offsets, start, end int) place.Class {
	m := n.MarkAt(at, start, end, narration.Quantity)
	if m == nil {
		return place.None
	}
	c, ok := n.Class(m)
	if !ok {
		log.Fatalf("%s: slot %q has no class", n.Name, m.Slot)
	}
	return c
}

// fitted fits a model on the narrations. Features are counted in those that
// people wrote: made ones say again what their sources said.
func fitted(all []*marked, penalty float64, least int) (*place.Model, []int) {
	var written []*marked
	for _, t := range all {
		if !t.made {
			written = append(written, t)
		}
	}
	names, seen := fit.Names(least, len(written), func(k int, see func(string)) {
		for _, list := range written[k].features {
			for _, f := range list {
				see(f)
			}
		}
	})
	m, err := place.NewModel(names)
	if err != nil {
		log.Fatal(err)
	}
	var examples []place.Example
	for _, t := range all {
		examples = append(examples, rows(m, t))
		for _, e := range t.excerpts {
			examples = append(examples, rows(m, e))
		}
	}
	p := fit.Problem{Mean: make([]float64, m.Weights()), Penalty: penalty, Examples: len(examples), Iterations: 120,
		SetWeights:    m.SetWeights,
		LogLikelihood: func(i int, gradient []float64) float64 { return m.LogLikelihood(&examples[i], gradient) }}
	x, err := p.Solve()
	if err != nil {
		log.Fatal(err)
	}
	m.SetWeights(x)
	counts := make([]int, len(names))
	for i, n := range names {
		counts[i] = seen[n]
	}
	return m, counts
}

// rows turns the names of a narration's features into rows of the model.
func rows(m *place.Model, t *marked) place.Example {
	e := place.Example{Truth: t.example.Truth, Chain: slices.Clone(t.example.Chain)}
	for i, list := range t.features {
		for _, f := range list {
			if r := m.Index.Row(feature.Of(f)); r >= 0 {
				e.Chain[i].Features = append(e.Chain[i].Features, r)
			}
		}
	}
	return e
}

// settings steer a fit.
type settings struct {
	penalty float64
	least   int     // narrations a feature must be seen in
	made    int     // narrations made from those that are fitted on
	rate    float64 // of their garbles, below 0 drawn
}

// withMade adds narrations made from these and no others.
func (s settings) withMade(all []*marked) []*marked {
	var from []*narration.Narration
	for _, t := range all {
		from = append(from, t.n)
	}
	made, err := narration.Made(from, s.made, s.rate)
	if err != nil {
		log.Fatal(err)
	}
	out := slices.Clone(all)
	for _, n := range made {
		t, err := one(n)
		if err != nil {
			log.Fatal(err)
		}
		t.made = true
		out = append(out, t)
	}
	return out
}

func validate(all []*marked, folds int, how settings, confusions bool, models string) {
	right, said := map[place.Class]int{}, map[place.Class]int{}
	given := map[place.Class]int{}
	wrong := map[string]int{}
	total, hit, lnP := 0, 0, 0.0
	for f := range folds {
		var train, test []*marked
		for _, t := range all {
			if t.n.Group(folds) == f {
				test = append(test, t)
			} else {
				train = append(train, t)
			}
		}
		m, seen := fitted(how.withMade(train), how.penalty, how.least)
		if models != "" {
			if err := save(filepath.Join(models, place.FoldFile(f, folds)), m, seen, len(train), how.made); err != nil {
				log.Fatal(err)
			}
		}
		for _, t := range test {
			e := rows(m, t)
			p := m.Infer(e.Chain)
			fileRight := 0
			for i, truth := range e.Truth {
				c, prob := p.Best(i)
				lnP += math.Log(max(1e-9, p.At(i, truth)))
				said[truth]++
				given[c]++
				total++
				if c == truth {
					right[c]++
					hit++
					fileRight++
					continue
				}
				wrong[truth.String()+" as "+c.String()]++
				if confusions {
					fmt.Printf("    %s: %q is %s, taken for %s %.2f\n", filepath.Base(filepath.Dir(t.name))+"/"+
						filepath.Base(t.name), t.words[i], truth, c, prob)
				}
			}
			fmt.Printf("%-30s %4d of %4d\n", t.name, fileRight, len(e.Truth))
		}
	}
	fmt.Printf("\n%-20s %6s %6s %6s\n", "class", "said", "right", "given")
	for c := range place.Classes() {
		if k := place.Class(c); said[k]+given[k] > 0 {
			fmt.Printf("%-20s %6d %6d %6d\n", k, said[k], right[k], given[k])
		}
	}
	fmt.Printf("%-20s %6d %6d  %.1f %%, ln P %.1f\n", "all", total, hit, 100*float64(hit)/float64(total), lnP)
	var list []string
	for w, n := range wrong {
		list = append(list, fmt.Sprintf("%4d %s", n, w))
	}
	slices.Sort(list)
	slices.Reverse(list)
	fmt.Println(strings.Join(list[:min(len(list), 25)], "\n"))
}

func save(name string, m *place.Model, seen []int, narrations, made int) error {
	more := ""
	if made > 0 {
		more = fmt.Sprintf(" and %d made from them", made)
	}
	h := fit.Head{What: "Weights of the chain of package place (doc.go), natural logarithms",
		By: "./internal/placefit", From: narrations, More: more,
		Columns: "# feature   what was seen at a mention (extract/observe.go); @LINK CLASS: a " +
			"transition\n" +
			"# n         mentions of the narrations that it was seen at\n" +
			"# weights   class:weight\n"}
	return fit.Save(name, h, func(w io.Writer) error { return m.Write(w, seen, leastWeight) })
}
