package archive

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/internal/archive/terms"
	"saywatt/internal/export/word"
	"saywatt/schema"
)

// Request is what a search wants. The zero value lists everything by name.
type Request struct {
	Query  string // in the language of queries (package comment); "" finds all
	Sort   string // one of Sorts; "" is best
	Offset int    // results passed over
	Limit  int    // results listed; 0 means DefaultLimit
	Facets bool   // count the results by every facet
}

// DefaultLimit is how many results a page has.
const DefaultLimit = 20

// Sorts are the orders of results: best has those first whose names answer
// the words asked for; added and power have the latest and strongest first.
func Sorts() []string { return []string{"best", "name", "added", "power", "mass"} }

// Results answer a search.
type Results struct {
	Understood string // the query as it was read
	Notes      []string
	Total      int
	Offset     int
	Hits       []Hit
	Facets     []Facet
	Behind     bool // something was added just now that is not searched yet
	Damages    []*store.Damage
}

// Hit is one review found.
type Hit struct {
	Review  Review
	Matches []Match // the facts asked for, values and names before words
}

// Facet counts the results by one field.
type Facet struct {
	Field  string
	Counts []index.Count
}

// Search finds reviews. A query that cannot be read is a *Error.
func (a *Archive) Search(q Request) (*Results, error) {
	q, err := q.filled()
	if err != nil {
		return nil, err
	}
	var res *Results
	behind, err := a.with(func(v *index.View) (err error) {
		res, err = a.search(v, q)
		return err
	})
	if res != nil {
		res.Behind = behind
	}
	return res, err
}

// filled is the request with what was left out.
func (q Request) filled() (Request, error) {
	if q.Sort == "" {
		q.Sort = "best"
	}
	if !slices.Contains(Sorts(), q.Sort) {
		return q, fmt.Errorf("results cannot be sorted by %q%s; there are %s", q.Sort, alike.Meant(q.Sort, Sorts()),
			strings.Join(Sorts(), ", "))
	}
	if q.Limit <= 0 {
		q.Limit = DefaultLimit
	}
	q.Offset = max(q.Offset, 0)
	return q, nil
}

// with gives f the index, brought up to date where that can be done, and reports
// whether it could not. An index that turns out damaged is made again, once.
// Where this process may not write to the archive, it makes an index of its own
// aside if there is none that knows everything.
func (a *Archive) with(f func(*index.View) error) (behind bool, err error) {
	for attempt := range 2 {
		v, fresh := a.acquire()
		if v == nil || !fresh {
			var busy *store.BusyError
			err := a.refresh()
			if errors.As(err, new(*store.ReadOnlyError)) {
				err = a.buildAside()
			}
			if errors.As(err, &busy) && v != nil {
				err = nil // what is there will do
			} else {
				if v != nil {
					v.Release()
				}
				if err != nil {
					return false, err
				}
				if v, fresh = a.acquire(); v == nil {
					return false, store.ErrIndex
				}
			}
		}
		err = guarded(v, f)
		broken := errors.Is(err, store.ErrIndex)
		if broken {
			v.Broken.Store(true)
		}
		v.Release()
		if !broken || attempt > 0 {
			return !fresh, err
		}
		a.noteRepair(err)
		if _, err = a.Reindex(nil); errors.As(err, new(*store.ReadOnlyError)) {
			err = a.buildAside()
		}
		if err != nil {
			return false, err
		}
	}
	return false, err
}

