package main

import (
	"fmt"
	"io"
	"log"
	"maps"
	"math"
	"slices"
	"strings"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
)

// choice is a question with its right answer.
type choice struct {
	level    bool // of an operating level, not of a power
	features [][]string
	right    int
}

// portChoices are the questions of a narration whose answer is among the
// choices, and how many are asked. A question depends on the answers before it:
// these are the right ones, or with weights those that they choose, as when
// nobody knows better.
func portChoices(n *narration.Narration, w map[string]float64) (out []choice, asked int) {
	tr, at, err := n.Transcript()
	if err != nil {
		log.Fatal(err)
	}
	d := extract.Find(tr)
	mark, class := truthOf(n, at, d)
	d.AskPorts(class, func(q *extract.PortQuestion) int {
		want := portOf(n, mark(int(q.Mention)))
		asked++
		c := choice{features: namesOf(q.Features), level: strings.HasPrefix(class(int(q.Mention)).String(), "level.")}
		c.right = slices.IndexFunc(q.Names, func(s string) bool { return plainPort(s) == plainPort(want) })
		if c.right >= 0 {
			out = append(out, c)
		}
		if w != nil {
			return best(c, w)
		}
		return max(c.right, 0)
	})
	return out, asked
}

// truthOf returns the marks of the mentions of a document, nil where there is none, and
// their classes.
func truthOf(n *narration.Narration, at *narration.Offsets, d *extract.Document) (
	mark func(int) *narration.Mark, class func(int) place.Class) {
	mark = func(k int) *narration.Mark {
		m := &d.Mentions[k]
		return n.MarkAt(at, int(d.Tokens[m.First].Start), int(d.Tokens[m.Last-1].End), narration.Quantity)
	}
	return mark, func(k int) place.Class {
		if m := mark(k); m != nil {
			c, _ := n.Class(m)
			return c
		}
		return place.None
	}
}

// namesOf are the names of what was seen of each answer.
func namesOf(features [][]extract.PortFeature) [][]string {
	out := make([][]string, len(features))
	for i, list := range features {
		for _, f := range list {
			out[i] = append(out[i], f.Name)
		}
	}
	return out
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
		if r == '-' || r == ' ' || r == '+' || r == ',' || r == '/' {
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// rollouts is how many times the questions are asked again with the answers that the
// weights choose, which are then learned from too.
const rollouts = 3

// portWeights fits the weights of the antecedents. The questions depend on the answers
// before: weights that learned from right ones only would trust their own too far. One
// wrong answer moves a whole list of levels, so that weights are the mean of all rounds.
func portWeights(narrations []*narration.Narration, penalty float64) (map[string]float64, map[string]int) {
	all := make([][]choice, len(narrations))
	for i, n := range narrations {
		all[i], _ = portChoices(n, nil)
	}
	w, seen := chooseFit(all, penalty)
	sum := maps.Clone(w)
	for range rollouts {
		for i, n := range narrations {
			c, _ := portChoices(n, w)
			all[i] = append(all[i], c...)
		}
		w, seen = chooseFit(all, penalty)
		for f, v := range w {
			sum[f] += v
		}
	}
	for f := range sum {
		sum[f] /= rollouts + 1
	}
	return sum, seen
}

// fitPorts fits the weights of the antecedents; with folds it says how often
// they are right on narrations left out, their own answers standing.
func fitPorts(files []string, folds int, penalty float64, write string) {
	all, err := narration.Read(files)
	if err != nil {
		log.Fatal(err)
	}
	var hit, asked, levels, levelHits int
	for f := range folds {
		var train, test []*narration.Narration
		for _, n := range all {
			if n.Group(folds) == f {
				test = append(test, n)
			} else {
				train = append(train, n)
			}
		}
		w, _ := portWeights(train, penalty)
		for _, n := range test {
			choices, a := portChoices(n, w)
			asked += a
			for _, c := range choices {
				right := best(c, w) == c.right
				if right {
					hit++
				}
				if c.level {
					levels++
					if right {
						levelHits++
					}
				}
			}
		}
	}
	if folds > 0 {
		fmt.Printf("ports: %d asked, %d right (%.1f %%); of levels with the answer among the choices %d, %d right "+
			"(%.1f %%)\n",
			asked, hit, 100*float64(hit)/float64(asked), levels, levelHits, 100*float64(levelHits)/float64(levels))
	}
	if write == "" {
		return
	}
	w, seen := portWeights(all, penalty)
	saveChoice(write, fit.Head{What: "Weights of the antecedents of ports (extract/portchoice.go), natural logarithms",
		By: "./internal/placefit -ports", From: len(all),
		Columns: "# feature  what was seen of a port that a level may have\n" +
			"# n        questions it was seen in, over all rounds of answers\n" +
			"# weight   what it is worth\n" +
			"# source   fitted\n"}, w, seen)
}

// saveChoice writes the weights of a choice that are large enough to matter, with how
// often each feature was seen.
func saveChoice(file string, h fit.Head, w map[string]float64, seen map[string]int) {
	var names []string
	for f, v := range w {
		if math.Abs(v) >= leastWeight {
			names = append(names, f)
		}
	}
	slices.Sort(names)
	err := fit.Save(file, h, func(out io.Writer) error {
		fmt.Fprint(out, "feature\tn\tweight\n")
		for _, f := range names {
			fmt.Fprintf(out, "%s\t%d\t%.2f\n", f, seen[f], w[f])
		}
		return nil
	})
	if err != nil {
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
	names, seen := fit.Names(2, len(all), func(k int, see func(string)) {
		for _, c := range all[k] {
			for _, list := range c.features {
				for _, f := range list {
					see(f)
				}
			}
		}
	})
	index := map[string]int32{}
	for i, f := range names {
		index[f] = int32(i)
	}
	var examples []fit.Choice
	for _, n := range all {
		for _, c := range n {
			e := fit.Choice{Right: make([]bool, len(c.features))}
			e.Right[c.right] = true
			for _, list := range c.features {
				var answer []int32
				for _, f := range list {
					if i, ok := index[f]; ok {
						answer = append(answer, i)
					}
				}
				e.Rows = append(e.Rows, answer)
			}
			examples = append(examples, e)
		}
	}
	var x []float64
	p := fit.Problem{Mean: make([]float64, len(names)), Penalty: penalty, Examples: len(examples), Iterations: 200,
		SetWeights:    func(w []float64) { x = w },
		LogLikelihood: func(i int, gradient []float64) float64 { return examples[i].LogLikelihood(x, gradient) }}
	solved, err := p.Solve()
	if err != nil {
		log.Fatal(err)
	}
	w := map[string]float64{}
	for i, f := range names {
		w[f] = solved[i]
	}
	return w, seen
}
