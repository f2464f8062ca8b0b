// Partfit fits the weights of package extract/part on marked narrations:
//
//	go run ./internal/partfit [-fold N] [-penalty X] [-write FILE] FILE.mark ...
//
// Features seen in one narration only are dropped. With -fold it also fits N
// times on all narrations but one group and says how many parts of that group
// have all their ratings, and no other's, in one group. The same narrations
// give the same bytes.
package main

import (
	"flag"
	"fmt"
	"io"
	"log"
	"slices"

	"saywatt/extract"
	"saywatt/extract/part"
	"saywatt/extract/place"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
)

func main() {
	log.SetFlags(0)
	f := fit.NewFlags(5)
	wrong := flag.Bool("wrong", false, "list the parts that are wrong")
	least := flag.Int("least", 2, "narrations a feature must be seen in")
	without := flag.Int("only", -1, "fit without `FOLD` of eight: to try the program on it")
	totals := flag.Bool("totals", false, "say how the program's own weights do, in totals only")
	models := flag.String("models", "", "find places with the weights that placefit -fold -models wrote to `DIR`")
	flag.Parse()
	all, err := read(flag.Args(), *models)
	if err != nil {
		log.Fatal(err)
	}
	if *totals {
		report(all)
	}
	if *f.Folds > 0 {
		validate(all, *f.Folds, *f.Penalty, *least, *wrong)
	}
	if *without >= 0 {
		var rest []*marked
		for i, t := range all {
			if i%8 != *without {
				rest = append(rest, t)
			}
		}
		all = rest
	}
	if *f.Write != "" {
		m, seen := fitted(all, *f.Penalty, *least)
		if err := save(*f.Write, m, seen, len(all)); err != nil {
			log.Fatal(err)
		}
	}
}

// marked is a narration with the elements of its parts.
type marked struct {
	n        *narration.Narration
	elements []part.Element
	words    []string
	sets     []part.Set
	ratings  []int // part that each element rates, -1 none
	named    int   // parts that a quantity is said of
	lost     int   // those of them with a quantity that is no element
	false    int   // ratings that are of no part
	loose    int   // ratings of a part that the program gives to none
}

// read reads the narrations. Where models are given, the places of each are
// those of a model that was fitted without it, as they are for narrations that
// nobody marked.
func read(files []string, models string) ([]*marked, error) {
	places, err := place.Folds(models)
	if err != nil {
		return nil, err
	}
	narrations, err := narration.Read(files)
	if err != nil {
		return nil, err
	}
	var out []*marked
	for _, n := range narrations {
		tr, at, err := n.Transcript()
		if err != nil {
			return nil, err
		}
		d := extract.FindUsing(tr, places[n.Group(len(places))])
		p := d.PartElements()
		t := &marked{n: n, elements: p.Elements}
		for _, s := range p.Spans {
			t.words = append(t.words, d.Words(s[0], s[1]))
		}
		t.sets, t.ratings = truth(n, at, d, &p)
		t.named, t.lost = missed(n, at, d, &p)
		for k, r := range t.ratings {
			switch {
			case t.elements[k].Type != part.Rating:
			case r < 0:
				t.false++
			case !given(d, p.Spans[k]):
				t.loose++
			}
		}
		out = append(out, t)
	}
	return out, nil
}

// example makes the example of a narration with the rows that name gives.
func (t *marked) example(name func(string) int32) *part.Example {
	return part.NewExample(t.elements, t.sets, name)
}

