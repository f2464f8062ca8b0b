package facts

import (
	"slices"

	"saywatt/schema"
)

// A Doubt is how sure what is shown is: what was said, and where it belongs.
type Doubt struct {
	Status schema.Status
	Place  schema.PlaceDoubt
}

// DoubtOf is the doubt of a value of a record, none where it is absent.
func DoubtOf(r *schema.Record, v *schema.Value) Doubt {
	if v == nil {
		return Doubt{}
	}
	return Doubt{v.Status, r.PlaceDoubtOf(v)}
}

// Doubt is how sure the fact is.
func (f *Fact) Doubt() Doubt { return Doubt{f.Status, f.Place} }

// Mark is the sign of it, as sheets have it.
func (d Doubt) Mark() string { return d.Status.Mark() + d.Place.Mark() }

// And is the doubt of what rests on both.
func (d Doubt) And(o Doubt) Doubt {
	return Doubt{leastSure(d.Status, o.Status), max(d.Place, o.Place)}
}

// leastSure is the status that most wants a person's eye.
func leastSure(statuses ...schema.Status) schema.Status {
	for _, s := range [...]schema.Status{
		schema.StatusOpen, schema.StatusRepaired, schema.StatusHeard, schema.StatusSettled,
	} {
		if slices.Contains(statuses, s) {
			return s
		}
	}
	return schema.StatusUnknown
}
