package match

import (
	"cmp"
	"slices"
	"strings"

	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// Match is a fact that a query asked for.
type Match struct {
	Fact  facts.Fact
	Text  string        // the words around it, or the name
	Marks []schema.Span // bytes of Text that were asked for
}

// Matches lists the facts that answer the query, values and names before
// words.
func (s *Subject) Matches(root query.Node) []Match {
	m := matcher{Subject: s, order: map[int]int{}, marks: map[int][]schema.Span{}}
	query.Leaves(root, func(n query.Node) {
		switch n := n.(type) {
		case *query.Item:
			m.items(n)
		case *query.Word:
			m.words(n)
		default:
			for i := range s.Facts {
				if s.factHolds(n, &s.Facts[i]) {
					m.pick(i, 0)
				}
			}
		}
	})
	return m.all()
}

// matcher gathers the facts that answer a query.
type matcher struct {
	*Subject
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
	wanted := func(f *facts.Fact) bool {
		return len(n.Exact) == 0 || f.Quantity != nil && slices.ContainsFunc(n.Exact, func(e query.Element) bool {
			return facts.BaseOf(&e.Quantity).Same(f.Base)
		})
	}
	for _, g := range m.groups(n.Item) {
		if !m.groupHolds(n, &g) {
			continue
		}
		for _, i := range g.facts {
			if wanted(&m.Facts[i]) {
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
	for i := range m.Facts {
		f := &m.Facts[i]
		if !m.factHolds(n, f) {
			continue
		}
		marks := n.Find(shown(f))
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
			near = append(near, place{at: *f.At, fact: i, distance: distance(f, marks)})
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
			m.marks[p.fact] = append(m.marks[p.fact], n.Find(shown(&m.Facts[p.fact]))...)
		}
	}
}

// distance is how many bytes of the text shown lie between the words heard of a
// value and the nearest of the marks.
func distance(f *facts.Fact, marks []schema.Span) int {
	text := shown(f)
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
		f := &m.Facts[i]
		if key := (restsOn{f.Said, f.Label}); f.Said > 0 {
			if met[key] {
				continue
			}
			met[key] = true
		}
		one := Match{Fact: *f, Text: shown(f), Marks: m.marks[i]}
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
func shown(f *facts.Fact) string { return cmp.Or(f.Context, f.Heard, f.Text) }
