package archive

import (
	"bytes"
	"cmp"
	"slices"
	"strconv"
	"strings"

	index "github.com/blevesearch/bleve_index_api"

	"saywatt/internal/archive/query"
	"saywatt/internal/export"
	"saywatt/schema"
)

// The fields of the index; doc.go says what each holds.
const (
	fieldWords   = "w"
	fieldNames   = "f"
	fieldValues  = "v"
	fieldRanges  = "r"
	fieldItems   = "i"
	fieldColumns = "c"
	fieldStored  = "s" // an indexed review as JSON, to show without its record
	fieldOpen    = "o" // its readings that wait for a person, as JSON
)

// Separators inside terms; no text has them, since words are letters and
// digits.
const (
	sep        = "\x1f"
	bucketMark = "\x1fb"
	numberMark = "\x1fn"
	placeMark  = "\x1fp" // and the doubt of the place, as a digit
)

// Bounds of what one review may put into the index.
const (
	maxRun  = 6  // words of a name that are found as a run
	maxItem = 12 // elements of a level or part that are paired
)

// terms gathers the terms of one field of one document, in the form that the
// index wants. Terms are put together in one buffer, so that those already
// there cost nothing.
type terms struct {
	name        string
	frequencies index.TokenFrequencies
	slab        []index.TokenFreq
	term        []byte
	bytes       uint64
}

// newTerms makes a set for about so many terms.
func newTerms(name string, about int) *terms {
	return &terms{name: name, frequencies: make(index.TokenFrequencies, about)}
}

// add adds a term, given in parts.
func (t *terms) add(parts ...string) {
	t.term = t.term[:0]
	for _, p := range parts {
		t.term = append(t.term, p...)
	}
	if _, there := t.frequencies[string(t.term)]; there {
		return
	}
	if len(t.slab) == 0 {
		t.slab = make([]index.TokenFreq, 128)
	}
	f := &t.slab[0]
	t.slab = t.slab[1:]
	f.Term = bytes.Clone(t.term)
	t.frequencies[string(t.term)] = f
	t.bytes += uint64(len(t.term))
}

// document is what the index holds of one review.
type document struct {
	id     string
	fields []index.Field
	bytes  uint64
}

// newDocument makes the document of a review from its record.
func newDocument(rv *Review, r *schema.Record) *document {
	b := builder{newTerms(fieldWords, 600), newTerms(fieldNames, 200), newTerms(fieldValues, 400),
		newTerms(fieldRanges, 16), newTerms(fieldItems, 200), newTerms(fieldColumns, 24)}
	facts := facts(r)
	for i := range facts {
		b.fact(&facts[i])
	}
	b.places(facts)
	b.name("review", rv.Name)
	b.name("name", rv.Given)
	b.text(rv.Given)
	for _, c := range columns(rv, r, facts) {
		b.columns.add(c.name, sep, c.value)
		if c.name == "class" || c.name == "year" || c.name == "status" {
			b.name(c.name, c.value)
		}
	}
	b.itemPairs(r, facts)
	d := &document{id: rv.Name}
	for _, t := range []*terms{b.words, b.names, b.values, b.ranges, b.items, b.columns} {
		d.fields = append(d.fields, &termsField{t.name, t.frequencies, t.bytes})
		d.bytes += t.bytes
	}
	d.fields = append(d.fields, &storedField{fieldStored, rv.stored()})
	if open := storedOpen(r); open != nil {
		d.fields = append(d.fields, &storedField{fieldOpen, open})
	}
	return d
}

// builder gathers terms.
type builder struct {
	words, names, values, ranges, items, columns *terms
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
	query.Runs(s, 2, func(run string) { b.words.add(run) })
}

// name adds every run of words of a value under a field.
func (b *builder) name(field, value string) {
	query.Runs(value, maxRun, func(run string) { b.names.add(field, sep, run) })
}

