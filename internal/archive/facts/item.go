package facts

import (
	"saywatt/internal/archive/query"
	"saywatt/schema"
)

// The kinds of items.
const (
	Level = "level"
	Part  = "part"
)

// An Item is a level or part of a record, which queries ask for as a whole: what they
// want must all be in one. The zero value is none.
type Item struct {
	Kind string // Level or Part, as queries call it
	N    int    // its place in Record.Levels or Record.Components
}

// Words are the words by which the item is asked for: "" stands for none. Several words
// in a question are looked up one by one.
func (i Item) Words(r *schema.Record) []string {
	if i.Kind == Level {
		l := &r.Levels[i.N]
		return append([]string{""}, query.Words(l.Protocol+" "+l.Port+" "+Direction(l.Mode))...)
	}
	c := &r.Components[i.N]
	return append([]string{""}, query.Words(c.Kind+" "+c.Maker+" "+c.Part+" "+c.Package)...)
}

// A Base is a quantity in the base unit of its kind, so that those of one kind compare
// as numbers. Low and High are the same where it is no range.
type Base struct {
	Kind      string // as query.SI names it: power, "other {nits}", query.NumberKind
	Low, High schema.Decimal
}

// BaseOf is a quantity in the base unit of its kind.
func BaseOf(q *schema.Quantity) Base {
	low, kind := query.SI(q.Low, q.Unit)
	if !q.Range {
		return Base{kind, low, low}
	}
	high, _ := query.SI(q.High, q.Unit)
	return Base{kind, low, high}
}

// Same reports whether two quantities are the same, in whatever units they were said.
func (b Base) Same(o Base) bool {
	return b.Kind == o.Kind && b.Low.Equal(o.Low) && b.High.Equal(o.High)
}
