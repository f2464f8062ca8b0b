package archive

import (
	"cmp"
	"slices"
	"strings"

	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// Match is a fact that a query asked for.
type Match struct {
	Fact  Fact
	Text  string        // the words around it, or the name
	Marks []schema.Span // bytes of Text that were asked for
}

// subject is one record as queries see it. It is also what the index is
// tested against.
type subject struct {
	record *schema.Record
	facts  []Fact
	extra  []columnValue // fields that no fact has: class, year, status, review
	title  string        // given to the review, "" for none
}

func newSubject(rv *Review, r *schema.Record) *subject {
	s := &subject{record: r, facts: facts(r), title: rv.Given}
	s.extra = append(s.extra, columnValue{"review", rv.Name})
	if rv.Given != "" {
		s.extra = append(s.extra, columnValue{"name", rv.Given})
	}
	for _, c := range columns(rv, r, s.facts) {
		if c.name == "class" || c.name == "year" || c.name == "status" {
			s.extra = append(s.extra, c)
		}
	}
	return s
}

// holds reports whether the record is what the query wants.
func (s *subject) holds(n query.Node) bool {
	switch n := n.(type) {
	case nil:
		return true
	case *query.And:
		for _, k := range n.Kids {
			if !s.holds(k) {
				return false
			}
		}
		return true
	case *query.Or:
		return slices.ContainsFunc(n.Kids, s.holds)
	case *query.Not:
		return !s.holds(n.Kid)
	case *query.Word:
		if len(n.Find(s.title)) > 0 {
			return true
		}
	case *query.Field:
		for _, c := range s.extra {
			if c.name == n.Field && n.Wants(c.value) {
				return true
			}
		}
	case *query.Item:
		for _, group := range s.items(n.Item) {
			if s.itemHolds(n, group) {
				return true
			}
		}
		return false
	}
	for i := range s.facts {
		if s.factHolds(n, &s.facts[i]) {
			return true
		}
	}
	return false
}

// factHolds reports whether a fact answers a leaf that is no item.
func (s *subject) factHolds(n query.Node, f *Fact) bool {
	switch n := n.(type) {
	case *query.Word:
		for _, text := range f.texts() {
			if len(n.Find(text)) > 0 {
				return true
			}
		}
	case *query.Field:
		return slices.Contains(f.fields, n.Field) && n.Wants(f.Text)
	case *query.Condition:
		return meets(n, f)
	}
	return false
}

// texts are the words of a fact, as the index has them.
func (f *Fact) texts() []string {
	if f.follows() {
		return nil
	}
	if f.Quantity != nil {
		return []string{f.Context, f.Heard, f.Quantity.String()}
	}
	if len(f.fields) > 0 && f.fields[0] == "file" {
		return nil
	}
	return []string{f.Context, f.Text}
}

// meets reports whether a fact's value meets a condition.
func meets(n *query.Condition, f *Fact) bool {
	if f.Quantity == nil {
		return false
	}
	on := false
	f.paths(func(group, name string) {
		if group != "" {
			name = group + "." + name
		}
		on = on || name == n.Path
	})
	if !on {
		return false
	}
	low, high := endsOf(n)
	return low.below(f.high) && high.above(f.low)
}

// items lists the facts of each level or part, by their place in s.facts.
func (s *subject) items(kind string) [][]int {
	var all [][]int
	before := ""
	for i := range s.facts {
		item := s.facts[i].item
		if k, _ := itemOf(item); k != kind {
			continue
		}
		if item != before {
			all = append(all, nil)
			before = item
		}
		all[len(all)-1] = append(all[len(all)-1], i)
	}
	if kind == "part" { // parts without ratings
		rated := map[string]bool{}
		for i := range s.facts {
			rated[s.facts[i].item] = true
		}
		for i := range s.facts {
			_, field := schema.ComponentField(s.facts[i].Path)
			if field == "kind" && !rated[strings.TrimSuffix(s.facts[i].Path, ".kind")] {
				all = append(all, []int{i})
			}
		}
	}
	return all
}

// itemHolds reports whether one level or part has all that is wanted.
func (s *subject) itemHolds(n *query.Item, group []int) bool {
	first := &s.facts[group[0]]
	_, number := itemOf(cmp.Or(first.item, strings.TrimSuffix(first.Path, ".kind")))
	names := itemWords(s.record, n.Item, number)
	for _, w := range n.Words {
		if !slices.Contains(names, w) {
			return false
		}
	}
	for i := range n.Exact {
		want := elementTerm(&n.Exact[i].Quantity)
		if !slices.ContainsFunc(group, func(k int) bool {
			q := s.facts[k].Quantity
			return q != nil && elementTerm(q) == want
		}) {
			return false
		}
	}
	return true
}

// matches lists the facts that answer the query, values and names before
// words.
func (s *subject) matches(root query.Node) []Match {
	m := matcher{subject: s, order: map[int]int{}, marks: map[int][]schema.Span{}}
	query.Leaves(root, func(n query.Node) {
		switch n := n.(type) {
		case *query.Item:
			m.items(n)
		case *query.Word:
			m.words(n)
		default:
			for i := range s.facts {
				if s.factHolds(n, &s.facts[i]) {
					m.pick(i, 0)
				}
			}
		}
	})
	return m.all()
}

// matcher gathers the facts that answer a query.
type matcher struct {
	*subject
	order map[int]int // fact to rank: lower first
	marks map[int][]schema.Span
}

func (m *matcher) pick(i, rank int) {
	if old, ok := m.order[i]; !ok || rank < old {
		m.order[i] = rank
	}
}

// items picks what of a level or part was asked for: the values, where any
// were, else all that it has.
func (m *matcher) items(n *query.Item) {
	wanted := func(f *Fact) bool {
		return len(n.Exact) == 0 || f.Quantity != nil && slices.ContainsFunc(n.Exact, func(e query.Element) bool {
			return elementTerm(&e.Quantity) == elementTerm(f.Quantity)
		})
	}
	for _, group := range m.subject.items(n.Item) {
		if !m.itemHolds(n, group) {
			continue
		}
		for _, i := range group {
			if wanted(&m.facts[i]) {
				m.pick(i, 0)
			}
		}
	}
}

// words picks the facts that say the words themselves, or are called by them.
// Where none is, the words stand around values only: of each moment the value
// nearest to them is picked, since the others are not what was asked for.
func (m *matcher) words(n *query.Word) {
	const named, valued, around = 1, 2, 3
	type place struct {
		at       schema.Seconds
		fact     int
		distance int
	}
	var near []place
	found := false
	for i := range m.facts {
		f := &m.facts[i]
		if !m.factHolds(n, f) {
			continue
		}
		marks := n.Find(f.shown())
		switch {
		case f.Quantity == nil && len(n.Find(f.Text)) > 0:
			m.pick(i, named)
		case f.Quantity != nil && (len(n.Find(f.Heard)) > 0 || len(n.Find(f.Quantity.String())) > 0 ||
			len(n.Find(f.Label)) > 0):
			m.pick(i, valued)
		default:
			if f.At == nil { // which moment is not known
				m.pick(i, around)
				m.marks[i] = append(m.marks[i], marks...)
				continue
			}
			near = append(near, place{at: *f.At, fact: i, distance: f.distance(marks)})
			continue
		}
		found = true
		m.marks[i] = append(m.marks[i], marks...)
	}
	if found {
		return
	}
	slices.SortStableFunc(near, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.distance, b.distance))
	})
	for k, p := range near {
		if k == 0 || p.at != near[k-1].at {
			m.pick(p.fact, around)
			m.marks[p.fact] = append(m.marks[p.fact], n.Find(m.facts[p.fact].shown())...)
		}
	}
}

