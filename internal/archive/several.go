package archive

import (
	"cmp"
	"errors"
	"os"
	"path/filepath"
	"slices"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/internal/archive/terms"

	"golang.org/x/sync/errgroup"
)

// Several archives that share their reviews, each review in one of them, are
// searched as one: a query means the same in all, and there is one answer, the
// one that a single archive of all reviews would give.
//
// What a query means can depend on what there is: whether words are a kind of
// part, and whether a name is spelled as some review has it. So each archive is
// asked under what all of them hold. Each then gives the first of its results
// with what they are sorted by, as text, since numbers of columns differ; these
// are merged, and only what is on the page is looked up.
type Several struct{ all []*Archive }

// ShardsIn lists the archives in the folders of a folder, by name; nil where it
// is an archive itself, or has none.
func ShardsIn(dir string) []string {
	if _, err := os.Stat(filepath.Join(dir, "archive.json")); err == nil {
		return nil
	}
	found, err := filepath.Glob(filepath.Join(dir, "*", "archive.json"))
	if err != nil {
		return nil
	}
	for i := range found {
		found[i] = filepath.Dir(found[i])
	}
	slices.Sort(found)
	return found
}

// OpenSeveral opens archives to be searched as one.
func OpenSeveral(dirs ...string) (*Several, error) {
	s := &Several{}
	for _, dir := range dirs {
		a, err := Open(dir)
		if err != nil {
			return nil, errors.Join(err, s.Close())
		}
		s.all = append(s.all, a)
	}
	return s, nil
}

// Archives are the archives, in the order in which they were named.
func (s *Several) Archives() []*Archive { return s.all }

// Close closes them.
func (s *Several) Close() error {
	var all []error
	for _, a := range s.all {
		all = append(all, a.Close())
	}
	return errors.Join(all...)
}

// Search finds reviews in all of them; see [Archive.Search].
func (s *Several) Search(q Request) (*Results, error) {
	q, err := q.filled()
	if err != nil {
		return nil, err
	}
	var res *Results
	behind, err := s.with(nil, func(views []*index.View) (err error) {
		res, err = s.search(views, q)
		return err
	})
	if res != nil {
		res.Behind = behind
	}
	return res, err
}

// An errorOf is an error of one of several archives.
type errorOf struct {
	which int
	error
}

func (e *errorOf) Unwrap() error { return e.error }

// with gives f the indexes of all archives, as [Archive.with] gives one. An
// error of one index is mended there and not in the others.
func (s *Several) with(have []*index.View, f func([]*index.View) error) (behind bool, err error) {
	which := len(have)
	if which == len(s.all) {
		return false, f(have)
	}
	var others error // not of this index
	mine, err := s.all[which].with(func(v *index.View) error {
		var err error
		behind, err = s.with(append(slices.Clone(have), v), f)
		others = err
		var of *errorOf
		if errors.As(err, &of) && of.which == which {
			others = nil
			return of.error
		}
		return nil
	})
	return behind || mine, cmp.Or(err, others)
}

// A far place is where a document of one of several archives stands in the
// order of results: the same everywhere, unlike a [place].
type farPlace struct {
	which  int
	doc    uint64
	points int32
	none   bool   // it has nothing to be sorted by
	key    string // what it is sorted by
	name   string
}

// A reply is what one of several archives has to say to a search.
type reply struct {
	root   query.Node
	result *Results
	first  []farPlace
}

func (s *Several) search(views []*index.View, q Request) (*Results, error) {
	said := make([]reply, len(views))
	err := inEach(views, func(i int, v *index.View) (err error) {
		said[i], err = replyOf(views, i, q)
		return err
	})
	if err != nil {
		return nil, err
	}
	res := &Results{Understood: said[0].result.Understood, Notes: said[0].result.Notes, Offset: q.Offset}
	var all []farPlace
	for _, one := range said {
		res.Total += one.result.Total
		all = append(all, one.first...)
	}
	if res.Total == 0 {
		res.Notes = append(res.Notes, query.InQuotes(q.Query, said[0].root)...)
		res.Notes = append(res.Notes, inFields(views, said[0].root)...)
	}
	res.Facets = addedUp(said)
	slices.SortFunc(all, func(a, b farPlace) int { return compareFar(a, b, q.Sort) })
	page := all[min(q.Offset, len(all)):min(q.Offset+q.Limit, len(all))]
	if res.Hits, res.Damages, err = s.show(views, said, page); err != nil {
		return nil, err
	}
	return res, nil
}

// inEach does something with each index, at the same time; what fails is reported
// as an error of that one.
func inEach(views []*index.View, do func(int, *index.View) error) error {
	var g errgroup.Group
	for i, v := range views {
		g.Go(func() error {
			if err := guarded(v, func(v *index.View) error { return do(i, v) }); err != nil {
				return &errorOf{i, err}
			}
			return nil
		})
	}
	return g.Wait()
}

