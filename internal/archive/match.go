package archive

import (
	"cmp"
	"slices"
	"strings"

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
func (s *subject) holds(n node) bool {
	switch n := n.(type) {
	case nil:
		return true
	case *andNode:
		for _, k := range n.kids {
			if !s.holds(k) {
				return false
			}
		}
		return true
	case *orNode:
		return slices.ContainsFunc(n.kids, s.holds)
	case *notNode:
		return !s.holds(n.kid)
	case *wordNode:
		if len(n.find(s.title)) > 0 {
			return true
		}
	case *fieldNode:
		for _, c := range s.extra {
			if c.name == n.field && n.wants(c.value) {
				return true
			}
		}
	case *itemNode:
		for _, group := range s.items(n.item) {
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
func (s *subject) factHolds(n node, f *Fact) bool {
	switch n := n.(type) {
	case *wordNode:
		for _, text := range f.texts() {
			if len(n.find(text)) > 0 {
				return true
			}
		}
	case *fieldNode:
		return slices.Contains(f.fields, n.field) && n.wants(f.Text)
	case *condition:
		return n.meets(f)
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

// find gives the places in a text that the word or phrase is at.
func (n *wordNode) find(text string) []schema.Span {
	wanted := [][]string{words(n.text)}
	for _, near := range n.near {
		wanted = append(wanted, strings.Split(near, " "))
	}
	var found []schema.Span
	have := tokens(text)
	for _, want := range wanted {
		for i := 0; i+len(want) <= len(have); i++ {
			if isRun(have[i:i+len(want)], want, n.prefix) {
				found = append(found, schema.Span{Start: have[i].start, End: have[i+len(want)-1].end})
			}
		}
	}
	slices.SortFunc(found, func(a, b schema.Span) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
	})
	return found
}

func isRun(have []token, want []string, prefix bool) bool {
	for i := range want {
		last := i == len(want)-1
		if have[i].text != want[i] && !(last && prefix && strings.HasPrefix(have[i].text, want[i])) {
			return false
		}
	}
	return true
}

// wants reports whether a value is what the field should have.
func (n *fieldNode) wants(value string) bool {
	wanted := append([]string{folded(n.value)}, n.near...)
	w := words(value)
	for i := range w {
		rest := strings.Join(w[i:], " ")
		for _, want := range wanted {
			if rest == want || strings.HasPrefix(rest, want) && (n.prefix || rest[len(want)] == ' ') {
				return true
			}
		}
	}
	return false
}

// meets reports whether a fact's value meets the condition.
func (n *condition) meets(f *Fact) bool {
	if f.Quantity == nil {
		return false
	}
	on := false
	f.paths(func(group, name string) {
		if group != "" {
			name = group + "." + name
		}
		on = on || name == n.path
	})
	if !on {
		return false
	}
	low, high := n.ends()
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
func (s *subject) itemHolds(n *itemNode, group []int) bool {
	first := &s.facts[group[0]]
	_, number := itemOf(cmp.Or(first.item, strings.TrimSuffix(first.Path, ".kind")))
	names := itemWords(s.record, n.item, number)
	for _, w := range n.words {
		if !slices.Contains(names, w) {
			return false
		}
	}
	for i := range n.exact {
		want := elementTerm(&n.exact[i].quantity)
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
func (s *subject) matches(root node) []Match {
	m := matcher{subject: s, order: map[int]int{}, marks: map[int][]schema.Span{}}
	leaves(root, func(n node) {
		switch n := n.(type) {
		case *itemNode:
			m.items(n)
		case *wordNode:
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
func (m *matcher) items(n *itemNode) {
	wanted := func(f *Fact) bool {
		return len(n.exact) == 0 || f.Quantity != nil && slices.ContainsFunc(n.exact, func(e element) bool {
			return elementTerm(&e.quantity) == elementTerm(f.Quantity)
		})
	}
	for _, group := range m.subject.items(n.item) {
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
func (m *matcher) words(n *wordNode) {
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
		marks := n.find(f.shown())
		switch {
		case f.Quantity == nil && len(n.find(f.Text)) > 0:
			m.pick(i, named)
		case f.Quantity != nil && (len(n.find(f.Heard)) > 0 || len(n.find(f.Quantity.String())) > 0 ||
			len(n.find(f.Label)) > 0):
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
			m.marks[p.fact] = append(m.marks[p.fact], n.find(m.facts[p.fact].shown())...)
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
