package validate

import (
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
)

// A teardown names the mains in passing: "a charger for 100 to 240 volts". Where
// no input took that range up, or a part did, the parts are held against it all the same, since
// a range between two usual ends of the mains can be of nothing else in a product
// that has parts on the mains. The reading engine does not come this way.

// withMains is the record with a mains input of a range that is in no place, where
// it has parts on the mains and no mains input; else the record as it is.
func withMains(r *schema.Record) *schema.Record {
	if len(mainsVoltages(r)) > 0 || !hasMainsPart(r) {
		return r
	}
	for _, n := range append(ofParts(r), r.Unplaced...) {
		s := r.Quantity(n)
		if s == nil || s.Withdrawn || s.Aside == schema.AsideOther || !isMainsRange(&s.Quantity) {
			continue
		}
		with := *r
		with.Levels = append(slices.Clip(r.Levels), schema.Level{Mode: "input", Protocol: schema.MainsProtocol,
			Voltage: schema.Value{Quantity: s.Quantity, Basis: schema.BasisLabel, Status: s.Status,
				Confidence: s.Confidence, Said: []int{n}}})
		return &with
	}
	return r
}

// ofParts are the quantities that were put down as ratings of parts and are ranges of
// the mains: no part is rated so.
func ofParts(r *schema.Record) (said []int) {
	for i := range r.Components {
		for k := range r.Components[i].Ratings {
			if v := &r.Components[i].Ratings[k].Value; isMainsRange(&v.Quantity) && len(v.Said) > 0 {
				said = append(said, v.Said[0])
			}
		}
	}
	return said
}

// supposedPath is the path of what withMains adds to a record.
func supposedPath(r *schema.Record) string { return place.Level(len(r.Levels), "voltage").String() }

// isMainsRange reports whether a range lies between two usual ends of the mains.
func isMainsRange(q *schema.Quantity) bool {
	low, high, ok := in(q, schema.KindVoltage)
	return ok && q.Range && member(low, inputs().lows) >= 0 && member(high, inputs().highs) >= 0
}

// hasMainsPart reports whether a record has a part that margins.tsv holds against
// the mains.
func hasMainsPart(r *schema.Record) bool {
	for _, m := range margins() {
		if m.against != againstOutput && slices.ContainsFunc(r.Components, func(c schema.Component) bool {
			return slices.Contains(m.kinds, c.Kind)
		}) {
			return true
		}
	}
	return false
}