// replyOf asks one of several indexes.
func replyOf(views []*index.View, which int, q Request) (one reply, err error) {
	v := views[which]
	parts := func(words string) bool {
		return slices.ContainsFunc(views, func(v *index.View) bool { return terms.PartsOf(v)(words) })
	}
	query, err := query.Parser{Parts: parts}.Parse(q.Query)
	if err != nil {
		return one, err
	}
	e := &terms.Finder{View: v, Peers: views}
	found, err := e.Eval(query.Root)
	if err != nil {
		return one, err
	}
	one.root = query.Root
	one.result = &Results{Understood: query.String(), Notes: slices.Concat(query.Notes, e.Notes), Total: found.Count()}
	if q.Facets {
		if one.result.Facets, err = facetsIn(v, found); err != nil {
			return one, err
		}
	}
	first := q
	first.Offset, first.Limit = 0, q.Offset+q.Limit
	docs, err := pageOf(e, query.Root, found, first)
	if err != nil {
		return one, err
	}
	one.first, err = farOf(e, which, query.Root, docs, q.Sort)
	return one, err
}

// farOf gives of documents what they are sorted by.
func farOf(e *terms.Finder, which int, root query.Node, docs []uint64, sort string) ([]farPlace, error) {
	names, err := e.View.Column("sort name")
	if err != nil {
		return nil, err
	}
	var keys *index.Column
	var points []int32
	switch sort {
	case "name":
	case "best":
		in := index.NewSet(e.View.Numbers)
		for _, doc := range docs {
			in.Set(doc)
		}
		points, err = e.Rank(root, in)
	default:
		keys, err = e.View.Column("sort " + sort)
	}
	if err != nil {
		return nil, err
	}
	all := make([]farPlace, len(docs))
	for i, doc := range docs {
		p := farPlace{which: which, doc: doc}
		p.name, _ = names.First(doc)
		if points != nil {
			p.points = points[doc]
		}
		if keys != nil {
			var there bool
			p.key, there = keys.First(doc)
			p.none = !there
		}
		all[i] = p
	}
	return all, nil
}

// compareFar is the order that [pageOf] has within one archive.
func compareFar(a, b farPlace, sort string) int {
	key := 0
	switch {
	case a.none != b.none:
		key = 1
		if b.none {
			key = -1
		}
	case sort == "mass":
		key = cmp.Compare(a.key, b.key)
	default:
		key = cmp.Or(cmp.Compare(b.points, a.points), cmp.Compare(b.key, a.key))
	}
	return cmp.Or(key, cmp.Compare(a.name, b.name), cmp.Compare(a.which, b.which), cmp.Compare(a.doc, b.doc))
}

// addedUp adds the counts of the facets.
func addedUp(said []reply) []Facet {
	sums := map[string]map[string]int{}
	for _, one := range said {
		for _, f := range one.result.Facets {
			if sums[f.Field] == nil {
				sums[f.Field] = map[string]int{}
			}
			for _, c := range f.Counts {
				sums[f.Field][c.Value] += c.N
			}
		}
	}
	var all []Facet
	for _, name := range query.Facets() {
		var counts []index.Count
		for value, n := range sums[name] {
			counts = append(counts, index.Count{Value: value, N: n})
		}
		slices.SortFunc(counts, func(a,
			b index.Count) int {
			return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Value, b.Value))
		})
		if len(counts) > 0 {
			all = append(all, Facet{name, counts})
		}
	}
	return all
}

// show looks up what is on the page, each archive what it has of it.
func (s *Several) show(views []*index.View, said []reply, page []farPlace) (hits []Hit,
	damages []*store.Damage, err error) {
	type shown struct {
		hits    map[string]Hit
		names   map[uint64]string
		damages []*store.Damage
	}
	all := make([]shown, len(views))
	err = inEach(views, func(which int, v *index.View) error {
		one := shown{map[string]Hit{}, map[uint64]string{}, nil}
		var docs []uint64
		for _, p := range page {
			if p.which != which {
				continue
			}
			docs = append(docs, p.doc)
			name, err := v.Name(p.doc)
			if err != nil {
				return err
			}
			one.names[p.doc] = name
		}
		found, damages, err := s.all[which].hits(v, said[which].root, docs)
		if err != nil {
			return err
		}
		for _, h := range found {
			one.hits[h.Review.Name] = h
		}
		for _, d := range damages {
			in := *d
			in.File = filepath.Base(s.all[which].dir) + "/" + d.File
			one.damages = append(one.damages, &in)
		}
		all[which] = one
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	for _, p := range page {
		if h, ok := all[p.which].hits[all[p.which].names[p.doc]]; ok {
			hits = append(hits, h)
		}
	}
	for _, one := range all {
		damages = append(damages, one.damages...)
	}
	return hits, damages, nil
}