// buildAside makes an index for this process alone, in a folder for temporary
// files. Close removes it.
func (a *Archive) buildAside() error {
	size, err := a.journal.Size()
	if err != nil {
		return err
	}
	b, err := a.replay(size)
	if err != nil {
		return err
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	dir, err := a.aside.made()
	if err != nil {
		return fmt.Errorf("archive %s cannot be written, and no index can be made aside: %w", a.dir, err)
	}
	_, err = a.build(dir, b, size, nil)
	return err
}

func guarded(v *index.View, f func(*index.View) error) (err error) {
	defer index.Guard(&err)
	return f(v)
}

func (a *Archive) search(v *index.View, q Request) (*Results, error) {
	e := &terms.Finder{View: v}
	query, found, err := e.Find(q.Query)
	if err != nil {
		return nil, err
	}
	res := &Results{Understood: query.String(), Notes: noted(e, q.Query, query, found), Total: found.Count(),
		Offset: q.Offset}
	if q.Facets {
		if res.Facets, err = facetsIn(v, found); err != nil {
			return nil, err
		}
	}
	page, err := pageOf(e, query.Root, found, q)
	if err != nil {
		return nil, err
	}
	res.Hits, res.Damages, err = a.hits(v, query.Root, page)
	return res, err
}

// Notes says of a query what it was taken for otherwise than typed, and what a person
// may have meant where it finds nothing: what [Results].Notes has of a search.
func (a *Archive) Notes(query string) (notes []string, err error) {
	_, err = a.with(func(v *index.View) error {
		e := &terms.Finder{View: v}
		q, found, err := e.Find(query)
		if err == nil {
			notes = noted(e, query, q, found)
		}
		return err
	})
	return notes, err
}

// noted are the notes on a query and what it found.
func noted(e *terms.Finder, text string, q *query.Query, found index.Set) []string {
	notes := slices.Concat(q.Notes, e.Notes)
	if found.Count() == 0 {
		notes = append(notes, query.InQuotes(text, q.Root)...)
		notes = append(notes, inFields(e.Together(), q.Root)...)
	}
	return notes
}

// inFields says of words that no review says, where they are the name or the file of
// one, how that is looked for. The indexes are those that answer together.
func inFields(views []*index.View, root query.Node) (notes []string) {
	n, ok := root.(*query.Word)
	if !ok {
		return nil
	}
	for _, field := range [...]string{"review", "file"} {
		total := 0
		want := &query.Field{Field: field, Value: n.Text, Prefix: n.Prefix}
		for _, v := range views {
			e := &terms.Finder{View: v, Peers: views}
			if found, err := e.Eval(want); err == nil {
				total += found.Count()
			}
		}
		if total > 0 && len(want.Near) == 0 {
			var query strings.Builder
			want.Write(&query)
			return []string{fmt.Sprintf("no review says this; %s finds %s", &query,
				word.Plural(total, "review", "reviews"))}
		}
	}
	return nil
}

// facetsIn counts the documents of a set by every facet.
func facetsIn(v *index.View, found index.Set) ([]Facet, error) {
	var all []Facet
	for _, name := range query.Facets() {
		c, err := v.Column(name)
		if err != nil {
			return nil, err
		}
		if counts := c.Count(found); len(counts) > 0 {
			all = append(all, Facet{name, counts})
		}
	}
	return all, nil
}

// hits are the documents of a page with what was asked for of each, in order,
// and what of the archive could not be read.
func (a *Archive) hits(v *index.View, root query.Node, page []uint64) (hits []Hit, damages []*store.Damage, err error) {
	damages = v.Manifest.Unread()
	reviews := make([]*Review, len(page))
	for i, doc := range page {
		name, err := v.Name(doc)
		if err != nil {
			return nil, nil, err
		}
		if reviews[i] = reviewIn(v, name); reviews[i] == nil {
			return nil, nil, fmt.Errorf("%w: review %s is not stored", store.ErrIndex, name)
		}
	}
	type made struct {
		hit     Hit
		no      bool // pairs of neighbours that are no phrase; see package match
		damages []*store.Damage
	}
	err = ordered(len(page), func(i int) (m made) {
		rv := reviews[i]
		m.hit.Review = *rv
		if root == nil {
			if err := a.store.Look(rv.Record); err != nil {
				m.damages = []*store.Damage{damageOf(err, rv.Name)}
			}
			return m
		}
		var r *schema.Record
		if r, m.damages = a.recall(rv, true); r != nil {
			s := newSubject(rv, r)
			m.no = !s.Holds(root)
			m.hit.Matches = s.Matches(root)
		}
		return m
	}, func(_ int, m made) error {
		damages = append(damages, m.damages...)
		if !m.no {
			hits = append(hits, m.hit)
		}
		return nil
	})
	return hits, store.Without(damages), err
}

// pageOf picks the documents of one page, in order.
func pageOf(e *terms.Finder, root query.Node, found index.Set, q Request) ([]uint64, error) {
	names, err := e.View.Column("sort name")
	if err != nil {
		return nil, err
	}
	var key func(doc uint64) int32 // ascending
	switch q.Sort {
	case "name":
		key = func(uint64) int32 { return 0 }
	case "best":
		points, err := e.Rank(root, found)
		if err != nil {
			return nil, err
		}
		key = func(doc uint64) int32 {
			if points == nil {
				return 0
			}
			return -points[doc]
		}
	default:
		c, err := e.View.Column("sort " + q.Sort)
		if err != nil {
			return nil, err
		}
		last := int32(len(c.Values))
		key = func(doc uint64) int32 {
			switch i := c.One[doc]; {
			case i < 0:
				return last
			case q.Sort == "mass":
				return i
			default:
				return -i
			}
		}
	}
	top := topOf{most: q.Offset + q.Limit}
	found.Each(func(doc uint64) bool {
		top.add(place{key(doc), names.One[doc], doc})
		return true
	})
	docs := top.sorted()
	docs = docs[min(q.Offset, len(docs)):]
	page := make([]uint64, len(docs))
	for i := range docs {
		page[i] = docs[i].doc
	}
	return page, nil
}

// A place is where a document stands in the order of results.
type place struct {
	key, name int32
	doc       uint64
}

func comparePlaces(a, b place) int {
	return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.name, b.name), cmp.Compare(a.doc, b.doc))
}

// topOf keeps the first of many places: it gathers twice as many as wanted and
// then drops the later half, which costs little for each.
type topOf struct {
	most  int
	kept  []place
	worst place // no later one is wanted, where full
	full  bool
}

func (t *topOf) add(p place) {
	if t.full && comparePlaces(p, t.worst) > 0 {
		return
	}
	if t.kept = append(t.kept, p); len(t.kept) >= 2*t.most+64 {
		t.sorted()
	}
}

func (t *topOf) sorted() []place {
	slices.SortFunc(t.kept, comparePlaces)
	if len(t.kept) > t.most {
		t.kept = t.kept[:t.most]
	}
	if t.full = len(t.kept) == t.most && t.most > 0; t.full {
		t.worst = t.kept[t.most-1]
	}
	return t.kept
}
