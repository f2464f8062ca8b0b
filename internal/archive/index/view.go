package index

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/blevesearch/bleve/v2/index/scorch"
	api "github.com/blevesearch/bleve_index_api"

	"saywatt/internal/archive/store"
)

// View is one generation of the index, opened to read. Its methods may be
// called from several goroutines; each call that fails has found the index
// broken.
type View struct {
	Manifest *store.Manifest
	scorch   *scorch.Scorch
	reader   api.IndexReader
	Numbers  int         // documents have numbers below this
	Live     Set         // those that are there
	Broken   atomic.Bool // something in it was found damaged

	refs atomic.Int32

	mu      sync.Mutex
	columns map[string]*Column
}

// Column is one value, or a few, of every document.
type Column struct {
	Values []string   // in order of bytes
	One    []int32    // by document number: index into values of its first value, -1 for none
	more   [][2]int32 // further values: document number, index
}

// Open opens the generation that a manifest names, when its files are those of the
// manifest; the caller has one reference. Whatever is wrong with it is a
// store.ErrIndex.
func Open(dir string, m *store.Manifest, seen *store.Checked) (v *View, err error) {
	defer Guard(&err)
	if err := m.Check(dir, seen); err != nil {
		return nil, err
	}
	s, err := openScorch(m.Dir(dir), nil)
	if err != nil {
		return nil, Describe(err)
	}
	v = &View{Manifest: m, scorch: s, columns: map[string]*Column{}}
	if v.reader, err = s.Reader(); err != nil {
		s.Close()
		return nil, Describe(err)
	}
	ids, err := v.reader.DocIDReaderAll()
	if err != nil {
		v.reader.Close()
		s.Close()
		return nil, Describe(err)
	}
	defer ids.Close()
	for id, err := ids.Next(); id != nil; id, err = ids.Next() {
		if err != nil {
			return nil, Describe(err)
		}
		n := id.Value()
		for uint64(len(v.Live))*64 <= n {
			v.Live = append(v.Live, 0)
		}
		v.Live.Set(n)
		v.Numbers = int(n) + 1
	}
	// A writer may have removed this generation for a newer one between the
	// check and the opening, which then finds fewer documents without a word.
	if err := m.Present(dir); err != nil {
		v.reader.Close()
		s.Close()
		return nil, err
	}
	v.Retain()
	return v, nil
}

// Guard turns a panic inside the index into an error: what is read is a file,
// and a file may hold anything.
func Guard(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("%w: %v", store.ErrIndex, p)
	}
}

// Retain adds a reference.
func (v *View) Retain() { v.refs.Add(1) }

// Release takes a reference back; the last one closes the index.
func (v *View) Release() error {
	if v.refs.Add(-1) > 0 {
		return nil
	}
	v.reader.Close()
	return v.scorch.Close()
}

// Postings adds the documents that have a term.
func (v *View) Postings(into Set, field string, term []byte) error {
	t, err := v.reader.TermFieldReader(context.Background(), term, field, false, false, false)
	if err != nil {
		return Describe(err)
	}
	defer t.Close()
	var doc api.TermFieldDoc
	for {
		d, err := t.Next(&doc)
		if err != nil {
			return Describe(err)
		}
		if d == nil {
			return nil
		}
		into.Set(d.ID.Value())
	}
}

// Term is the set of documents that have a term.
func (v *View) Term(field, term string) (Set, error) {
	b := NewSet(v.Numbers)
	return b, v.Postings(b, field, []byte(term))
}

// Scan gives the terms of a field from one to another, both included, until f
// returns false.
func (v *View) Scan(field, from, to string, f func(term string, count uint64) bool) error {
	d, err := v.reader.FieldDictRange(field, []byte(from), []byte(to))
	if err != nil {
		return Describe(err)
	}
	return walk(d, f)
}

