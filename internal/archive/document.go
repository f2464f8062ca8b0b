package archive

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/export/account"
	"saywatt/schema"
)

// Bounds of what one review may put into the index.
const (
	maxRun  = 6  // words of a name that are found as a run
	maxItem = 12 // elements of a level or part that are paired
)

// newDocument makes the document of a review from its record.
func newDocument(rv *Review, r *schema.Record) *index.Document {
	b := builder{index.NewTerms(index.FieldWords, 600), index.NewTerms(index.FieldNames, 200),
		index.NewTerms(index.FieldValues, 400),
		index.NewTerms(index.FieldRanges, 16), index.NewTerms(index.FieldItems, 200),
		index.NewTerms(index.FieldColumns, 24)}
	facts := facts(r)
	for i := range facts {
		b.fact(&facts[i])
	}
	b.places(facts)
	b.name("review", rv.Name)
	b.name("name", rv.Given)
	b.text(rv.Given)
	for _, c := range columns(rv, r, facts) {
		b.columns.Add(c.name, index.Sep, c.value)
		if c.name == "class" || c.name == "year" || c.name == "status" {
			b.name(c.name, c.value)
		}
	}
	b.itemPairs(r, facts)
	d := index.NewDocument(rv.Name)
	for _, t := range []*index.Terms{b.words, b.names, b.values, b.ranges, b.items, b.columns} {
		d.Take(t)
	}
	d.Keep(index.FieldStored, rv.stored())
	if open := storedOpen(r); open != nil {
		d.Keep(index.FieldOpen, open)
	}
	return d
}

// builder gathers terms.
type builder struct {
	words, names, values, ranges, items, columns *index.Terms
}

