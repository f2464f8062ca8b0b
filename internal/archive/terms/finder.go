package terms

import (
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
)

// A Finder finds the documents that a query wants.
type Finder struct {
	View  *index.View
	Peers []*index.View // all indexes that answer together, View among them; nil for it alone
	Notes []string      // what was taken otherwise than typed
}

// Together are the indexes whose words and names count.
func (e *Finder) Together() []*index.View {
	if e.Peers == nil {
		return []*index.View{e.View}
	}
	return e.Peers
}

// has reports whether any document that is searched has a term.
func (e *Finder) has(field, term string) (bool, error) {
	for _, v := range e.Together() {
		if found, err := v.Has(field, term); found || err != nil {
			return found, err
		}
	}
	return false, nil
}

// Find reads a query and returns it with the documents that it finds.
func (e *Finder) Find(text string) (*query.Query, index.Set, error) {
	q, err := query.Parser{Parts: PartsOf(e.View)}.Parse(text)
	if err != nil {
		return nil, nil, err
	}
	in, err := e.Eval(q.Root)
	return q, in, err
}

// Eval gives the set for a node; it is the caller's to change.
func (e *Finder) Eval(n query.Node) (index.Set, error) {
	switch n := n.(type) {
	case nil:
		return slices.Clone(e.View.Live), nil
	case *query.And:
		all, err := e.Eval(n.Kids[0])
		for _, k := range n.Kids[1:] {
			if err != nil {
				return nil, err
			}
			var b index.Set
			if b, err = e.Eval(k); err == nil {
				all.And(b)
			}
		}
		return all, err
	case *query.Or:
		all := index.NewSet(e.View.Numbers)
		for _, k := range n.Kids {
			b, err := e.Eval(k)
			if err != nil {
				return nil, err
			}
			all.Or(b)
		}
		return all, nil
	case *query.Not:
		b, err := e.Eval(n.Kid)
		if err != nil {
			return nil, err
		}
		all := slices.Clone(e.View.Live)
		all.AndNot(b)
		return all, nil
	case *query.Word:
		return e.word(n)
	case *query.Field:
		return e.field(n)
	case *query.Item:
		return e.item(n)
	case *query.Condition:
		return e.condition(n)
	}
	panic("terms: a node of no kind")
}

// word finds a word, a run of words, or the beginning of one.
func (e *Finder) word(n *query.Word) (index.Set, error) {
	w := query.Words(n.Text)
	if n.Prefix {
		return e.ending(w)
	}
	b, err := e.run(w)
	if err != nil || n.Quoted || len(w) > 1 {
		return b, err
	}
	if found, err := e.has(index.FieldWords, w[0]); found || err != nil {
		return b, err
	}
	n.Near, err = e.nearest(namesField, n.Text)
	for _, name := range n.Near {
		if err != nil {
			return nil, err
		}
		err = e.View.Postings(b, index.FieldNames, []byte(namesField+index.Sep+name))
	}
	return b, err
}

// run finds words in a row: each of them, and each two neighbours.
func (e *Finder) run(w []string) (index.Set, error) {
	all, err := e.View.Term(index.FieldWords, w[0])
	for i := 1; i < len(w) && err == nil; i++ {
		var b index.Set
		if b, err = e.View.Term(index.FieldWords, w[i-1]+" "+w[i]); err == nil {
			all.And(b)
		}
	}
	return all, err
}

// ending finds words that begin so; a run of them where it has blanks.
func (e *Finder) ending(w []string) (index.Set, error) {
	all := index.NewSet(e.View.Numbers)
	prefix := strings.Join(w[max(len(w)-2, 0):], " ")
	err := e.union(all, index.FieldWords, func(add func(string)) error {
		return e.View.Prefixed(index.FieldWords, prefix, func(term string, _ uint64) bool {
			// A pair begins with the word too; only what ends with it is meant.
			if strings.Count(term, " ") == strings.Count(prefix, " ") {
				add(term)
			}
			return true
		})
	})
	if err == nil && len(w) > 2 {
		var b index.Set
		if b, err = e.run(w[:len(w)-1]); err == nil {
			all.And(b)
		}
	}
	return all, err
}

