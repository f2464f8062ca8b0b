package query

import (
	"slices"
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/schema"
)

// Vocabulary is what the query language knows by name.
type Vocabulary struct {
	Fields     map[string]bool     // that queries ask by name
	facets     []string            // in table order
	Properties map[string]Property // by their words
	groups     map[string]string   // words to path
	classes    []powerClass
	fieldOf    map[string]string   // field, by what else people call it
	Apart      map[string][]string // subjects to count in place of a property
}

// A Property is what a condition can be about.
type Property struct {
	Path   string // of its values in the index
	kinds  []string
	number bool // counted without a unit
}

// Has reports whether the property can be of the physical kind.
func (p Property) Has(kind string) bool {
	for _, k := range p.kinds {
		if k == kind || k == "-" {
			return true
		}
	}
	return p.number && kind == NumberKind
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
		known[Folded(kind)] = true
	}
	return known
})

// Known is the vocabulary of the embedded tables, read once.
var Known = sync.OnceValue(func() *Vocabulary {
	v := &Vocabulary{Fields: map[string]bool{}, fieldOf: map[string]string{}, Properties: map[string]Property{},
		groups: map[string]string{}, Apart: map[string][]string{}}
	for _, r := range schema.MustReadTable(tables, "tables/fields.tsv").Rows {
		v.Fields[r.Get("field")] = true
		for _, word := range strings.Fields(r.Get("also")) {
			v.fieldOf[word] = r.Get("field")
		}
		if r.Get("facet") == "yes" {
			v.facets = append(v.facets, r.Get("field"))
		}
	}
	for k := schema.KindUnknown + 1; k < schema.KindOther; k++ {
		name := k.String()
		v.Properties[strings.ReplaceAll(name, "_", " ")] = Property{Path: name, kinds: []string{name}}
	}
	for _, r := range schema.MustReadTable(tables, "tables/subjects.tsv").Rows {
		if r.Get("role") == "group" {
			v.groups[r.Get("words")] = r.Get("path")
			continue
		}
		p := Property{Path: r.Get("path"), kinds: strings.Split(r.Get("kinds"), "|")}
		p.number = p.kinds[0] == NumberKind
		v.Properties[r.Get("words")] = p
	}
	for _, r := range schema.MustReadTable(tables, "tables/classes.tsv").Rows {
		c := powerClass{class: r.Get("class"), last: r.Get("top") == "-"}
		if !c.last {
			c.top = schema.MustDecimal(r.Get("top"))
		}
		v.classes = append(v.classes, c)
	}
	for _, r := range schema.MustReadTable(tables, "tables/apart.tsv").Rows {
		v.Apart[r.Get("property")] = append(v.Apart[r.Get("property")], r.Get("subject"))
	}
	return v
})

// Facets are the fields by which results can be counted.
func Facets() []string { return append([]string(nil), Known().facets...) }

// ClassOf is the power class of a power in watts.
func (v *Vocabulary) ClassOf(w schema.Decimal) string {
	for _, c := range v.classes {
		if c.last || w.Cmp(c.top) <= 0 {
			return c.class
		}
	}
	return ""
}

// Apart lists the subjects to ask for in place of one that means several
// things, nil where it means one: the power of an output, that of an input and
// that without a load have no median together.
func Apart(subject string) []string {
	return slices.Clone(Known().Apart[Folded(strings.ReplaceAll(subject, "_", " "))])
}
