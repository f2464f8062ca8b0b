package main

import (
	"fmt"
	"log"
	"math"
	"os"
	"slices"
	"strings"

	"gonum.org/v1/gonum/optimize"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/extract/transcript"
	"saywatt/internal/narration"
)

// choice is a question with its right answer.
type choice struct {
	features [][]string
	right    int
}

// portChoices are the questions of a narration whose answer is among the
// choices.
func portChoices(n *narration.Narration) (out []choice, asked int) {
	form := n.Form()
	tr, err := transcript.Parse(n.Name+narration.Ending(form), n.Captions(form))
	if err != nil {
		log.Fatal(err)
	}
	at, err := n.Align(tr.Text)
	if err != nil {
		log.Fatal(err)
	}
	d := extract.Find(tr)
	mark := func(k int) *narration.Mark {
		m := &d.Mentions[k]
		start, end := int(d.Tokens[m.First].Start), int(d.Tokens[m.Last-1].End)
		var best *narration.Mark
		most := 0
		for i := range n.Marks {
			if n.Marks[i].Kind != narration.MarkQuantity {
				continue
			}
			a, b := at.Span(&n.Marks[i])
			if common := min(b, end) - max(a, start); common > most {
				best, most = &n.Marks[i], common
			}
		}
		return best
	}
	class := func(k int) place.Class {
		if m := mark(k); m != nil {
			c, _ := n.Class(m)
			return c
		}
		return place.None
	}
	d.AskPorts(class, func(q *extract.PortQuestion) int {
		want := portOf(n, mark(int(q.Mention)))
		asked++
		right := slices.IndexFunc(q.Names, func(s string) bool { return plainPort(s) == plainPort(want) })
		if right < 0 {
			return 0
		}
		out = append(out, choice{q.Features, right})
		return right
	})
	return out, asked
}

func portOf(n *narration.Narration, m *narration.Mark) string {
	if l := n.Level(m.Table()); l != nil {
		return l.Port
	}
	_, port, _ := strings.Cut(m.Slot, ":")
	return strings.TrimSuffix(port, " shared")
}

func plainPort(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || r == ' ' || r == '+' {
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// fitPorts fits the weights of the antecedents; with folds it says how often
// they are right on narrations left out.
func fitPorts(files []string, folds int, penalty float64, write string) {
	var all [][]choice
	asked := 0
	for _, f := range files {
		source, err := os.ReadFile(f)
		if err != nil {
			log.Fatal(err)
		}
		n, err := narration.Parse(f, string(source))
		if err != nil {
			log.Fatal(err)
		}
		c, a := portChoices(n)
		all, asked = append(all, c), asked+a
	}
	hit, total := 0, 0
	for f := range folds {
		var train, test [][]choice
		for i := range all {
			if i%folds == f {
				test = append(test, all[i])
			} else {
				train = append(train, all[i])
			}
		}
		w, _ := chooseFit(train, penalty)
		for _, t := range test {
			for _, c := range t {
				total++
				if best(c, w) == c.right {
					hit++
				}
			}
		}
	}
	if folds > 0 {
		fmt.Printf("ports: %d asked, right answer among the choices %d, chosen %d (%.1f %%)\n", asked, total, hit, 100*float64(hit)/float64(total))
	}
	if write == "" {
		return
	}
	w, seen := chooseFit(all, penalty)
	var b strings.Builder
	fmt.Fprintf(&b, "# Weights of the antecedents of ports (extract/portchoice.go), natural logarithms, written by\n"+
		"# go run ./internal/placefit -ports from %d narrations of testdata/tuning.\n"+
		"# feature  what was seen of a port that a level may have\n# n        questions it was seen in\n# weight   what it is worth\n"+
		"# source   fitted\nfeature\tn\tweight\n", len(all))
	var names []string
	for f, v := range w {
		if math.Abs(v) >= leastWeight {
			names = append(names, f)
		}
	}
	slices.Sort(names)
	for _, f := range names {
		fmt.Fprintf(&b, "%s\t%d\t%.2f\n", f, seen[f], w[f])
	}
	if err := os.WriteFile(write, []byte(b.String()), 0o644); err != nil {
		log.Fatal(err)
	}
}

func best(c choice, w map[string]float64) int {
	at, top := 0, math.Inf(-1)
	for i, list := range c.features {
		s := 0.0
		for _, f := range list {
			s += w[f]
		}
		if s > top {
			at, top = i, s
		}
	}
	return at
}

// chooseFit fits weights of features seen in two narrations or more.
func chooseFit(all [][]choice, penalty float64) (map[string]float64, map[string]int) {
	in, seen := map[string]int{}, map[string]int{}
	for _, n := range all {
		here := map[string]bool{}
		for _, c := range n {
			for _, list := range c.features {
				for _, f := range list {
					seen[f]++
					here[f] = true
				}
			}
		}
		for f := range here {
			in[f]++
		}
	}
	var names []string
	for f, k := range in {
		if k >= 2 {
			names = append(names, f)
		}
	}
	slices.Sort(names)
	index := map[string]int{}
	for i, f := range names {
		index[f] = i
	}
	type row struct {
		answers [][]int
		right   int
	}
	var rows []row
	for _, n := range all {
		for _, c := range n {
			r := row{right: c.right}
			for _, list := range c.features {
				var a []int
				for _, f := range list {
					if i, ok := index[f]; ok {
						a = append(a, i)
					}
				}
				r.answers = append(r.answers, a)
			}
			rows = append(rows, r)
		}
	}
	value := func(x, grad []float64) float64 {
		v := 0.0
		for i := range x {
			v += penalty * x[i] * x[i] / 2
			if grad != nil {
				grad[i] = penalty * x[i]
			}
		}
		for _, r := range rows {
			s := make([]float64, len(r.answers))
			top := math.Inf(-1)
			for k, a := range r.answers {
				for _, f := range a {
					s[k] += x[f]
				}
				top = max(top, s[k])
			}
			z := 0.0
			for k := range s {
				z += math.Exp(s[k] - top)
			}
			v -= s[r.right] - top - math.Log(z)
			if grad == nil {
				continue
			}
			for k, a := range r.answers {
				p := math.Exp(s[k]-top) / z
				if k == r.right {
					p--
				}
				for _, f := range a {
					grad[f] += p
				}
			}
		}
		return v
	}
	problem := optimize.Problem{Func: func(x []float64) float64 { return value(x, nil) }, Grad: func(g, x []float64) { value(x, g) }}
	result, err := optimize.Minimize(problem, make([]float64, len(names)), &optimize.Settings{MajorIterations: 200, GradientThreshold: 1e-4}, &optimize.LBFGS{})
	if err != nil && result == nil {
		log.Fatal(err)
	}
	w := map[string]float64{}
	for i, f := range names {
		w[f] = result.X[i]
	}
	return w, seen
}