func (b *builder) fact(f *Fact) {
	switch {
	case f.Quantity != nil:
		b.value(f)
		if f.follows() {
			break
		}
		b.text(f.Quantity.String())
		if !strings.Contains(f.Context, " "+f.Heard+" ") {
			b.text(f.Heard)
		}
		b.text(f.Context)
	case len(f.fields) == 0 || f.fields[0] != "file":
		b.text(f.Text)
		b.text(f.Context)
	}
	for _, name := range f.fields {
		b.name(name, f.Text)
	}
	if f.Property == "" && f.Quantity == nil { // for near spellings
		if partName(f.Path) || len(f.fields) > 0 &&
			(f.fields[0] == "maker" || f.fields[0] == "name" || f.fields[0] == "model" || f.fields[0] == "kind") {
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
func (b *builder) value(f *Fact) {
	f.paths(func(group, name string) {
		dot := "."
		if group == "" {
			dot = ""
		}
		if f.Quantity.Range {
			b.ranges.Add(group, dot, name, index.Sep, f.low, index.Sep, f.high)
			return
		}
		b.values.Add(group, dot, name, index.NumberMark, f.low)
		b.values.Add(group, dot, name, index.BucketMark, index.Bucket(f.low))
	})
}

// places adds the values of the product that may belong elsewhere, under each of
// their paths. One that is said again is as sure as the surest.
func (b *builder) places(facts []Fact) {
	if !slices.ContainsFunc(facts, func(f Fact) bool { return f.Place != schema.PlaceSure }) {
		return
	}
	surest := map[[2]string]schema.PlaceDoubt{}
	for i := range facts {
		f := &facts[i]
		if f.Quantity == nil || f.Quantity.Range || !f.ofProduct {
			continue
		}
		f.paths(func(group, name string) {
			key := [2]string{dotted(group, name), f.low}
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
func (b *builder) itemPairs(r *schema.Record, facts []Fact) {
	for i := 0; i < len(facts); {
		item := facts[i].item
		k := i + 1
		for k < len(facts) && facts[k].item == item {
			k++
		}
		if kind, n := itemOf(item); kind != "" {
			var own []string
			for j := i; j < k && len(own) < maxItem; j++ {
				own = append(own, facts[j].kind+"="+facts[j].low+"_"+facts[j].high)
			}
			for _, name := range itemWords(r, kind, n) {
				b.items.Add(kind, index.Sep, name)
				for x := range own {
					b.items.Add(kind, index.Sep, name, index.Sep, own[x])
				}
			}
			for x := range own {
				for y := range own[:x] {
					b.items.Add(kind, index.Sep, index.Sep, min(own[x], own[y]), index.Sep, max(own[x], own[y]))
				}
			}
		}
		i = k
	}
	// Parts without ratings have no facts of their own that are values.
	for n := range r.Components {
		for _, name := range itemWords(r, "part", n) {
			b.items.Add("part", index.Sep, name)
		}
	}
	for i := range r.Components {
		for _, name := range kindNames(r.Components[i].Kind) {
			b.names.Add(partsField, index.Sep, name)
		}
	}
}

// pairTerm spells two elements that stand in one item.
func pairTerm(kind, a, b string) string {
	return kind + index.Sep + index.Sep + min(a, b) + index.Sep + max(a, b)
}

// itemOf reads levels[3] or components[2].
func itemOf(path string) (kind string, n int) {
	name, rest, ok := strings.Cut(path, "[")
	if !ok {
		return "", 0
	}
	for _, c := range strings.TrimSuffix(rest, "]") {
		if !query.IsDigit(c) {
			return "", 0
		}
		n = 10*n + int(c-'0')
	}
	switch name {
	case "levels":
		return "level", n
	case "components":
		return "part", n
	}
	return "", 0
}

// itemWords are the words by which a level or part is asked for: "" stands for
// none. Several words in a question are looked up one by one.
func itemWords(r *schema.Record, kind string, n int) []string {
	all := []string{""}
	if kind == "level" {
		l := &r.Levels[n]
		return append(all, query.Words(l.Protocol+" "+l.Port+" "+direction(l.Mode))...)
	}
	c := &r.Components[n]
	return append(all, query.Words(c.Kind+" "+c.Maker+" "+c.Part+" "+c.Package)...)
}

// elementTerm spells a quantity as an element of an item.
func elementTerm(q *schema.Quantity) string {
	low, high, kind := values(q)
	return kind + "=" + low + "_" + high
}

// A columnValue is what results are counted or sorted by.
type columnValue struct{ name, value string }

// columns are the values of a review in the columns of the index.
func columns(rv *Review, r *schema.Record, facts []Fact) []columnValue {
	var all []columnValue
	add := func(name, value string) {
		if value = strings.TrimSpace(value); value != "" {
			all = append(all, columnValue{name, value})
		}
	}
	v := query.Known()
	add("kind", r.Product.Kind)
	add("maker", r.Product.Maker)
	add("status", recordStatus(r))
	if n := len(openOf(r)); n > 0 {
		add(columnOpen, strconv.Itoa(n))
	}
	if n := account.Of(r).Names; n > 0 {
		add(columnNames, strconv.Itoa(n))
	}
	add("sort name", cmp.Or(query.Folded(rv.Given), query.Folded(rv.Product), query.Folded(rv.Name))+" "+rv.Name)
	if !rv.Added.IsZero() {
		add("year", rv.Added.UTC().Format("2006"))
		add("sort added", rv.Added.UTC().Format("2006-01-02T15:04:05"))
	}
	power, _ := highestOutput(facts)
	seen := map[string]bool{}
	for i := range facts {
		f := &facts[i]
		for _, name := range f.fields {
			if (name == "protocol" || name == "cell") && !seen[name+f.Text] {
				seen[name+f.Text] = true
				add(name, f.Text)
			}
		}
	}
	if power.Sign() > 0 {
		add("class", v.ClassOf(power))
		add("sort power", index.Sortable(power))
	}
	if r.Body.Mass != nil {
		if kg, kind := query.SI(r.Body.Mass.Quantity.High, r.Body.Mass.Quantity.Unit); kind == "mass" {
			add("sort mass", index.Sortable(kg))
		}
	}
	return all
}

// recordStatus is the status of a record as a whole: open where anything waits
// for a person, else the most that was done to it.
func recordStatus(r *schema.Record) string {
	for _, s := range [...]schema.Status{schema.StatusOpen, schema.StatusSettled, schema.StatusRepaired} {
		if slices.ContainsFunc(r.Quantities, func(q schema.Said) bool { return q.Status == s }) {
			return s.String()
		}
	}
	return schema.StatusHeard.String()
}

// The methods of index.Document.
