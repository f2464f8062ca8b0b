package normalize

import (
	"embed"
	"fmt"
	"math"
	"strconv"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

//go:embed tables/traits.tsv
var traitsTable string

// distortion is one row of distortions.tsv.
type distortion uint8

// The distortions, in the order of the table; a test holds the two together.
const (
	intact distortion = iota
	pointLost
	pointWordLost
	pointShownWrong
	pointMisheard
	zeroLost
	splitNumber
	andJoin
	teenTy
	homophone
	toAs2
	toLost
	rangeMerged
	mergedNumbers
	digitDropped
	tensLost
	signStuck
	unitDropped
	unitMisheard
	unitSwapped
	hourLost
	prefixLost
	letterCase
	prefixWrong
	code
	stray
	distortionEnd
)

var distortionNames = [distortionEnd]string{"intact", "point_lost", "point_word_lost", "point_shown_wrong",
	"point_misheard", "zero_lost",
	"split_number", "and_join", "teen_ty", "homophone", "to_as_2", "to_lost", "range_merged", "merged_numbers",
	"digit_dropped", "tens_lost", "sign_stuck", "unit_dropped", "unit_misheard", "unit_swapped",
	"hour_lost", "prefix_lost", "letter_case", "prefix_wrong", "code", "stray"}

// costs holds everything the engine's tables say about the channel: what
// captions do to spoken quantities.
type costs struct {
	cost      [distortionEnd]float32 // -ln P
	words     [distortionEnd]string
	n, of     [distortionEnd]float64 // the table's counts
	confusion map[schema.Unit][]confusion
	decimals  map[schema.Unit]formShare
	anyUnit   formShare
}

// formShare weighs values said with a decimal point against whole ones in a
// unit, relative to all units: factors for the density of the prior.
type formShare struct{ with, without float64 }

// confusion is one way for a clear unit to stand for another.
type confusion struct {
	unit schema.Unit
	by   distortion
	cost float32 // of the distortion and the share together
}

var loadCosts = sync.OnceValue(func() *costs {
	c := &costs{confusion: map[schema.Unit][]confusion{}}
	rows := schema.MustReadTable(tables, "tables/distortions.tsv").Rows
	if len(rows) != int(distortionEnd) {
		panic(fmt.Sprintf("distortions.tsv: %d rows, want %d", len(rows), distortionEnd))
	}
	byName := map[string]distortion{}
	for i, r := range rows {
		if r.Get("name") != distortionNames[i] {
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
		byName[r.Get("name")] = distortion(i)
	}
	for _, r := range schema.MustReadTable(tables, "tables/unitconfusions.tsv").Rows {
		by, ok := byName[r.Get("distortion")]
		if !ok {
			panic("unitconfusions.tsv: distortion " + r.Get("distortion"))
		}
		share, err := strconv.ParseFloat(r.Get("share"), 64)
		if err != nil {
			panic(err)
		}
		heard := schema.Unit(r.Get("heard"))
		c.confusion[heard] = append(c.confusion[heard],
			confusion{schema.Unit(r.Get("meant")), by, c.cost[by] - float32(math.Log(share))})
	}
	c.readDecimals()
	return c
})

// readDecimals reads decimals.tsv, smoothed with two imagined values at the
// overall share.
func (c *costs) readDecimals() {
	c.decimals = map[schema.Unit]formShare{}
	overall := 0.0
	for _, r := range schema.MustReadTable(tables, "tables/decimals.tsv").Rows {
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		with, err2 := strconv.ParseFloat(r.Get("with"), 64)
		if err1 != nil || err2 != nil {
			panic("decimals.tsv: counts of " + r.Get("unit"))
		}
		if overall == 0 { // the first row is *
			overall = with / n
			c.anyUnit = formShare{1, 1}
			continue
		}
		share := (with + 2*overall) / (n + 2)
		c.decimals[schema.Unit(r.Get("unit"))] = formShare{share / overall, (1 - share) / (1 - overall)}
	}
}

// form returns the factor for a number said in the unit: with a point or
// without.
func (c *costs) form(u schema.Unit, decimal bool) float64 {
	f, ok := c.decimals[u]
	if !ok {
		f = c.anyUnit
	}
	if decimal {
		return f.with
	}
	return f.without
}