// Prefixed gives the terms with a prefix.
func (v *View) Prefixed(field, prefix string, f func(term string, count uint64) bool) error {
	d, err := v.reader.FieldDictPrefix(field, []byte(prefix))
	if err != nil {
		return Describe(err)
	}
	return walk(d, f)
}

// Near gives the terms of a field with a prefix that are at most so many
// letters off. Their counts are not shown.
func (v *View) Near(field, term, prefix string, letters int, f func(term string, count uint64) bool) error {
	fuzzy, ok := v.reader.(api.IndexReaderFuzzy)
	if !ok {
		return nil
	}
	d, err := fuzzy.FieldDictFuzzy(field, term, letters, prefix)
	if err != nil {
		return Describe(err)
	}
	return walk(d, f)
}

func walk(d api.FieldDict, f func(string, uint64) bool) error {
	defer d.Close()
	for {
		e, err := d.Next()
		if err != nil {
			return Describe(err)
		}
		if e == nil || !f(e.Term, e.Count) {
			return nil
		}
	}
}

// Has reports whether any live document has a term.
func (v *View) Has(field, term string) (bool, error) {
	t, err := v.reader.TermFieldReader(context.Background(), []byte(term), field, false, false, false)
	if err != nil {
		return false, Describe(err)
	}
	defer t.Close()
	return t.Count() > 0, nil
}

// Stored gives on what a field keeps of a document, where it keeps anything.
func (v *View) Stored(id, field string, f func([]byte)) error {
	d, err := v.reader.Document(id)
	if err != nil || d == nil {
		return Describe(err)
	}
	d.VisitFields(func(x api.Field) {
		if x.Name() == field {
			f(x.Value())
		}
	})
	return nil
}

// Name is the id of a document by its number.
func (v *View) Name(n uint64) (string, error) {
	id, err := v.reader.ExternalID(api.NewIndexInternalID(nil, n))
	return id, Describe(err)
}

// Column makes a column, once.
func (v *View) Column(name string) (*Column, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if c := v.columns[name]; c != nil {
		return c, nil
	}
	c := &Column{One: make([]int32, v.Numbers)}
	for i := range c.One {
		c.One[i] = -1
	}
	var terms []string
	err := v.Prefixed(FieldColumns, name+Sep, func(term string, _ uint64) bool {
		terms = append(terms, term)
		return true
	})
	if err != nil {
		return nil, err
	}
	for _, term := range terms {
		t, err := v.reader.TermFieldReader(context.Background(), []byte(term), FieldColumns, false, false, false)
		if err != nil {
			return nil, Describe(err)
		}
		n := int32(len(c.Values))
		c.Values = append(c.Values, strings.TrimPrefix(term, name+Sep))
		var doc api.TermFieldDoc
		for d, err := t.Next(&doc); d != nil; d, err = t.Next(&doc) {
			if err != nil {
				t.Close()
				return nil, Describe(err)
			}
			if doc := d.ID.Value(); c.One[doc] < 0 {
				c.One[doc] = n
			} else {
				c.more = append(c.more, [2]int32{int32(doc), n})
			}
		}
		t.Close()
	}
	v.columns[name] = c
	return c, nil
}

// Count counts the values of a column in a set, most first.
func (c *Column) Count(in Set) []Count {
	n := make([]int, len(c.Values))
	in.Each(func(doc uint64) bool {
		if i := c.One[doc]; i >= 0 {
			n[i]++
		}
		return true
	})
	for _, m := range c.more {
		if in.has(uint64(m[0])) {
			n[m[1]]++
		}
	}
	var all []Count
	for i, value := range c.Values {
		if n[i] > 0 {
			all = append(all, Count{value, n[i]})
		}
	}
	slices.SortStableFunc(all, func(a, b Count) int { return cmp.Compare(b.N, a.N) })
	return all
}

// Count is a value and how many results have it.
type Count struct {
	Value string
	N     int
}

// First is the first value of a document.
func (c *Column) First(doc uint64) (string, bool) {
	if i := c.One[doc]; i >= 0 {
		return c.Values[i], true
	}
	return "", false
}