// union adds the documents of all terms that list gives.
func (e *Finder) union(into index.Set, field string, list func(add func(string)) error) error {
	var terms []string
	if err := list(func(t string) { terms = append(terms, t) }); err != nil {
		return err
	}
	for _, t := range terms {
		if err := e.View.Postings(into, field, []byte(t)); err != nil {
			return err
		}
	}
	return nil
}

// field finds a value of a field.
func (e *Finder) field(n *query.Field) (index.Set, error) {
	want := query.Folded(n.Value)
	if n.Prefix {
		all := index.NewSet(e.View.Numbers)
		err := e.union(all, index.FieldNames, func(add func(string)) error {
			return e.View.Prefixed(index.FieldNames, n.Field+index.Sep+want, func(term string, _ uint64) bool {
				add(term)
				return true
			})
		})
		return all, err
	}
	w := query.Words(n.Value)
	if len(w) > maxRun { // the index holds shorter runs only
		all, err := e.View.Term(index.FieldNames, n.Field+index.Sep+strings.Join(w[:maxRun], " "))
		for i := 1; i+maxRun <= len(w) && err == nil; i++ {
			var b index.Set
			if b, err = e.View.Term(index.FieldNames, n.Field+index.Sep+strings.Join(w[i:i+maxRun], " ")); err == nil {
				all.And(b)
			}
		}
		return all, err
	}
	b, err := e.View.Term(index.FieldNames, n.Field+index.Sep+want)
	if err != nil || b.Count() > 0 {
		return b, err
	}
	if found, err := e.has(index.FieldNames, n.Field+index.Sep+want); found || err != nil {
		return b, err
	}
	n.Near, err = e.nearest(n.Field, n.Value)
	for _, name := range n.Near {
		if err != nil {
			return nil, err
		}
		err = e.View.Postings(b, index.FieldNames, []byte(n.Field+index.Sep+name))
	}
	return b, err
}

// Spelling tolerance: from how many letters on a name may be how many off.
const (
	oneOff = 4
	twoOff = 8
)

// nearest finds the names of a field that are spelled nearly so, all of the
// least distance, and notes what it took.
func (e *Finder) nearest(field, typed string) ([]string, error) {
	want := query.Folded(typed)
	letters := len([]rune(want))
	off := 0
	switch {
	case letters >= twoOff:
		off = 2
	case letters >= oneOff:
		off = 1
	}
	if off == 0 || strings.ContainsAny(want, "0123456789") {
		return nil, nil // another digit is another part
	}
	var candidates []string
	prefix := field + index.Sep
	var err error
	for _, v := range e.Together() {
		if err == nil {
			err = v.Near(index.FieldNames, prefix+want, prefix, off, func(term string, _ uint64) bool {
				candidates = append(candidates, term)
				return true
			})
		}
	}
	slices.Sort(candidates)
	candidates = slices.Compact(candidates)
	var names []string
	best := off + 1
	for _, term := range candidates {
		name := strings.TrimPrefix(term, prefix)
		d := alike.Distance(want, name, off+1)
		if d > best || d > off || strings.ContainsAny(name, "0123456789") {
			continue
		}
		if there, err := e.has(index.FieldNames, term); err != nil || !there {
			continue // of a review that is gone, or the error comes again
		}
		if d < best {
			best, names = d, nil
		}
		names = append(names, name)
	}
	if len(names) > 0 {
		e.Notes = append(e.Notes, "nothing is called “"+typed+"”; taken as "+strings.Join(names, ", "))
	}
	return names, err
}

// item finds levels or parts that have all that is wanted.
func (e *Finder) item(n *query.Item) (index.Set, error) {
	all := slices.Clone(e.View.Live)
	var err error
	want := func(term string) {
		if err != nil {
			return
		}
		var b index.Set
		if b, err = e.View.Term(index.FieldItems, term); err == nil {
			all.And(b)
		}
	}
	for i := range n.Exact {
		x := elementOf(&n.Exact[i].Quantity)
		want(n.Item + index.Sep + index.Sep + x)
		for k := range i {
			want(pairTerm(n.Item, x, elementOf(&n.Exact[k].Quantity)))
		}
		for _, w := range n.Words {
			want(n.Item + index.Sep + w + index.Sep + x)
		}
	}
	for _, w := range n.Words {
		want(n.Item + index.Sep + w)
	}
	return all, err
}

