// Namefit fits the weights of package extract/name on marked narrations:
//
//	go run ./internal/namefit [-fold N] [-penalty X] [-write FILE] FILE.mark ...
//
// Each narration is learned from four times, as the captions show it and with its
// names as meant, and both without capitals and signs. Features seen in one narration only are dropped. With -fold it
// also fits N times on all narrations but one group and says how that group's
// names are read. The same narrations give the same bytes.
package main

import (
	"flag"
	"fmt"
	"io"
	"log"

	"saywatt/extract"
	"saywatt/extract/name"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
)

func main() {
	log.SetFlags(0)
	f := fit.NewFlags(1)
	list := flag.Bool("list", false, "list the names of each narration")
	totals := flag.Bool("totals", false, "say how the program reads the names, in totals only")
	dump := flag.Bool("dump", false, "list the stretches that are taken wrongly")
	flag.Parse()
	narrations, err := narration.Read(flag.Args())
	if err != nil {
		log.Fatal(err)
	}
	if *totals {
		if err := report(narrations); err != nil {
			log.Fatal(err)
		}
		return
	}
	var all []*marked
	for _, n := range narrations {
		if n.Head["maker"] == "" {
			continue // nobody can tell what it is called
		}
		spoken, err := n.Spoken()
		if err != nil {
			log.Fatal(err)
		}
		for _, n := range []*narration.Narration{spoken, n} {
			t, err := mark(n)
			if err != nil {
				log.Fatal(err)
			}
			t.fold = n.Group(1 << 16)
			all = append(all, t)
			all = append(all, t.plain())
		}
	}
	if *f.Folds > 0 {
		validate(all, *f.Folds, *f.Penalty, *list, *dump)
	}
	if *f.Write != "" {
		m, seen := fitted(all, *f.Penalty)
		if err := save(*f.Write, m, seen, len(all)/4); err != nil {
			log.Fatal(err)
		}
	}
}

// report prints how the program reads the names, as said and as shown.
func report(narrations []*narration.Narration) error {
	for _, as := range []string{"names as meant", "as captioned"} {
		var sum narration.NameTally
		for _, n := range narrations {
			var err error
			if n.Head["maker"] == "" {
				continue
			}
			if as == "names as meant" {
				if n, err = n.Spoken(); err != nil {
					return err
				}
			}
			tr, _, err := n.Transcript()
			if err != nil {
				return err
			}
			d := extract.Find(tr)
			r := narration.NamesRead{Title: d.Product.Name, Maker: d.Product.Maker}
			for i := range d.Subjects {
				r.Parts = append(r.Parts, d.Subjects[i].Maker)
			}
			t, err := n.ScoreNames(r)
			if err != nil {
				return err
			}
			sum.Add(t)
		}
		fmt.Printf("%-16s %s\n", as, line(&sum))
	}
	return nil
}

func line(t *narration.NameTally) string {
	one := func(o narration.Outcome) string {
		return fmt.Sprintf("%d of %d right, %d as heard, %d other, %d extra", o.Right, o.Said, o.Heard, o.Other,
			o.Extra)
	}
	return "title " + one(t.Title) + "; maker " + one(t.Maker) + "; parts " + one(t.Parts)
}

func validate(all []*marked, folds int, penalty float64, list, dump bool) {
	var spoken, shown narration.NameTally
	for f := range folds {
		var train, test []*marked
		for _, t := range all {
			if t.fold%folds == f {
				test = append(test, t)
			} else {
				train = append(train, t)
			}
		}
		m, _ := fitted(train, penalty)
		for i, t := range test {
			if t.bare {
				continue
			}
			found := m.Find(t.items.Items, t.items.Key)
			words := func(c name.Choice) string {
				if c.Last <= c.First {
					return ""
				}
				return t.doc.Words(t.items.Spans[c.First][0], t.items.Spans[c.Last-1][1])
			}
			r := narration.NamesRead{Title: words(found.Title), Maker: words(found.Owner)}
			for _, c := range found.Makers {
				r.Parts = append(r.Parts, words(c))
			}
			o, err := t.n.ScoreNames(r)
			if err != nil {
				log.Fatal(err)
			}
			if list {
				fmt.Printf("%-34s %v title %v %q maker %v %q parts %v %q\n", t.n.Name, i%4 == 0, o.Title, r.Title,
					o.Maker, r.Maker, o.Parts, r.Parts)
			}
			if dump {
				t.dump(found, words)
			}
			if i%4 == 0 {
				spoken.Add(o)
			} else {
				shown.Add(o)
			}
		}
	}
	fmt.Printf("names as meant   %s\nas captioned     %s\n", line(&spoken), line(&shown))
}

// dump lists the places of makers that are taken wrongly.
func (t *marked) dump(found name.Found, words func(name.Choice) string) {
	have := map[[2]int]bool{}
	for _, c := range found.Makers {
		have[[2]int{c.First, c.Last}] = true
		if !t.makers[[2]int{c.First, c.Last}] && !t.hidden[c.First] {
			fmt.Printf("  false  %-20q in %q %.2f\n", words(c), t.around(c.First, c.Last), c.Score)
		}
	}
	for s := range t.makers {
		if !have[s] {
			fmt.Printf("  missed %-20q in %q\n", words(name.Choice{First: s[0], Last: s[1]}), t.around(s[0], s[1]))
		}
	}
}

func (t *marked) around(a, b int) string {
	from, to := max(0, a-4), min(len(t.items.Spans), b+4)
	return t.doc.Words(t.items.Spans[from][0], t.items.Spans[to-1][1])
}

func save(file string, m *name.Model, seen map[string]int, narrations int) error {
	h := fit.Head{What: "Weights of the models of package name (doc.go), natural logarithms",
		By: "./internal/namefit", From: narrations,
		Columns: "# feature   what was seen (see.go, find.go, title.go); M: of the whole file, T: of " +
			"a title, O: of the product's maker\n" +
			"# n         how often the narrations have it\n"}
	return fit.Save(file, h, func(w io.Writer) error { return m.Write(w, seen) })
}
