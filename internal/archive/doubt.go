package archive

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// A doubt is how sure what is shown is: what was said, and where it belongs.
type doubt struct {
	status schema.Status
	place  schema.PlaceDoubt
}

// doubtOf is the doubt of a value of a record, none where it is absent.
func doubtOf(r *schema.Record, v *schema.Value) doubt {
	if v == nil {
		return doubt{}
	}
	return doubt{v.Status, r.PlaceDoubtOf(v)}
}

func (f *Fact) doubt() doubt { return doubt{f.Status, f.Place} }

// mark is the sign of it, as sheets have it.
func (d doubt) mark() string { return d.status.Mark() + d.place.Mark() }

// and is the doubt of what rests on both.
func (d doubt) and(o doubt) doubt {
	return doubt{leastSure(d.status, o.status), max(d.place, o.place)}
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

// unmarked is a text without the marks of doubt: what is said is the same.
func unmarked(s string) string {
	for _, status := range []schema.Status{schema.StatusRepaired, schema.StatusOpen, schema.StatusSettled} {
		s = strings.ReplaceAll(s, status.Mark(), "")
	}
	for d := schema.PlaceUncertain; d <= schema.PlaceUnlikely; d++ {
		s = strings.ReplaceAll(s, d.Mark(), "")
	}
	return s
}