// condition finds values that meet an interval.
func (e *Finder) condition(n *query.Condition) (index.Set, error) {
	all := index.NewSet(e.View.Numbers)
	low, high := endsOf(n)
	err := e.union(all, index.FieldValues, func(add func(string)) error {
		return e.values(n.Path, low, high, add)
	})
	if err != nil {
		return nil, err
	}
	err = e.union(all, index.FieldRanges, func(add func(string)) error {
		return e.View.Prefixed(index.FieldRanges, n.Path+index.Sep, func(term string, _ uint64) bool {
			l, h, _ := strings.Cut(term[len(n.Path)+1:], index.Sep)
			if low.below(h) && high.above(l) {
				add(term)
			}
			return high.above(l) // they come in the order of their low ends
		})
	})
	return all, err
}

// An end is one end of an interval, as spelled in the index.
type end struct {
	at              string
	unbounded, open bool
}

// below reports whether the low end lets a value in.
func (e end) below(v string) bool { return e.unbounded || e.at < v || !e.open && e.at == v }

// above reports whether the high end lets a value in.
func (e end) above(v string) bool { return e.unbounded || e.at > v || !e.open && e.at == v }

// endsOf spells the bounds of a condition in the base unit.
func endsOf(n *query.Condition) (low, high end) {
	spell := func(b query.Bound) end {
		if b.Unbounded {
			return end{unbounded: true}
		}
		return end{at: index.Sortable(b.Value), open: b.Open}
	}
	from, to := n.InBase()
	return spell(from), spell(to)
}

// values gives the terms whose union is the interval: whole leading digits
// inside it, and single values at its edges.
func (e *Finder) values(path string, low, high end, add func(string)) error {
	single := func(from, to string) error {
		mark := path + index.NumberMark
		return e.View.Scan(index.FieldValues, mark+from, mark+to, func(term string, _ uint64) bool {
			if at := term[len(mark):]; low.below(at) && high.above(at) {
				add(term)
			}
			return true
		})
	}
	const last = "\x7f" // above every digit
	if !low.unbounded && !high.unbounded && index.Bucket(low.at) == index.Bucket(high.at) {
		return single(low.at, high.at)
	}
	mark := path + index.BucketMark
	err := e.View.Prefixed(index.FieldValues, mark, func(term string, _ uint64) bool {
		at := term[len(mark):]
		if !high.unbounded && at >= index.Bucket(high.at) {
			return false
		}
		if low.unbounded || at > index.Bucket(low.at) {
			add(term)
		}
		return true
	})
	if err == nil && !low.unbounded {
		err = single(low.at, index.Bucket(low.at)+last)
	}
	if err == nil && !high.unbounded {
		err = single(index.Bucket(high.at), high.at)
	}
	return err
}

// Points of a word that is in a name of the product, and in any other name.
const (
	productPoints = 4
	namePoints    = 1
)

// Rank gives points to the documents of a set, by number: how many of the
// words asked for are in the names of what they are about. Nil where no word
// was asked for.
func (e *Finder) Rank(root query.Node, in index.Set) (points []int32, err error) {
	query.Leaves(root, func(n query.Node) {
		w, ok := n.(*query.Word)
		if !ok || err != nil {
			return
		}
		if points == nil {
			points = make([]int32, e.View.Numbers)
		}
		names := w.Near
		if names == nil {
			names = []string{query.Folded(w.Text)}
		}
		for _, f := range [...]struct {
			field  string
			points int32
		}{{"name", productPoints}, {"maker", productPoints}, {"model", productPoints}, {namesField, namePoints}} {
			for _, name := range names {
				var b index.Set
				if b, err = e.View.Term(index.FieldNames, f.field+index.Sep+name); err != nil {
					return
				}
				b.And(in)
				b.Each(func(doc uint64) bool {
					points[doc] += f.points
					return true
				})
			}
		}
	})
	return points, err
}

// PartsOf gives for an index whether words are a kind of part that the archive holds.
func PartsOf(v *index.View) func(words string) bool {
	return func(words string) (ok bool) {
		defer func() {
			if recover() != nil {
				v.Broken.Store(true)
			}
		}()
		ok, err := v.Has(index.FieldNames, partsField+index.Sep+words)
		return ok && err == nil
	}
}
