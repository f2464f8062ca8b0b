package narration

import (
	"embed"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tableFiles embed.FS

// garbleRow is a row of tables/garbles.tsv.
type garbleRow struct {
	act, label string
	weight     int
	unclear    bool
}

// heardForm is a row of tables/misheard.tsv.
type heardForm struct {
	form string
	n    int
}

// unitWords is a row of tables/sayunits.tsv.
type unitWords struct{ prefix, base, one, many string }

// ratings is a row of tables/ratings.tsv.
type ratings struct {
	bases  []string
	decade bool
	values []schema.Decimal
}

// pair is a voltage with a current.
type pair struct{ v, a schema.Decimal }

func (p pair) power() schema.Decimal { return p.v.Mul(p.a) }

// levelList is a row of tables/levellists.tsv.
type levelList struct {
	port   string
	levels []pair
}

// makerTables are the tables that narrations are made from.
type makerTables struct {
	garbles     []garbleRow
	heard       map[string][]heardForm // by part and meaning: "base V"
	units       map[schema.Unit]unitWords
	homophones  [][2]string
	ratings     []ratings
	lists       []levelList
	families    [][2]string
	manners     map[string][]string
	first, last []string // of names
	number      map[int]string
	numberWords []string
}

var loadMakerTables = sync.OnceValue(func() *makerTables {
	t := &makerTables{heard: map[string][]heardForm{}, units: map[schema.Unit]unitWords{}, number: map[int]string{}}
	t.manners = map[string][]string{}
	for _, r := range schema.MustReadTable(tableFiles, "tables/manners.tsv").Rows {
		text := strings.ReplaceAll(r.Get("text"), "_", " ")
		t.manners[r.Get("what")] = append(t.manners[r.Get("what")], text)
	}
	rows := func(name string) []schema.Row { return schema.MustReadTable(tableFiles, "tables/"+name).Rows }
	whole := func(r schema.Row, column string) int {
		n, err := strconv.Atoi(r.Get(column))
		if err != nil {
			panic(fmt.Sprintf("%s in line %d: %v", column, r.Line, err))
		}
		return n
	}
	for _, r := range rows("garbles.tsv") {
		unclear := r.Get("unclear") == "yes"
		t.garbles = append(t.garbles, garbleRow{r.Get("garble"), r.Get("label"), whole(r, "weight"), unclear})
	}
	for _, r := range rows("misheard.tsv") {
		k := r.Get("part") + " " + r.Get("means")
		t.heard[k] = append(t.heard[k], heardForm{r.Get("form"), max(1, whole(r, "n"))})
	}
	for _, r := range rows("sayunits.tsv") {
		t.units[schema.Unit(r.Get("unit"))] = unitWords{r.Get("prefix"), r.Get("base"), r.Get("one"), r.Get("many")}
	}
	for _, r := range rows("homophones.tsv") {
		t.homophones = append(t.homophones, [2]string{r.Get("word"), r.Get("shown")})
	}
	for _, r := range rows("ratings.tsv") {
		row := ratings{bases: r.List("kinds"), decade: r.Get("form") == "decade"}
		for _, v := range r.List("values") {
			row.values = append(row.values, schema.MustDecimal(v))
		}
		t.ratings = append(t.ratings, row)
	}
	for _, r := range rows("levellists.tsv") {
		l := levelList{port: r.Get("port")}
		for _, s := range r.List("list") {
			v, a, _ := strings.Cut(s, "x")
			l.levels = append(l.levels, pair{schema.MustDecimal(v), schema.MustDecimal(a)})
		}
		t.lists = append(t.lists, l)
	}
	for _, r := range rows("families.tsv") {
		t.families = append(t.families, [2]string{r.Get("word"), r.Get("family")})
	}
	for _, r := range rows("names.tsv") {
		if r.Get("part") == "first" {
			t.first = append(t.first, r.Get("text"))
		} else {
			t.last = append(t.last, r.Get("text"))
		}
	}
	for _, r := range rows("numberwords.tsv") {
		t.numberWords = append(t.numberWords, r.Get("word"))
		if r.Get("value") != "-" {
			t.number[whole(r, "value")] = r.Get("word")
		}
	}
	return t
})

// family returns the kinds of product that a product is alike to, "" where the
// table has none.
func (t *makerTables) family(product string) string {
	for _, f := range t.families {
		if strings.Contains(product, f[0]) {
			return f[1]
		}
	}
	return ""
}
