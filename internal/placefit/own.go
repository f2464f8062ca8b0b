package main

import (
	"fmt"
	"log"

	"saywatt/extract"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
)

// ownNames are the words of a narration that may name ports as its speaker does.
type ownNames struct {
	n    *narration.Narration
	all  []extract.OwnName
	port []bool // whether a port is marked there
}

func readOwnNames(n *narration.Narration) *ownNames {
	tr, at, err := n.Transcript()
	if err != nil {
		log.Fatal(err)
	}
	o := &ownNames{n: n}
	d := extract.Find(tr)
	isPort := func(m *narration.Mark) bool { return m.Kind == narration.MarkName && m.Slot == "port" }
	_, class := truthOf(n, at, d)
	for _, s := range d.AskOwnNames(class) {
		m := n.MarkAt(at, int(d.Tokens[s.First].Start), int(d.Tokens[s.Last-1].End), isPort)
		o.all = append(o.all, s)
		o.port = append(o.port, m != nil && !d.Lexicon.StandardPort(m.Name))
	}
	return o
}

// fitOwnNames fits the weights of the names of ports in the speaker's own words; with
// folds it says how well they are found in narrations left out.
func fitOwnNames(files []string, folds int, penalty float64, write string) {
	narrations, err := narration.Read(files)
	if err != nil {
		log.Fatal(err)
	}
	all := make([]*ownNames, len(narrations))
	for i, n := range narrations {
		all[i] = readOwnNames(n)
	}
	var marked, found, both int
	for f := range folds {
		var train []*ownNames
		for _, o := range all {
			if o.n.Group(folds) != f {
				train = append(train, o)
			}
		}
		w, _ := ownWeights(train, penalty)
		for _, o := range all {
			if o.n.Group(folds) != f {
				continue
			}
			for i, s := range o.all {
				score := 0.0
				for _, seen := range s.Features {
					score += w[seen.Name]
				}
				stands := extract.Words().OwnStands(score)
				if o.port[i] {
					marked++
				}
				if stands {
					found++
				}
				if stands && o.port[i] {
					both++
				}
			}
		}
	}
	if folds > 0 {
		fmt.Printf("own names of ports: %d marked, %d found, %d of them marked\n", marked, found, both)
	}
	if write == "" {
		return
	}
	w, seen := ownWeights(all, penalty)
	saveChoice(write, fit.Head{
		What: "Weights of names of ports in the speaker's own words (extract/ownport.go), natural logarithms",
		By:   "./internal/placefit -own", From: len(all),
		Columns: "# feature  what was seen of words that may name a port\n" +
			"# n        words it was seen at\n" +
			"# weight   what it is worth\n" +
			"# source   fitted\n"}, w, seen)
}

// ownWeights fits: each stretch of words is a question with two answers, no name, of
// which nothing is seen, and a name.
func ownWeights(all []*ownNames, penalty float64) (map[string]float64, map[string]int) {
	questions := make([][]choice, len(all))
	for i, o := range all {
		for k, s := range o.all {
			c := choice{features: append([][]string{nil}, namesOf([][]extract.PortFeature{s.Features})...)}
			if o.port[k] {
				c.right = 1
			}
			questions[i] = append(questions[i], c)
		}
	}
	return chooseFit(questions, penalty)
}
