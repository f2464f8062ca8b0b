package edit

import (
	"sort"
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/schema"
)

// article is the class of words in tables/attributive.tsv that open a noun.
const article = "article"

// loadAttributive reads the table once: the class of each word.
var loadAttributive = sync.OnceValue(func() map[string]string {
	classes := map[string]string{}
	for _, r := range schema.MustReadTable(tables, "tables/attributive.tsv").Rows {
		classes[r.Get("word")] = r.Get("class")
	}
	return classes
})

// describes reports whether the quantity at a stretch of the text stands right
// behind an article and right before a word that can be a noun or open one: "a 100
// watt charger", not "a 100 watts of power" and not "gives 100 watts". A sign on
// either side, and the end of a paragraph, part them.
func (c *collector) describes(s schema.Span) bool {
	c.scan()
	first := sort.Search(len(c.tokens), func(i int) bool { return int(c.tokens[i].End) > s.Start })
	last := sort.Search(len(c.tokens), func(i int) bool { return int(c.tokens[i].Start) >= s.End }) - 1
	_, before := c.next(first, -1)
	_, behind := c.next(last, +1)
	class := func(t extract.Token) string {
		return loadAttributive()[strings.ToLower(string(c.t.Text[t.Start:t.End]))]
	}
	return before.Kind == extract.TokenWord && class(before) == article &&
		behind.Kind == extract.TokenWord && class(behind) == "" && !c.number(behind)
}
