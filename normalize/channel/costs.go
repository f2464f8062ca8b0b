package channel

import (
	"embed"
	"fmt"
	"math"
	"slices"
	"strconv"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// Costs are what distortions cost, by the tables or by those and a person's own
// counts. They do not change.
type Costs struct {
	cost      [End]float32 // -ln P
	words     [End]string
	n, of     [End]float64 // the table's counts
	confusion map[schema.Unit][]Confusion
}

// Confusion is one way for a clear unit to stand for another.
type Confusion struct {
	Unit schema.Unit // that was said
	By   Distortion
	Cost float32 // of the distortion and of its going to this unit together
}

// Of returns the cost of a distortion: -ln P(heard | said).
func (c *Costs) Of(d Distortion) float32 { return c.cost[d] }

// Words returns what people read of a distortion: "the decimal point was lost".
func (c *Costs) Words(d Distortion) string { return c.words[d] }

// Confusions returns the units that may have been said where one is clearly shown, in
// the order of the table; nil for none.
func (c *Costs) Confusions(shown schema.Unit) []Confusion { return c.confusion[shown] }

// Default returns the costs by the tables. It panics where they do not hold together.
func Default() *Costs { return loadCosts() }

var loadCosts = sync.OnceValue(func() *Costs {
	c := &Costs{confusion: map[schema.Unit][]Confusion{}}
	rows := schema.MustReadTable(tables, "tables/distortions.tsv").Rows
	if len(rows) != int(End) {
		panic(fmt.Sprintf("distortions.tsv: %d rows, want %d", len(rows), End))
	}
	for i, r := range rows {
		if r.Get("name") != names[i] {
			panic("distortions.tsv: row order: " + r.Get("name"))
		}
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		of, err2 := strconv.ParseFloat(r.Get("of"), 64)
		if err1 != nil || err2 != nil || of < n {
			panic("distortions.tsv: counts of " + r.Get("name"))
		}
		c.n[i], c.of[i] = n, of
		c.cost[i] = costOf(n, of)
		c.words[i] = r.Get("words")
	}
	for _, r := range schema.MustReadTable(tables, "tables/unitconfusions.tsv").Rows {
		by, ok := parse(r.Get("distortion"))
		if !ok {
			panic("unitconfusions.tsv: distortion " + r.Get("distortion"))
		}
		share, err := strconv.ParseFloat(r.Get("share"), 64)
		if err != nil {
			panic(err)
		}
		heard := schema.Unit(r.Get("heard"))
		c.confusion[heard] = append(c.confusion[heard],
			Confusion{schema.Unit(r.Get("meant")), by, c.cost[by] - float32(math.Log(share))})
	}
	return c
})

// costOf is -ln of a share, with the usual add-half smoothing.
func costOf(n, of float64) float32 { return float32(-math.Log((n + 0.5) / (of + 1))) }

// With returns the costs by the table's counts and those learnt together, c itself
// where nothing was learnt. Beside a person's own counts those of the table are worth
// so many quantities (learned_worth).
func (c *Costs) With(l *Learned) *Costs {
	if l == nil || len(l.reviews) == 0 {
		return c
	}
	sum := l.sum()
	w := *c
	for d := range w.cost {
		if sum.of[d] == 0 {
			continue
		}
		worth := min(1, loadWeights().learnedWorth/c.of[d])
		w.cost[d] = costOf(worth*c.n[d]+float64(sum.n[d]), worth*c.of[d]+float64(sum.of[d]))
	}
	w.confusion = make(map[schema.Unit][]Confusion, len(c.confusion))
	for u, list := range c.confusion {
		list = slices.Clone(list)
		for i := range list {
			list[i].Cost += w.cost[list[i].By] - c.cost[list[i].By]
		}
		w.confusion[u] = list
	}
	return &w
}
