package facts

import (
	"slices"

	"saywatt/schema"
)

// follows adds the power that follows from voltage and current of a level,
// where none was said of it: 65 W of 20 V and 3.25 A. It is not said, and as
// sure as the less sure of the two. A range of voltages has no one power: what a
// port gives over it is often less than its highest voltage times its current.
func (c *collector) follows(path, label string, item Item, groups []string) {
	l := &c.r.Levels[item.N]
	power, ok := l.Product()
	if !ok || l.Voltage.Quantity.Range {
		return
	}
	f := Fact{Path: path,
		Label:    label + " power, by " + l.Voltage.Quantity.String() + " × " + l.Current.Quantity.String(),
		Property: "power", Quantity: &power, Status: leastSure(l.Voltage.Status, l.Current.Status),
		Place: max(c.r.PlaceDoubtOf(&l.Voltage), c.r.PlaceDoubtOf(l.Current)),
		Basis: schema.BasisDerived, Groups: groups, Item: item, OfProduct: true}
	if len(l.Current.Said) > 0 {
		if s := c.r.Quantity(l.Current.Said[0]); s != nil {
			f.At, f.Media, f.Context = s.At, s.Media, s.Context
		}
	}
	c.facts = append(c.facts, f)
}

// Follows reports whether nobody said the value.
func (f *Fact) Follows() bool { return f.Basis == schema.BasisDerived && f.Said == 0 }

// HighestOutput is the highest power of an output that a record speaks of, said
// or by its levels, in watts, with the doubt of it. What was measured is not
// among them.
func HighestOutput(facts []Fact) (power schema.Decimal, of Doubt) {
	for i := range facts {
		f := &facts[i]
		if f.Quantity == nil || !f.OfProduct || f.Property != "power" || !slices.Contains(f.Groups, "output") ||
			slices.Contains(f.Groups, "measured") {
			continue
		}
		if w := f.Base.High; f.Base.Kind == schema.KindPower.String() && w.Cmp(power) > 0 {
			power, of = w, f.Doubt()
		}
	}
	return power, of
}
