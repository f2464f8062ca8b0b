package archive

import (
	"slices"
	"strings"

	"saywatt/internal/alike"
	"saywatt/internal/archive/query"
)

// evaluator finds the documents that a query wants.
type evaluator struct {
	v     *view
	peers []*view  // all indexes that answer together, v among them; nil for v alone
	notes []string // what was taken otherwise than typed
}

// together are the indexes whose words and names count.
func (e *evaluator) together() []*view {
	if e.peers == nil {
		return []*view{e.v}
	}
	return e.peers
}

// has reports whether any document that is searched has a term.
func (e *evaluator) has(field, term string) (bool, error) {
	for _, v := range e.together() {
		if found, err := v.has(field, term); found || err != nil {
			return found, err
		}
	}
	return false, nil
}

// find reads a query and returns it with the documents that it finds.
func (e *evaluator) find(text string) (*query.Query, bitset, error) {
	q, err := query.Parser{Parts: e.v.parts}.Parse(text)
	if err != nil {
		return nil, nil, err
	}
	in, err := e.eval(q.Root)
	return q, in, err
}

// eval gives the set for a node; it is the caller's to change.
func (e *evaluator) eval(n query.Node) (bitset, error) {
	switch n := n.(type) {
	case nil:
		return slices.Clone(e.v.live), nil
	case *query.And:
		all, err := e.eval(n.Kids[0])
		for _, k := range n.Kids[1:] {
			if err != nil {
				return nil, err
			}
			var b bitset
			if b, err = e.eval(k); err == nil {
				all.and(b)
			}
		}
		return all, err
	case *query.Or:
		all := newBitset(e.v.numbers)
		for _, k := range n.Kids {
			b, err := e.eval(k)
			if err != nil {
				return nil, err
			}
			all.or(b)
		}
		return all, nil
	case *query.Not:
		b, err := e.eval(n.Kid)
		if err != nil {
			return nil, err
		}
		all := slices.Clone(e.v.live)
		all.andNot(b)
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
func (e *evaluator) word(n *query.Word) (bitset, error) {
	w := query.Words(n.Text)
	if n.Prefix {
		return e.ending(w)
	}
	b, err := e.run(w)
	if err != nil || n.Quoted || len(w) > 1 {
		return b, err
	}
	if found, err := e.has(fieldWords, w[0]); found || err != nil {
		return b, err
	}
	n.Near, err = e.nearest(namesField, n.Text)
	for _, name := range n.Near {
		if err != nil {
			return nil, err
		}
		err = e.v.postings(b, fieldNames, []byte(namesField+sep+name))
	}
	return b, err
}

// run finds words in a row: each of them, and each two neighbours.
func (e *evaluator) run(w []string) (bitset, error) {
	all, err := e.v.term(fieldWords, w[0])
	for i := 1; i < len(w) && err == nil; i++ {
		var b bitset
		if b, err = e.v.term(fieldWords, w[i-1]+" "+w[i]); err == nil {
			all.and(b)
		}
	}
	return all, err
}

// ending finds words that begin so; a run of them where it has blanks.
func (e *evaluator) ending(w []string) (bitset, error) {
	all := newBitset(e.v.numbers)
	prefix := strings.Join(w[max(len(w)-2, 0):], " ")
	err := e.union(all, fieldWords, func(add func(string)) error {
		return e.v.prefixed(fieldWords, prefix, func(term string, _ uint64) bool {
			// A pair begins with the word too; only what ends with it is meant.
			if strings.Count(term, " ") == strings.Count(prefix, " ") {
				add(term)
			}
			return true
		})
	})
	if err == nil && len(w) > 2 {
		var b bitset
		if b, err = e.run(w[:len(w)-1]); err == nil {
			all.and(b)
		}
	}
	return all, err
}

// union adds the documents of all terms that list gives.
func (e *evaluator) union(into bitset, field string, list func(add func(string)) error) error {
	var terms []string
	if err := list(func(t string) { terms = append(terms, t) }); err != nil {
		return err
	}
	for _, t := range terms {
		if err := e.v.postings(into, field, []byte(t)); err != nil {
			return err
		}
	}
	return nil
}

// field finds a value of a field.
func (e *evaluator) field(n *query.Field) (bitset, error) {
	want := query.Folded(n.Value)
	if n.Prefix {
		all := newBitset(e.v.numbers)
		err := e.union(all, fieldNames, func(add func(string)) error {
			return e.v.prefixed(fieldNames, n.Field+sep+want, func(term string, _ uint64) bool {
				add(term)
				return true
			})
		})
		return all, err
	}
	w := query.Words(n.Value)
	if len(w) > maxRun { // the index holds shorter runs only
		all, err := e.v.term(fieldNames, n.Field+sep+strings.Join(w[:maxRun], " "))
		for i := 1; i+maxRun <= len(w) && err == nil; i++ {
			var b bitset
			if b, err = e.v.term(fieldNames, n.Field+sep+strings.Join(w[i:i+maxRun], " ")); err == nil {
				all.and(b)
			}
		}
		return all, err
	}
	b, err := e.v.term(fieldNames, n.Field+sep+want)
	if err != nil || b.count() > 0 {
		return b, err
	}
	if found, err := e.has(fieldNames, n.Field+sep+want); found || err != nil {
		return b, err
	}
	n.Near, err = e.nearest(n.Field, n.Value)
	for _, name := range n.Near {
		if err != nil {
			return nil, err
		}
		err = e.v.postings(b, fieldNames, []byte(n.Field+sep+name))
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
	prefix := field + sep
	var err error
	for _, v := range e.together() {
		if err == nil {
			err = v.near(fieldNames, prefix+want, prefix, off, func(term string, _ uint64) bool {
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
		if there, err := e.has(fieldNames, term); err != nil || !there {
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
func (e *evaluator) item(n *query.Item) (bitset, error) {
	all := slices.Clone(e.v.live)
	var err error
	want := func(term string) {
		if err != nil {
			return
		}
		var b bitset
		if b, err = e.v.term(fieldItems, term); err == nil {
			all.and(b)
		}
	}
	for i := range n.Exact {
		x := elementTerm(&n.Exact[i].Quantity)
		want(n.Item + sep + sep + x)
		for k := range i {
			want(pairTerm(n.Item, x, elementTerm(&n.Exact[k].Quantity)))
		}
		for _, w := range n.Words {
			want(n.Item + sep + w + sep + x)
		}
	}
	for _, w := range n.Words {
		want(n.Item + sep + w)
	}
	return all, err
}

// condition finds values that meet an interval.
func (e *evaluator) condition(n *query.Condition) (bitset, error) {
	all := newBitset(e.v.numbers)
	low, high := endsOf(n)
	err := e.union(all, fieldValues, func(add func(string)) error {
		return e.values(n.Path, low, high, add)
	})
	if err != nil {
		return nil, err
	}
	err = e.union(all, fieldRanges, func(add func(string)) error {
		return e.v.prefixed(fieldRanges, n.Path+sep, func(term string, _ uint64) bool {
			l, h, _ := strings.Cut(term[len(n.Path)+1:], sep)
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
		return end{at: sortable(v), open: b.Open}
	}
	return spell(n.Low), spell(n.High)
}

// values gives the terms whose union is the interval: whole leading digits
// inside it, and single values at its edges.
func (e *evaluator) values(path string, low, high end, add func(string)) error {
	single := func(from, to string) error {
		mark := path + numberMark
		return e.v.scan(fieldValues, mark+from, mark+to, func(term string, _ uint64) bool {
			if at := term[len(mark):]; low.below(at) && high.above(at) {
				add(term)
			}
			return true
		})
	}
	const last = "\x7f" // above every digit
	if !low.unbounded && !high.unbounded && bucket(low.at) == bucket(high.at) {
		return single(low.at, high.at)
	}
	mark := path + bucketMark
	err := e.v.prefixed(fieldValues, mark, func(term string, _ uint64) bool {
		at := term[len(mark):]
		if !high.unbounded && at >= bucket(high.at) {
			return false
		}
		if low.unbounded || at > bucket(low.at) {
			add(term)
		}
		return true
	})
	if err == nil && !low.unbounded {
		err = single(low.at, bucket(low.at)+last)
	}
	if err == nil && !high.unbounded {
		err = single(bucket(high.at), high.at)
	}
	return err
}

// parts reports whether words are a kind of part that the archive holds.
func (v *view) parts(words string) (ok bool) {
	defer func() {
		if recover() != nil {
			v.broken.Store(true)
		}
	}()
	ok, err := v.has(fieldNames, partsField+sep+words)
	return ok && err == nil
}

// Points of a word that is in a name of the product, and in any other name.
const (
	productPoints = 4
	namePoints    = 1
)

// rank gives points to the documents of a set, by number: how many of the
// words asked for are in the names of what they are about. Nil where no word
// was asked for.
func (e *evaluator) rank(root query.Node, in bitset) (points []int32, err error) {
	query.Leaves(root, func(n query.Node) {
		w, ok := n.(*query.Word)
		if !ok || err != nil {
			return
		}
		if points == nil {
			points = make([]int32, e.v.numbers)
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
				var b bitset
				if b, err = e.v.term(fieldNames, f.field+sep+name); err != nil {
					return
				}
				b.and(in)
				b.each(func(doc uint64) bool {
					points[doc] += f.points
					return true
				})
			}
		}
	})
	return points, err
}
