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
		eachValue(r, func(v *schema.Value) {
			if len(v.Said) > 0 && v.Said[0] == s.Number {
				v.Quantity, v.Status, v.Confidence = s.Quantity, s.Status, s.Confidence
			}
		})
	}
}

// eachValue gives every value in a place of the record.
func eachValue(r *schema.Record, f func(*schema.Value)) {
	opt := func(vs ...*schema.Value) {
		for _, v := range vs {
			if v != nil {
				f(v)
			}
		}
	}
	for i := range r.Body.Dimensions {
		f(&r.Body.Dimensions[i])
	}
	opt(r.Body.Mass, r.Body.Volume, r.Body.Density, r.Body.Display)
	for i := range r.Body.Other {
		f(&r.Body.Other[i].Value)
	}
	for i := range r.Claims {
		f(&r.Claims[i].Value)
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		opt(&l.Voltage, l.Current, l.Power)
	}
	if b := r.Battery; b != nil {
		c := &b.Cell
		opt(c.Capacity, c.Voltage, c.ChargeLimit, c.Cutoff, c.Energy, c.Mass, c.Resistance, c.Cycles)
		for _, p := range []*schema.Pack{&b.Pack, &b.Rated} {
			opt(p.Capacity, p.Voltage, p.Current, p.Full, p.Cutoff, p.Energy, p.Mass)
		}
		for i := range b.Other {
			f(&b.Other[i])
		}
	}
	if c := r.Cable; c != nil {
		opt(c.Length, c.Diameter, c.Mass, c.Voltage, c.Current, c.Power, c.DataRate, c.Resistance)
	}
	for i := range r.Components {
		for k := range r.Components[i].Ratings {
			f(&r.Components[i].Ratings[k].Value)
		}
	}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		f(&m.Value)
		if c := m.Condition; c != nil {
			opt(c.Mains, c.Voltage, c.Current, c.Power, c.Ambient, c.Time)
		}
	}
}
