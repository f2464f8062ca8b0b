package archive

import (
	"saywatt/internal/archive/compare"
	"saywatt/internal/archive/store"
	"saywatt/schema"
)

// Row is one property of the reviews that are compared.
type Row = compare.Row

// Comparison sets reviews side by side.
type Comparison struct {
	Reviews []*Review
	Rows    []Row    // those that differ first, each part in the order of the record
	Common  []string // part numbers that all of them have
	Damages []*store.Damage
}

// Compare sets the named reviews side by side: aligned by field, units
// converted to those of the first.
func (a *Archive) Compare(names ...string) (*Comparison, error) {
	c := &Comparison{}
	var records []*schema.Record
	for _, name := range names {
		rv, r, damages, err := a.Record(name)
		if err != nil {
			return nil, err
		}
		rv.about(r)
		c.Reviews, records = append(c.Reviews, rv), append(records, r)
		c.Damages = append(c.Damages, damages...)
	}
	c.Rows, c.Common = compare.Rows(records), compare.CommonParts(records)
	return c, nil
}
