package archive

import (
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
)

// evaluator finds the documents that a query wants.
type evaluator struct {
	v     *index.View
	peers []*index.View // all indexes that answer together, v among them; nil for v alone
	notes []string      // what was taken otherwise than typed
}

// together are the indexes whose words and names count.
func (e *evaluator) together() []*index.View {
	if e.peers == nil {
		return []*index.View{e.v}
	}
	return e.peers
}

// has reports whether any document that is searched has a term.
func (e *evaluator) has(field, term string) (bool, error) {
	for _, v := range e.together() {
		if found, err := v.Has(field, term); found || err != nil {
			return found, err
		}
	}
	return false, nil
}

// find reads a query and returns it with the documents that it finds.
func (e *evaluator) find(text string) (*query.Query, index.Set, error) {
	q, err := query.Parser{Parts: partsOf(e.v)}.Parse(text)
	if err != nil {
		return nil, nil, err
	}
	in, err := e.eval(q.Root)
	return q, in, err
}

// eval gives the set for a node; it is the caller's to change.
func (e *evaluator) eval(n query.Node) (index.Set, error) {
	switch n := n.(type) {
	case nil:
		return slices.Clone(e.v.Live), nil
	case *query.And:
		all, err := e.eval(n.Kids[0])
		for _, k := range n.Kids[1:] {
			if err != nil {
				return nil, err
			}
			var b index.Set
			if b, err = e.eval(k); err == nil {
				all.And(b)
			}
		}
		return all, err
	case *query.Or:
		all := index.NewSet(e.v.Numbers)
		for _, k := range n.Kids {
			b, err := e.eval(k)
			if err != nil {
				return nil, err
			}
			all.Or(b)
		}
		return all, nil
	case *query.Not:
		b, err := e.eval(n.Kid)
		if err != nil {
			return nil, err
		}
		all := slices.Clone(e.v.Live)
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
	panic("archive: a node of no kind")
}

// word finds a word, a run of words, or the beginning of one.
func (e *evaluator) word(n *query.Word) (index.Set, error) {
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
		err = e.v.Postings(b, index.FieldNames, []byte(namesField+index.Sep+name))
	}
	return b, err
}

// run finds words in a row: each of them, and each two neighbours.
func (e *evaluator) run(w []string) (index.Set, error) {
	all, err := e.v.Term(index.FieldWords, w[0])
	for i := 1; i < len(w) && err == nil; i++ {
		var b index.Set
		if b, err = e.v.Term(index.FieldWords, w[i-1]+" "+w[i]); err == nil {
			all.And(b)
		}
	}
	return all, err
}

// ending finds words that begin so; a run of them where it has blanks.
func (e *evaluator) ending(w []string) (index.Set, error) {
	all := index.NewSet(e.v.Numbers)
	prefix := strings.Join(w[max(len(w)-2, 0):], " ")
	err := e.union(all, index.FieldWords, func(add func(string)) error {
		return e.v.Prefixed(index.FieldWords, prefix, func(term string, _ uint64) bool {
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
func (e *evaluator) union(into index.Set, field string, list func(add func(string)) error) error {
	var terms []string
	if err := list(func(t string) { terms = append(terms, t) }); err != nil {
		return err
	}
	for _, t := range terms {
		if err := e.v.Postings(into, field, []byte(t)); err != nil {
			return err
		}
	}
	return nil
}

// field finds a value of a field.
func (e *evaluator) field(n *query.Field) (index.Set, error) {
	want := query.Folded(n.Value)
	if n.Prefix {
		all := index.NewSet(e.v.Numbers)
		err := e.union(all, index.FieldNames, func(add func(string)) error {
			return e.v.Prefixed(index.FieldNames, n.Field+index.Sep+want, func(term string, _ uint64) bool {
				add(term)
				return true
			})
		})
		return all, err
	}
	w := query.Words(n.Value)
	if len(w) > maxRun { // the index holds shorter runs only
		all, err := e.v.Term(index.FieldNames, n.Field+index.Sep+strings.Join(w[:maxRun], " "))
		for i := 1; i+maxRun <= len(w) && err == nil; i++ {
			var b index.Set
			if b, err = e.v.Term(index.FieldNames, n.Field+index.Sep+strings.Join(w[i:i+maxRun], " ")); err == nil {
				all.And(b)
			}
		}
		return all, err
	}
	b, err := e.v.Term(index.FieldNames, n.Field+index.Sep+want)
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
		err = e.v.Postings(b, index.FieldNames, []byte(n.Field+index.Sep+name))
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
func (e *evaluator) nearest(field, typed string) ([]string, error) {
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
	for _, v := range e.together() {
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
		e.notes = append(e.notes, "nothing is called “"+typed+"”; taken as "+strings.Join(names, ", "))
	}
	return names, err
}

// item finds levels or parts that have all that is wanted.
func (e *evaluator) item(n *query.Item) (index.Set, error) {
	all := slices.Clone(e.v.Live)
	var err error
	want := func(term string) {
		if err != nil {
			return
		}
		var b index.Set
		if b, err = e.v.Term(index.FieldItems, term); err == nil {
			all.And(b)
		}
	}
	for i := range n.Exact {
		x := elementTerm(&n.Exact[i].Quantity)
		want(n.Item + index.Sep + index.Sep + x)
		for k := range i {
			want(pairTerm(n.Item, x, elementTerm(&n.Exact[k].Quantity)))
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
func (e *evaluator) condition(n *query.Condition) (index.Set, error) {
	all := index.NewSet(e.v.Numbers)
	low, high := endsOf(n)
	err := e.union(all, index.FieldValues, func(add func(string)) error {
		return e.values(n.Path, low, high, add)
	})
	if err != nil {
		return nil, err
	}
	err = e.union(all, index.FieldRanges, func(add func(string)) error {
		return e.v.Prefixed(index.FieldRanges, n.Path+index.Sep, func(term string, _ uint64) bool {
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
		v, _ := query.SI(b.Value, n.Unit)
		return end{at: index.Sortable(v), open: b.Open}
	}
	return spell(n.Low), spell(n.High)
}

// values gives the terms whose union is the interval: whole leading digits
// inside it, and single values at its edges.
func (e *evaluator) values(path string, low, high end, add func(string)) error {
	single := func(from, to string) error {
		mark := path + index.NumberMark
		return e.v.Scan(index.FieldValues, mark+from, mark+to, func(term string, _ uint64) bool {
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
	err := e.v.Prefixed(index.FieldValues, mark, func(term string, _ uint64) bool {
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

// rank gives points to the documents of a set, by number: how many of the
// words asked for are in the names of what they are about. Nil where no word
// was asked for.
func (e *evaluator) rank(root query.Node, in index.Set) (points []int32, err error) {
	query.Leaves(root, func(n query.Node) {
		w, ok := n.(*query.Word)
		if !ok || err != nil {
			return
		}
		if points == nil {
			points = make([]int32, e.v.Numbers)
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
				if b, err = e.v.Term(index.FieldNames, f.field+index.Sep+name); err != nil {
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
