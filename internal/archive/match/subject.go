package match

import (
	"slices"
	"time"

	"saywatt/internal/archive/facts"
	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// A Review is what is known of a review beside its record.
type Review struct {
	Name    string
	Title   string // given to it, "" for none
	Product string // what it is of, also where its newest version names none
	Added   time.Time
}

// A Subject is one review as queries see it. It is also what the index is made of, and
// what it is tested against.
type Subject struct {
	Review
	Record *schema.Record
	Facts  []facts.Fact
	Fields []Field // asked for by name, and no fact: review, name, status, year, class
}

// A Field is a value that queries ask for by name.
type Field struct{ Name, Value string }

// New is a review with the record of its newest version.
func New(rv Review, r *schema.Record) *Subject {
	s := &Subject{Review: rv, Record: r, Facts: facts.Of(r)}
	add := func(name, value string) {
		if value != "" {
			s.Fields = append(s.Fields, Field{name, value})
		}
	}
	add("review", rv.Name)
	add("name", rv.Title)
	add("status", statusOf(r))
	if !rv.Added.IsZero() {
		add("year", rv.Added.UTC().Format("2006"))
	}
	if power, _ := facts.HighestOutput(s.Facts); power.Sign() > 0 {
		add("class", query.Known().ClassOf(power))
	}
	return s
}

// statusOf is the status of a record as a whole: open where anything waits for a
// person, else the most that was done to it.
func statusOf(r *schema.Record) string {
	for _, s := range [...]schema.Status{schema.StatusOpen, schema.StatusSettled, schema.StatusRepaired} {
		if slices.ContainsFunc(r.Quantities, func(q schema.Said) bool { return q.Status == s }) {
			return s.String()
		}
	}
	return schema.StatusHeard.String()
}

// Holds reports whether the record is what the query wants.
func (s *Subject) Holds(n query.Node) bool {
	switch n := n.(type) {
	case nil:
		return true
	case *query.And:
		for _, k := range n.Kids {
			if !s.Holds(k) {
				return false
			}
		}
		return true
	case *query.Or:
		return slices.ContainsFunc(n.Kids, s.Holds)
	case *query.Not:
		return !s.Holds(n.Kid)
	case *query.Word:
		if len(n.Find(s.Title)) > 0 {
			return true
		}
	case *query.Field:
		for _, f := range s.Fields {
			if f.Name == n.Field && n.Wants(f.Value) {
				return true
			}
		}
	case *query.Item:
		for _, g := range s.groups(n.Item) {
			if s.groupHolds(n, &g) {
				return true
			}
		}
		return false
	}
	for i := range s.Facts {
		if s.factHolds(n, &s.Facts[i]) {
			return true
		}
	}
	return false
}

// factHolds reports whether a fact answers a leaf that is no item.
func (s *Subject) factHolds(n query.Node, f *facts.Fact) bool {
	switch n := n.(type) {
	case *query.Word:
		for _, text := range f.Texts() {
			if len(n.Find(text)) > 0 {
				return true
			}
		}
	case *query.Field:
		return slices.Contains(f.Fields, n.Field) && n.Wants(f.Text)
	case *query.Condition:
		return meets(n, f)
	}
	return false
}

// meets reports whether a fact's value meets a condition.
func meets(n *query.Condition, f *facts.Fact) bool {
	if f.Quantity == nil {
		return false
	}
	on := false
	f.Paths(func(group, name string) {
		if group != "" {
			name = group + "." + name
		}
		on = on || name == n.Path
	})
	if !on {
		return false
	}
	low, high := n.InBase()
	return isAbove(low, f.Base.High) && isBelow(high, f.Base.Low)
}

// isAbove reports whether a low end lets a value in.
func isAbove(low query.Bound, v schema.Decimal) bool {
	c := v.Cmp(low.Value)
	return low.Unbounded || c > 0 || c == 0 && !low.Open
}

// isBelow reports whether a high end lets a value in.
func isBelow(high query.Bound, v schema.Decimal) bool {
	c := v.Cmp(high.Value)
	return high.Unbounded || c < 0 || c == 0 && !high.Open
}

// A group is the facts of a level or part, by their place in Subject.Facts.
type group struct {
	item  facts.Item
	facts []int
}

// groups lists the levels or the parts with their facts. A part without ratings has the
// naming of its kind.
func (s *Subject) groups(kind string) []group {
	var all []group
	rated := map[int]bool{}
	for i := range s.Facts {
		item := s.Facts[i].Item
		if item.Kind != kind {
			continue
		}
		if last := len(all) - 1; last < 0 || all[last].item != item {
			all = append(all, group{item: item})
			rated[item.N] = true
		}
		last := &all[len(all)-1]
		last.facts = append(last.facts, i)
	}
	if kind != facts.Part {
		return all
	}
	for i := range s.Facts {
		if n, field := schema.ComponentField(s.Facts[i].Path); field == "kind" && !rated[n] {
			all = append(all, group{facts.Item{Kind: kind, N: n}, []int{i}})
		}
	}
	return all
}

// groupHolds reports whether one level or part has all that is wanted.
func (s *Subject) groupHolds(n *query.Item, g *group) bool {
	names := g.item.Words(s.Record)
	for _, w := range n.Words {
		if !slices.Contains(names, w) {
			return false
		}
	}
	for i := range n.Exact {
		want := facts.BaseOf(&n.Exact[i].Quantity)
		if !slices.ContainsFunc(g.facts, func(k int) bool {
			f := &s.Facts[k]
			return f.Quantity != nil && f.Base.Same(want)
		}) {
			return false
		}
	}
	return true
}