// distance is how many bytes of the text shown lie between the words heard of a
// value and the nearest of the marks.
func (f *Fact) distance(marks []schema.Span) int {
	text := f.shown()
	at := strings.Index(text, f.Heard)
	if at < 0 {
		return len(text)
	}
	least := len(text)
	for _, m := range marks {
		least = min(least, max(m.Start-at-len(f.Heard), at-m.End, 0))
	}
	return least
}

// all are the matches in order. A quantity said once is shown once, though
// several places of the record rest on it by the same name.
func (m *matcher) all() []Match {
	picked := make([]int, 0, len(m.order))
	for i := range m.order {
		picked = append(picked, i)
	}
	slices.SortFunc(picked, func(a, b int) int {
		return cmp.Or(cmp.Compare(m.order[a], m.order[b]), cmp.Compare(a, b))
	})
	type restsOn struct {
		said  int
		label string
	}
	all := make([]Match, 0, len(picked))
	met := map[restsOn]bool{}
	for _, i := range picked {
		f := &m.facts[i]
		if key := (restsOn{f.Said, f.Label}); f.Said > 0 {
			if met[key] {
				continue
			}
			met[key] = true
		}
		one := Match{Fact: *f, Text: f.shown(), Marks: m.marks[i]}
		if len(one.Marks) == 0 && f.Quantity != nil {
			if at := strings.Index(one.Text, f.Heard); at >= 0 && f.Heard != "" {
				one.Marks = []schema.Span{{Start: at, End: at + len(f.Heard)}}
			}
		}
		all = append(all, one)
	}
	return all
}

// shown is the text that a match shows.
func (f *Fact) shown() string { return cmp.Or(f.Context, f.Heard, f.Text) }
