package archive

import (
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/schema"
)

// vocabulary is what the query language knows by name.
type vocabulary struct {
	fields     map[string]bool
	facets     []string // in table order
	properties map[string]property
	groups     map[string]string // words to path
	classes    []powerClass
	fieldOf    map[string]string   // field, by what else people call it
	apart      map[string][]string // subjects to count in place of a property
}

// A property is what a condition can be about.
type property struct {
	path   string
	kinds  []string
	number bool // counted without a unit
}

// has reports whether the property can be of the physical kind.
func (p property) has(kind string) bool {
	for _, k := range p.kinds {
		if k == kind || k == "-" {
			return true
		}
	}
	return p.number && kind == numberKind
}

type powerClass struct {
	top   schema.Decimal
	last  bool
	class string
}

// knownParts are the kinds of part that a review can have, folded.
var knownParts = sync.OnceValue(func() map[string]bool {
	known := map[string]bool{}
	for _, kind := range extract.PartKinds() {
		known[folded(kind)] = true
	}
	return known
})

var loadVocabulary = sync.OnceValue(func() *vocabulary {
	v := &vocabulary{fields: map[string]bool{}, fieldOf: map[string]string{}, properties: map[string]property{},
		groups: map[string]string{}, apart: map[string][]string{}}
	for _, r := range schema.MustReadTable(tables, "tables/fields.tsv").Rows {
		v.fields[r.Get("field")] = true
		for _, word := range strings.Fields(r.Get("also")) {
			v.fieldOf[word] = r.Get("field")
		}
		if r.Get("facet") == "yes" {
			v.facets = append(v.facets, r.Get("field"))
		}
	}
	for k := schema.KindUnknown + 1; k < schema.KindOther; k++ {
		name := k.String()
		v.properties[strings.ReplaceAll(name, "_", " ")] = property{path: name, kinds: []string{name}}
	}
	for _, r := range schema.MustReadTable(tables, "tables/subjects.tsv").Rows {
		if r.Get("role") == "group" {
			v.groups[r.Get("words")] = r.Get("path")
			continue
		}
		p := property{path: r.Get("path"), kinds: strings.Split(r.Get("kinds"), "|")}
		p.number = p.kinds[0] == numberKind
		v.properties[r.Get("words")] = p
	}
	for _, r := range schema.MustReadTable(tables, "tables/classes.tsv").Rows {
		c := powerClass{class: r.Get("class"), last: r.Get("top") == "-"}
		if !c.last {
			c.top = schema.MustDecimal(r.Get("top"))
		}
		v.classes = append(v.classes, c)
	}
	for _, r := range schema.MustReadTable(tables, "tables/apart.tsv").Rows {
		v.apart[r.Get("property")] = append(v.apart[r.Get("property")], r.Get("subject"))
	}
	return v
})

// facets are the fields by which results can be counted.
func facets() []string { return append([]string(nil), loadVocabulary().facets...) }

// classOf is the power class of a power in watts.
func (v *vocabulary) classOf(w schema.Decimal) string {
	for _, c := range v.classes {
		if c.last || w.Cmp(c.top) <= 0 {
			return c.class
		}
	}
	return ""
}