// value adds a quantity under each of its paths.
func (b *builder) value(f *Fact) {
	f.paths(func(group, name string) {
		dot := "."
		if group == "" {
			dot = ""
		}
		if f.Quantity.Range {
			b.ranges.add(group, dot, name, sep, f.low, sep, f.high)
			return
		}
		b.values.add(group, dot, name, numberMark, f.low)
		b.values.add(group, dot, name, bucketMark, bucket(f.low))
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
			b.values.add(key[0], placeMark, strconv.Itoa(int(d)), key[1])
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
				b.items.add(kind, sep, name)
				for x := range own {
					b.items.add(kind, sep, name, sep, own[x])
				}
			}
			for x := range own {
				for y := range own[:x] {
					b.items.add(kind, sep, sep, min(own[x], own[y]), sep, max(own[x], own[y]))
				}
			}
		}
		i = k
	}
	// Parts without ratings have no facts of their own that are values.
	for n := range r.Components {
		for _, name := range itemWords(r, "part", n) {
			b.items.add("part", sep, name)
		}
	}
	for i := range r.Components {
		for _, name := range kindNames(r.Components[i].Kind) {
			b.names.add(partsField, sep, name)
		}
	}
}

// pairTerm spells two elements that stand in one item.
func pairTerm(kind, a, b string) string { return kind + sep + sep + min(a, b) + sep + max(a, b) }

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
	if n := export.AccountOf(r).Names; n > 0 {
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
		add("sort power", sortable(power))
	}
	if r.Body.Mass != nil {
		if kg, kind := query.SI(r.Body.Mass.Quantity.High, r.Body.Mass.Quantity.Unit); kind == "mass" {
			add("sort mass", sortable(kg))
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

func (d *document) ID() string         { return d.id }
func (d *document) Size() int          { return int(d.bytes) + 512 }
func (d *document) HasComposite() bool { return false }
func (d *document) Indexed() bool      { return false }
func (d *document) VisitFields(visit index.FieldVisitor) {
	for _, f := range d.fields {
		visit(f)
	}
}
func (d *document) VisitComposite(index.CompositeFieldVisitor) {}
func (d *document) NumPlainTextBytes() uint64                  { return d.bytes }
func (d *document) StoredFieldsBytes() uint64                  { return 0 }
func (d *document) AddIDField() {
	d.fields = append(d.fields,
		&idField{value: []byte(d.id)})
}

// termsField is a field whose terms are known.
type termsField struct {
	name        string
	frequencies index.TokenFrequencies
	bytes       uint64
}

func (f *termsField) Name() string             { return f.name }
func (f *termsField) Value() []byte            { return nil }
func (f *termsField) ArrayPositions() []uint64 { return nil }
func (f *termsField) EncodedFieldType() byte   { return 't' }
func (f *termsField) Analyze()                 {}
func (f *termsField) Options() index.FieldIndexingOptions {
	return index.IndexField | index.SkipFreqNorm
}
func (f *termsField) AnalyzedLength() int                              { return len(f.frequencies) }
func (f *termsField) NumPlainTextBytes() uint64                        { return f.bytes }
func (f *termsField) AnalyzedTokenFrequencies() index.TokenFrequencies { return f.frequencies }

// storedField is kept as it is and not searched.
type storedField struct {
	name  string
	value []byte
}

func (f *storedField) Name() string                                     { return f.name }
func (f *storedField) Value() []byte                                    { return f.value }
func (f *storedField) ArrayPositions() []uint64                         { return nil }
func (f *storedField) EncodedFieldType() byte                           { return 't' }
func (f *storedField) Analyze()                                         {}
func (f *storedField) Options() index.FieldIndexingOptions              { return index.StoreField }
func (f *storedField) AnalyzedLength() int                              { return 0 }
func (f *storedField) NumPlainTextBytes() uint64                        { return uint64(len(f.value)) }
func (f *storedField) AnalyzedTokenFrequencies() index.TokenFrequencies { return nil }

// idField is the name of the document, stored and found.
type idField struct {
	value       []byte
	frequencies index.TokenFrequencies
}

func (f *idField) Name() string             { return "_id" }
func (f *idField) Value() []byte            { return f.value }
func (f *idField) ArrayPositions() []uint64 { return nil }
func (f *idField) EncodedFieldType() byte   { return 't' }
func (f *idField) Analyze() {
	f.frequencies = index.TokenFrequencies{string(f.value): {Term: f.value}}
}
func (f *idField) Options() index.FieldIndexingOptions              { return index.IndexField | index.StoreField }
func (f *idField) AnalyzedLength() int                              { return 1 }
func (f *idField) NumPlainTextBytes() uint64                        { return uint64(len(f.value)) }
func (f *idField) AnalyzedTokenFrequencies() index.TokenFrequencies { return f.frequencies }
