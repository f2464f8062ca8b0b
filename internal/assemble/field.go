package assemble

import (
	"strings"

	"saywatt/schema"
)

// fieldOf is the field of a property among some, nil where none is of it.
func fieldOf(fields []schema.Field, property string) **schema.Value {
	for _, f := range fields {
		if f.Name == property {
			return f.Value
		}
	}
	return nil
}

// paths writes into every quantity the path of the field that holds it.
func (f *filler) paths() {
	f.rec.EachValue(func(v *schema.Value, path ...string) {
		for _, n := range v.Said {
			if q := f.rec.Quantity(n); q != nil && q.Place == "" {
				q.Place = strings.Join(path, "")
			}
		}
	})
}
