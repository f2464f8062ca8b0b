package validate

import (
	"math"
	"slices"

	"saywatt/schema"
	"saywatt/validate/place"
	"saywatt/validate/standard"
)

// movesData reports whether data rates were said: the product is no mere charger.
func movesData(r *schema.Record) bool {
	return slices.ContainsFunc(r.Quantities, func(q schema.Said) bool { return q.Kind == schema.KindDataRate })
}

// looseHub: what moves data draws power for that without any load.
func looseHub(r *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if j.Cause == causeAbove && movesData(r) {
		return onData
	}
	return ""
}

// looseOneWay: the resistance of one conductor is half of that out and back, and less
// by the contacts.
func looseOneWay(_ *schema.Record, _ *Case, _ []schema.Quantity, j Judgement) string {
	if j.Cause == causeUnder && apart(j.Got, j.Limit) <= math.Log(cableOneWay().High) {
		return onWay
	}
	return ""
}

var cableOneWay = standard.Bound("cable.oneway")

// looseCableSize: sizes said of cables are those of plugs too.
func looseCableSize(_ *schema.Record, c *Case, _ []schema.Quantity, j Judgement) string {
	if c.Extra.(string) == "diameter" && j.Cause == causeOver && apart(j.Got, j.Limit) <= math.Log(plugWide().High) {
		return onPlug
	}
	return ""
}

var plugWide = standard.Bound("cable.plug.wide")

// looseCablePower: a voltage below what USB begins at is one lost on the way.
func looseCablePower(_ *schema.Record, c *Case, q []schema.Quantity, _ Judgement) string {
	if v, ok := one(&q[1], schema.KindVoltage); ok && v < cables().standard.High/4 {
		return onDrop
	}
	if together(c.Args[0].Value, c.Args[1].Value) || together(c.Args[0].Value, c.Args[2].Value) {
		return ""
	}
	return onSameThing
}

// looseDrop: a marker says what a cable may carry; what is said of the product
// may ask less of it.
func looseDrop(r *schema.Record, _ *Case, q []schema.Quantity, j Judgement) string {
	most, labelled := 0.0, false
	for i := range r.Levels {
		if l := &r.Levels[i]; l.Current != nil && !place.IsInput(l.Mode) {
			if a, ok := one(&l.Current.Quantity, schema.KindCurrent); ok {
				most, labelled = max(most, a), true
			}
		}
	}
	if a, ok := one(&q[1], schema.KindCurrent); labelled && ok && most*j.Got/a <= j.Limit {
		return onInUse
	}
	return ""
}
