package archive

import (
	"cmp"
	"context"
	"fmt"
	"saywatt/internal/archive/store"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/blevesearch/bleve/v2/index/scorch"
	index "github.com/blevesearch/bleve_index_api"
)

// A view is one generation of the index, opened to read. Its methods may be
// called from several goroutines; each call that fails has found the index
// broken.
type view struct {
	manifest *store.Manifest
	scorch   *scorch.Scorch
	reader   index.IndexReader
	numbers  int    // documents have numbers below this
	live     bitset // those that are there
	broken   atomic.Bool

	refs atomic.Int32

	mu      sync.Mutex
	columns map[string]*column
}

// A column is one value, or a few, of every document.
type column struct {
	values []string   // in order of bytes
	one    []int32    // by document number: index into values of its first value, -1 for none
	more   [][2]int32 // further values: document number, index
}

func openView(dir string, m *store.Manifest, seen *store.Checked) (v *view, err error) {
	defer guard(&err)
	if err := m.Check(dir, seen); err != nil {
		return nil, err
	}
	s, err := openScorch(m.Dir(dir), nil)
	if err != nil {
		return nil, describe(err)
	}
	v = &view{manifest: m, scorch: s, columns: map[string]*column{}}
	if v.reader, err = s.Reader(); err != nil {
		s.Close()
		return nil, describe(err)
	}
	ids, err := v.reader.DocIDReaderAll()
	if err != nil {
		v.reader.Close()
		s.Close()
		return nil, describe(err)
	}
	defer ids.Close()
	for id, err := ids.Next(); id != nil; id, err = ids.Next() {
		if err != nil {
			return nil, describe(err)
		}
		n := id.Value()
		for uint64(len(v.live))*64 <= n {
			v.live = append(v.live, 0)
		}
		v.live.set(n)
		v.numbers = int(n) + 1
	}
	// A writer may have removed this generation for a newer one between the
	// check and the opening, which then finds fewer documents without a word.
	if err := m.Present(dir); err != nil {
		v.reader.Close()
		s.Close()
		return nil, err
	}
	v.retain()
	return v, nil
}

// guard turns a panic inside the index into an error: what is read is a file,
// and a file may hold anything.
func guard(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("%w: %v", store.ErrIndex, p)
	}
}

func (v *view) retain() { v.refs.Add(1) }

func (v *view) release() error {
	if v.refs.Add(-1) > 0 {
		return nil
	}
	v.reader.Close()
	return v.scorch.Close()
}

// postings adds the documents that have a term.
func (v *view) postings(into bitset, field string, term []byte) error {
	t, err := v.reader.TermFieldReader(context.Background(), term, field, false, false, false)
	if err != nil {
		return describe(err)
	}
	defer t.Close()
	var doc index.TermFieldDoc
	for {
		d, err := t.Next(&doc)
		if err != nil {
			return describe(err)
		}
		if d == nil {
			return nil
		}
		into.set(d.ID.Value())
	}
}

// term is the set of documents that have a term.
func (v *view) term(field, term string) (bitset, error) {
	b := newBitset(v.numbers)
	return b, v.postings(b, field, []byte(term))
}

// scan gives the terms of a field from one to another, both included, until f
// returns false.
func (v *view) scan(field, from, to string, f func(term string, count uint64) bool) error {
	d, err := v.reader.FieldDictRange(field, []byte(from), []byte(to))
	if err != nil {
		return describe(err)
	}
	return walk(d, f)
}

// prefixed gives the terms with a prefix.
func (v *view) prefixed(field, prefix string, f func(term string, count uint64) bool) error {
	d, err := v.reader.FieldDictPrefix(field, []byte(prefix))
	if err != nil {
		return describe(err)
	}
	return walk(d, f)
}

// near gives the terms of a field with a prefix that are at most so many
// letters off. Their counts are not shown.
func (v *view) near(field, term, prefix string, letters int, f func(term string, count uint64) bool) error {
	fuzzy, ok := v.reader.(index.IndexReaderFuzzy)
	if !ok {
		return nil
	}
	d, err := fuzzy.FieldDictFuzzy(field, term, letters, prefix)
	if err != nil {
		return describe(err)
	}
	return walk(d, f)
}

func walk(d index.FieldDict, f func(string, uint64) bool) error {
	defer d.Close()
	for {
		e, err := d.Next()
		if err != nil {
			return describe(err)
		}
		if e == nil || !f(e.Term, e.Count) {
			return nil
		}
	}
}

// has reports whether any live document has a term.
func (v *view) has(field, term string) (bool, error) {
	t, err := v.reader.TermFieldReader(context.Background(), []byte(term), field, false, false, false)
	if err != nil {
		return false, describe(err)
	}
	defer t.Close()
	return t.Count() > 0, nil
}

// review returns the review of a name as the index keeps it, nil where there
// is none.
func (v *view) review(name string) (rv *Review) {
	defer func() {
		if recover() != nil {
			v.broken.Store(true)
			rv = nil
		}
	}()
	d, err := v.reader.Document(name)
	if err != nil || d == nil {
		return nil
	}
	d.VisitFields(func(f index.Field) {
		if f.Name() == fieldStored {
			rv, err = readStored(f.Value())
		}
	})
	return rv
}

// name is the review's name by the document's number.
func (v *view) name(n uint64) (string, error) {
	id, err := v.reader.ExternalID(index.NewIndexInternalID(nil, n))
	return id, describe(err)
}

// column makes a column, once.
func (v *view) column(name string) (*column, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if c := v.columns[name]; c != nil {
		return c, nil
	}
	c := &column{one: make([]int32, v.numbers)}
	for i := range c.one {
		c.one[i] = -1
	}
	var terms []string
	err := v.prefixed(fieldColumns, name+sep, func(term string, _ uint64) bool {
		terms = append(terms, term)
		return true
	})
	if err != nil {
		return nil, err
	}
	for _, term := range terms {
		t, err := v.reader.TermFieldReader(context.Background(), []byte(term), fieldColumns, false, false, false)
		if err != nil {
			return nil, describe(err)
		}
		n := int32(len(c.values))
		c.values = append(c.values, strings.TrimPrefix(term, name+sep))
		var doc index.TermFieldDoc
		for d, err := t.Next(&doc); d != nil; d, err = t.Next(&doc) {
			if err != nil {
				t.Close()
				return nil, describe(err)
			}
			if doc := d.ID.Value(); c.one[doc] < 0 {
				c.one[doc] = n
			} else {
				c.more = append(c.more, [2]int32{int32(doc), n})
			}
		}
		t.Close()
	}
	v.columns[name] = c
	return c, nil
}

// count counts the values of a column in a set, most first.
func (c *column) count(in bitset) []Count {
	n := make([]int, len(c.values))
	in.each(func(doc uint64) bool {
		if i := c.one[doc]; i >= 0 {
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
	for i, value := range c.values {
		if n[i] > 0 {
			all = append(all, Count{value, n[i]})
		}
	}
	slices.SortStableFunc(all, func(a, b Count) int { return cmp.Compare(b.N, a.N) })
	return all
}
