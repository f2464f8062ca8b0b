// Package replay says what a record is with what people decided of it.
//
// A record is kept as it was read. Decisions are kept beside it, and [Over] writes
// them into a copy: quantities with the places that rest on them, names with the parts,
// ports and levels that have them. A decision is of the captions that it was made on:
// it changes no record of others. How likely other values are with it is not known
// here, since that takes the captions; a new version of the review is read with it.
package replay

import (
	"slices"

	"saywatt/internal/archive/store"
	"saywatt/schema"
)

// Over replays decisions over a record, in the order in which they were made.
func Over(r *schema.Record, all []*store.Decision) {
	read := slices.Clone(r.Quantities)
	var names []*store.Decision
	for _, d := range all {
		if d.Names != "" {
			names = append(names, d)
			continue
		}
		settle(r, d, read)
	}
	settleNames(r, names)
}

// settle replays a decision over a record: the quantity with the same bytes
// of the same source, and the places that rest on it. Reopened, it is open
// again with its first reading; taken back, it is as it was read. That nothing
// was said at a place is for a new version to say, read with the decision.
func settle(r *schema.Record, d *store.Decision, read []schema.Said) {
	if d.Span == nil || d.Source != r.Source.SHA256 {
		return
	}
	for i := range r.Quantities {
		s := &r.Quantities[i]
		if s.Span != *d.Span || d.Kind != nil && read[i].Kind != *d.Kind {
			continue
		}
		r.Counts.Count(s, -1)
		switch {
		case d.Act == store.ActSettled && d.Quantity != nil:
			s.Quantity, s.Status, s.Confidence = *d.Quantity, schema.StatusSettled, 1
			s.Kind = s.Quantity.Unit.Kind()
		case d.Act == store.ActReopened && len(s.Readings) > 0:
			s.Quantity, s.Confidence = s.Readings[0].Quantity, s.Readings[0].Confidence
			s.Status = schema.StatusOpen
		case d.Act == store.ActTakenBack:
			*s = read[i]
			if s.Status == schema.StatusSettled { // this version was read with the decision
				s.Status = schema.StatusOpen
			}
		}
		r.Counts.Count(s, 1)
		r.EachValue(func(v *schema.Value, _ ...string) {
			if len(v.Said) > 0 && v.Said[0] == s.Number {
				v.Quantity, v.Status, v.Confidence = s.Quantity, s.Status, s.Confidence
			}
		})
	}
}