// fitted fits a model on the narrations.
func fitted(all []*marked, penalty float64, least int) (*part.Model, []int) {
	names, seen := fit.Names(least, len(all), func(k int, see func(string)) {
		all[k].example(func(name string) int32 { see(name); return -1 })
	})
	names = slices.DeleteFunc(names, func(f string) bool { _, ok := part.Priors()[f]; return ok })
	for f := range part.Priors() {
		names = append(names, f)
	}
	slices.Sort(names)
	rows := make(map[string]int32, len(names))
	counts := make([]int, len(names))
	for i, n := range names {
		rows[n], counts[i] = int32(i), seen[n]
	}
	m, err := part.NewModel(names)
	if err != nil {
		log.Fatal(err)
	}
	var examples []*part.Example
	for _, t := range all {
		e := t.example(func(name string) int32 {
			if i, ok := rows[name]; ok {
				return i
			}
			return -1
		})
		if !e.Possible() {
			log.Printf("%s: the marks allow no grouping; left out", t.n.Name)
			continue
		}
		examples = append(examples, e)
	}
	p := fit.Problem{Mean: make([]float64, m.Weights()), Penalty: penalty, Examples: len(examples), Iterations: 150,
		SetWeights:    m.SetWeights,
		LogLikelihood: func(i int, gradient []float64) float64 { return m.LogLikelihood(examples[i], gradient) }}
	for i, n := range names {
		p.Mean[i] = part.Priors()[n]
	}
	x, err := p.Solve()
	if err != nil {
		log.Fatal(err)
	}
	m.SetWeights(x)
	return m, counts
}

// given reports whether the mention over the tokens is given to a part.
func given(d *extract.Document, span [2]int32) bool {
	for i := range d.Mentions {
		if m := &d.Mentions[i]; m.First == span[0] {
			return m.Context.Subject >= 0
		}
	}
	return false
}

// report prints how many parts are named, found whole and grouped right.
func report(all []*marked) {
	named, lost, right, found, bad, loose := 0, 0, 0, 0, 0, 0
	for _, t := range all {
		n, ok := t.score(part.Default(), false)
		named, lost, found, right, bad = named+t.named, lost+t.lost, found+n, right+ok, bad+t.false
		loose += t.loose
	}
	fmt.Printf("parts with quantities: %d, of which %d with one that was taken for something else; %d ratings of no "+
		"part, %d given to none; "+
		"grouped right: %d of %d\n", named, lost, bad, loose, right, found)
}

func validate(all []*marked, folds int, penalty float64, least int, list bool) {
	total, right := 0, 0
	for f := range folds {
		var train, test []*marked
		for _, t := range all {
			if t.n.Group(folds) == f {
				test = append(test, t)
			} else {
				train = append(train, t)
			}
		}
		m, _ := fitted(train, penalty, least)
		for _, t := range test {
			n, ok := t.score(m, list)
			fmt.Printf("%-50s %3d of %3d\n", t.n.Name, ok, n)
			total, right = total+n, right+ok
		}
	}
	fmt.Printf("parts with their ratings together and alone: %d of %d (%.1f %%)\n", right, total,
		100*float64(right)/float64(total))
}

// score counts the parts with ratings, and those whose ratings and no others
// are in one group.
func (t *marked) score(m *part.Model, list bool) (total, right int) {
	groups := m.Groups(t.elements)
	of := make([]int, len(t.elements))
	for g := range groups {
		for k := groups[g].First; k < groups[g].Last; k++ {
			of[k] = g
		}
	}
	parts := map[int][]int{}
	for k, p := range t.ratings {
		if p >= 0 {
			parts[p] = append(parts[p], k)
		}
	}
	wrong := map[int]bool{}
	for p, ks := range parts {
		total++
		ok := true
		for k := range t.elements {
			if t.elements[k].Type == part.Rating && of[k] == of[ks[0]] && t.ratings[k] != p {
				ok = false
			}
		}
		for _, k := range ks {
			ok = ok && of[k] == of[ks[0]]
		}
		if ok {
			right++
		} else {
			for _, k := range ks {
				wrong[of[k]] = true
			}
		}
	}
	for g := range groups {
		if list && wrong[g] {
			fmt.Print("   ")
			for k := groups[g].First; k < groups[g].Last; k++ {
				fmt.Printf(" [%s %s: %s %d]", t.elements[k].Type, t.elements[k].Name, t.words[k], t.ratings[k])
			}
			fmt.Println()
		}
	}
	return total, right
}

func save(name string, m *part.Model, seen []int, narrations int) error {
	h := fit.Head{What: "Weights of the chain of package part (doc.go), natural logarithms",
		By: "./internal/partfit", From: narrations,
		Columns: "# feature   what was seen at a gap or in a segment (feature.go); @LINK LAYOUT " +
			"LAYOUT: a turn of layout\n" +
			"# n         how often the narrations have it, over all segments that are possible\n"}
	return fit.Save(name, h, func(w io.Writer) error { return m.Write(w, seen) })
}
