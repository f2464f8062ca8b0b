package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"

	"saywatt/extract"
	"saywatt/extract/place"
	"saywatt/internal/fit"
	"saywatt/internal/narration"
	"saywatt/schema"
)

// classUnit is a unit in a class of places.
type classUnit struct {
	class place.Class
	unit  schema.Unit
}

// unitCount says how often a unit was counted in a class, and in how many narrations.
type unitCount struct {
	n, bare, narrations, last int
}

// leastNarrations is how many narrations have to have a unit in a place for it to
// count.
const leastNarrations = 3

// countUnits counts the units of the places on narrations, and how often they were
// left out.
func countUnits(name string, all []*marked) error {
	counts := map[classUnit]*unitCount{}
	for k, t := range whole(all, all) {
		if t.n.ByEar() {
			continue
		}
		for i := range t.d.Mentions {
			m := &t.d.Mentions[i]
			mark := t.n.MarkAt(t.at, int(t.d.Tokens[m.First].Start), int(t.d.Tokens[m.Last-1].End), narration.Quantity)
			if mark == nil {
				continue
			}
			class, ok := t.n.Class(mark)
			_, known := mark.Meant.Unit.Info()
			if !ok || !known || class == place.None || !class.Fits(mark.Meant.Unit.Kind()) {
				continue
			}
			key := classUnit{class, mark.Meant.Unit}
			c := counts[key]
			if c == nil {
				c = &unitCount{}
				counts[key] = c
			}
			c.n++
			if m.From == extract.UnitNone {
				c.bare++
			}
			if c.last != k+1 {
				c.last = k + 1
				c.narrations++
			}
		}
	}
	h := fit.Head{What: "How often each unit is that of a class of places (placeunit.go)",
		By: "./internal/readfit -units", From: len(whole(all, all)),
		Columns: "# class       of places (extract/place/tables/classes.tsv)\n" +
			"# unit        UCUM code\n" +
			"# n           quantities counted\n" +
			"# bare        of them said without a unit\n" +
			"# narrations  that have one\n"}
	return fit.Save(name, h, func(out io.Writer) error {
		fmt.Fprint(out, "class\tunit\tn\tbare\tnarrations\n")
		for _, k := range slices.SortedFunc(maps.Keys(counts), func(a, b classUnit) int {
			return cmp.Or(cmp.Compare(a.class, b.class), -cmp.Compare(counts[a].n, counts[b].n),
				cmp.Compare(a.unit, b.unit))
		}) {
			if c := counts[k]; c.narrations >= leastNarrations {
				fmt.Fprintf(out, "%s\t%s\t%d\t%d\t%d\n", k.class, k.unit, c.n, c.bare, c.narrations)
			}
		}
		return nil
	})
}
