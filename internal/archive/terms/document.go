package terms

import (
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/index"
	"saywatt/internal/archive/match"
	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// Bounds of what one review may put into the index.
const (
	maxRun  = 6  // words of a name that are found as a run
	maxItem = 12 // elements of a level or part that are paired
)

// Document makes the document of a review.
func Document(s *match.Subject) *index.Document {
	b := builder{index.NewTerms(index.FieldWords, 600), index.NewTerms(index.FieldNames, 200),
		index.NewTerms(index.FieldValues, 400),
		index.NewTerms(index.FieldRanges, 16), index.NewTerms(index.FieldItems, 200),
		index.NewTerms(index.FieldColumns, 24), make([]spelled, len(s.Facts))}
	for i := range s.Facts {
		b.fact(&s.Facts[i], &b.spelled[i])
	}
	b.places(s.Facts)
	b.text(s.Title)
	for _, f := range s.Fields {
		b.name(f.Name, f.Value)
	}
	for _, c := range Columns(s) {
		b.columns.Add(c.Name, index.Sep, c.Value)
	}
	b.itemPairs(s)
	d := index.NewDocument(s.Name)
	for _, t := range []*index.Terms{b.words, b.names, b.values, b.ranges, b.items, b.columns} {
		d.Take(t)
	}
	return d
}

// builder gathers terms.
type builder struct {
	words, names, values, ranges, items, columns *index.Terms

	spelled []spelled // the values of the facts
}

// spelled is a value as the index spells it: its ends in the base unit, so that bytes
// sort as numbers do.
type spelled struct{ low, high string }

func spell(b *facts.Base) spelled {
	low := index.Sortable(b.Low)
	if b.Low.Equal(b.High) {
		return spelled{low, low}
	}
	return spelled{low, index.Sortable(b.High)}
}

func (b *builder) fact(f *facts.Fact, at *spelled) {
	switch {
	case f.Quantity != nil:
		*at = spell(&f.Base)
		b.value(f, at)
		if f.Follows() {
			break
		}
		b.text(f.Quantity.String())
		if !strings.Contains(f.Context, " "+f.Heard+" ") {
			b.text(f.Heard)
		}
		b.text(f.Context)
	case !f.IsFile():
		b.text(f.Text)
		b.text(f.Context)
	}
	for _, name := range f.Fields {
		b.name(name, f.Text)
	}
	if f.Property == "" && f.Quantity == nil { // for near spellings
		if partName(f.Path) || len(f.Fields) > 0 &&
			(f.Fields[0] == "maker" || f.Fields[0] == "name" || f.Fields[0] == "model" || f.Fields[0] == "kind") {
			b.name(namesField, f.Text)
		}
	}
}

// namesField is the field that holds all names of products, makers, parts and
// kinds, where near spellings are looked for; partsField the kinds of part.
const (
	namesField = "*"
	partsField = "part kind"
)

func partName(path string) bool {
	_, field := schema.ComponentField(path)
	return field == "kind" || field == "part" || path == "battery.cell.part"
}

// text adds words and pairs of neighbours.
func (b *builder) text(s string) {
	query.Runs(s, 2, func(run string) { b.words.Add(run) })
}

// name adds every run of words of a value under a field.
func (b *builder) name(field, value string) {
	query.Runs(value, maxRun, func(run string) { b.names.Add(field, index.Sep, run) })
}

// value adds a quantity under each of its paths.
func (b *builder) value(f *facts.Fact, at *spelled) {
	f.Paths(func(group, name string) {
		dot := "."
		if group == "" {
			dot = ""
		}
		if f.Quantity.Range {
			b.ranges.Add(group, dot, name, index.Sep, at.low, index.Sep, at.high)
			return
		}
		b.values.Add(group, dot, name, index.NumberMark, at.low)
		b.values.Add(group, dot, name, index.BucketMark, index.Bucket(at.low))
	})
}

// places adds the values of the product that may belong elsewhere, under each of
// their paths. One that is said again is as sure as the surest.
func (b *builder) places(all []facts.Fact) {
	if !slices.ContainsFunc(all, func(f facts.Fact) bool { return f.Place != schema.PlaceSure }) {
		return
	}
	surest := map[[2]string]schema.PlaceDoubt{}
	for i := range all {
		f := &all[i]
		if f.Quantity == nil || f.Quantity.Range || !f.OfProduct {
			continue
		}
		f.Paths(func(group, name string) {
			key := [2]string{dotted(group, name), b.spelled[i].low}
			if before, ok := surest[key]; !ok || f.Place < before {
				surest[key] = f.Place
			}
		})
	}
	for key, d := range surest { // a set: their order is the index's
		if d != schema.PlaceSure {
			b.values.Add(key[0], index.PlaceMark, strconv.Itoa(int(d)), key[1])
		}
	}
}

// dotted is a name in a group, or alone.
func dotted(group, name string) string {
	if group == "" {
		return name
	}
	return group + "." + name
}

// itemPairs adds what stands together in a level or part: each element with
// each word that names the item, and each two elements.
func (b *builder) itemPairs(s *match.Subject) {
	for i := 0; i < len(s.Facts); {
		item := s.Facts[i].Item
		k := i + 1
		for k < len(s.Facts) && s.Facts[k].Item == item {
			k++
		}
		if item.Kind != "" {
			var own []string
			for j := i; j < k && len(own) < maxItem; j++ {
				own = append(own, element(s.Facts[j].Base.Kind, &b.spelled[j]))
			}
			for _, name := range item.Words(s.Record) {
				b.items.Add(item.Kind, index.Sep, name)
				for x := range own {
					b.items.Add(item.Kind, index.Sep, name, index.Sep, own[x])
				}
			}
			for x := range own {
				for y := range own[:x] {
					b.items.Add(item.Kind, index.Sep, index.Sep, min(own[x], own[y]), index.Sep, max(own[x], own[y]))
				}
			}
		}
		i = k
	}
	// Parts without ratings have no facts of their own that are values.
	for n := range s.Record.Components {
		for _, name := range (facts.Item{Kind: facts.Part, N: n}).Words(s.Record) {
			b.items.Add(facts.Part, index.Sep, name)
		}
		for _, name := range facts.KindNames(s.Record.Components[n].Kind) {
			b.names.Add(partsField, index.Sep, name)
		}
	}
}

// element spells a value as an element of an item.
func element(kind string, at *spelled) string { return kind + "=" + at.low + "_" + at.high }

// elementOf is element of a quantity.
func elementOf(q *schema.Quantity) string {
	base := facts.BaseOf(q)
	at := spell(&base)
	return element(base.Kind, &at)
}

// pairTerm spells two elements that stand in one item.
func pairTerm(kind, a, b string) string {
	return kind + index.Sep + index.Sep + min(a, b) + index.Sep + max(a, b)
}
