package index

import (
	"bytes"

	api "github.com/blevesearch/bleve_index_api"
)

// The fields of the index; the doc of package terms says what each holds.
const (
	FieldWords   = "w"
	FieldNames   = "f"
	FieldValues  = "v"
	FieldRanges  = "r"
	FieldItems   = "i"
	FieldColumns = "c"
	FieldStored  = "s" // an indexed review as JSON, to show without its record
	FieldOpen    = "o" // its readings that wait for a person, as JSON
)

// Separators inside terms; no text has them, since words are letters and
// digits.
const (
	Sep        = "\x1f"
	BucketMark = "\x1fb"
	NumberMark = "\x1fn"
	PlaceMark  = "\x1fp" // and the doubt of the place, as a digit
)

// Terms gathers the terms of one field of one document, in the form that the
// index wants. Terms are put together in one buffer, so that those already
// there cost nothing.
type Terms struct {
	name        string
	frequencies api.TokenFrequencies
	slab        []api.TokenFreq
	term        []byte
	bytes       uint64
}

// NewTerms makes a set for about so many terms.
func NewTerms(name string, about int) *Terms {
	return &Terms{name: name, frequencies: make(api.TokenFrequencies, about)}
}

// Add adds a term, given in parts.
func (t *Terms) Add(parts ...string) {
	t.term = t.term[:0]
	for _, p := range parts {
		t.term = append(t.term, p...)
	}
	if _, there := t.frequencies[string(t.term)]; there {
		return
	}
	if len(t.slab) == 0 {
		t.slab = make([]api.TokenFreq, 128)
	}
	f := &t.slab[0]
	t.slab = t.slab[1:]
	f.Term = bytes.Clone(t.term)
	t.frequencies[string(t.term)] = f
	t.bytes += uint64(len(t.term))
}

// Document is what the index holds of one review, by the id that it is known by.
type Document struct {
	Name   string
	Fields []api.Field
	Bytes  uint64
}

// NewDocument makes a document that holds nothing yet.
func NewDocument(id string) *Document { return &Document{Name: id} }

// Take puts the terms of a field in.
func (d *Document) Take(t *Terms) {
	d.Fields = append(d.Fields, &termsField{t.name, t.frequencies, t.bytes})
	d.Bytes += t.bytes
}

// Keep puts a value in that is kept and not searched.
func (d *Document) Keep(field string, value []byte) {
	d.Fields = append(d.Fields, &storedField{field, value})
}

// The methods of api.Document.

func (d *Document) ID() string { return d.Name }

func (d *Document) Size() int { return int(d.Bytes) + 512 }

func (d *Document) HasComposite() bool { return false }

func (d *Document) Indexed() bool { return false }

func (d *Document) VisitFields(visit api.FieldVisitor) {
	for _, f := range d.Fields {
		visit(f)
	}
}

func (d *Document) VisitComposite(api.CompositeFieldVisitor) {}

func (d *Document) NumPlainTextBytes() uint64 { return d.Bytes }

func (d *Document) StoredFieldsBytes() uint64 { return 0 }

func (d *Document) AddIDField() {
	d.Fields = append(d.Fields,
		&idField{value: []byte(d.Name)})
}

// termsField is a field whose terms are known.
type termsField struct {
	name        string
	frequencies api.TokenFrequencies
	bytes       uint64
}

func (f *termsField) Name() string { return f.name }

func (f *termsField) Value() []byte { return nil }

func (f *termsField) ArrayPositions() []uint64 { return nil }

func (f *termsField) EncodedFieldType() byte { return 't' }

func (f *termsField) Analyze() {}

func (f *termsField) Options() api.FieldIndexingOptions {
	return api.IndexField | api.SkipFreqNorm
}

func (f *termsField) AnalyzedLength() int { return len(f.frequencies) }

func (f *termsField) NumPlainTextBytes() uint64 { return f.bytes }

func (f *termsField) AnalyzedTokenFrequencies() api.TokenFrequencies { return f.frequencies }

// storedField is kept as it is and not searched.
type storedField struct {
	name  string
	value []byte
}

func (f *storedField) Name() string { return f.name }

func (f *storedField) Value() []byte { return f.value }

func (f *storedField) ArrayPositions() []uint64 { return nil }

func (f *storedField) EncodedFieldType() byte { return 't' }

func (f *storedField) Analyze() {}

func (f *storedField) Options() api.FieldIndexingOptions { return api.StoreField }

func (f *storedField) AnalyzedLength() int { return 0 }

func (f *storedField) NumPlainTextBytes() uint64 { return uint64(len(f.value)) }

func (f *storedField) AnalyzedTokenFrequencies() api.TokenFrequencies { return nil }

// idField is the name of the document, stored and found.
type idField struct {
	value       []byte
	frequencies api.TokenFrequencies
}

func (f *idField) Name() string { return "_id" }

func (f *idField) Value() []byte { return f.value }

func (f *idField) ArrayPositions() []uint64 { return nil }

func (f *idField) EncodedFieldType() byte { return 't' }

func (f *idField) Analyze() {
	f.frequencies = api.TokenFrequencies{string(f.value): {Term: f.value}}
}

func (f *idField) Options() api.FieldIndexingOptions { return api.IndexField | api.StoreField }

func (f *idField) AnalyzedLength() int { return 1 }

func (f *idField) NumPlainTextBytes() uint64 { return uint64(len(f.value)) }

func (f *idField) AnalyzedTokenFrequencies() api.TokenFrequencies { return f.frequencies }
