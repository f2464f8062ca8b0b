package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
)

// Case is one set of values that a rule relates.
type Case struct {
	// Args are the values, the main one first: the one that a finding is
	// about.
	Args []Arg
	// Label says where we are, to open a sentence with: "USB-C1 PD". Where it
	// is empty and Level or Claim is set, it is theirs.
	Label string
	Level *schema.Level
	Claim *schema.Claim
	// Extra holds what else the rule's Test needs to know and no reading can
	// change: counts, protocols, other structure. Its type is the rule's.
	Extra any
}

// Arg is one value of a case and its place.
type Arg struct {
	Path  place.Path
	Value *schema.Value // Value.Said are the numbers of the quantities said
}

// OneLevel reports whether all values of the case are of one operating level.
func (c *Case) OneLevel() bool {
	for i := range c.Args {
		first, _ := c.Args[0].Path.Level()
		if level, ok := c.Args[i].Path.Level(); !ok || level != first {
			return false
		}
	}
	return true
}

// label opens the sentence of a finding.
func (c *Case) label() string {
	switch {
	case c.Label != "":
		return c.Label
	case c.Level != nil:
		return place.LevelLabel(c.Level)
	case c.Claim != nil:
		return claimLabel(c.Claim)
	}
	return ""
}

// arg pairs a value with its place.
func arg(v *schema.Value, p place.Path) Arg { return Arg{Path: p, Value: v} }

// in gives the ends of q in the coherent SI unit of kind k, equal for a single
// value; false where q is of another kind or has no unit, and so says nothing
// to a rule. Watts and volt-amperes count as one here.
func in(q *schema.Quantity, k schema.Kind) (low, high float64, ok bool) {
	if base, is := coherent(q.Unit); is {
		if base != k {
			return 0, 0, false
		}
		low = q.Low.Float64()
		if !q.Range {
			return low, low, true
		}
		return low, q.High.Float64(), true
	}
	i, found := q.Unit.Info()
	if !found || i.Kind != k && !(k == schema.KindPower && i.Kind == schema.KindApparentPower) {
		return 0, 0, false
	}
	low = q.Low.Float64()
	if i.Offset.Sign() != 0 {
		return q.LowSI(), q.SI(), true
	}
	if !q.Range {
		return low * i.Scale, low * i.Scale, true
	}
	return low * i.Scale, q.High.Float64() * i.Scale, true
}

// coherent gives the kind of the few coherent units that nearly everything is
// said in; it spares the look-up in the table of units.
func coherent(u schema.Unit) (schema.Kind, bool) {
	switch u {
	case "V":
		return schema.KindVoltage, true
	case "A":
		return schema.KindCurrent, true
	case "W":
		return schema.KindPower, true
	}
	return schema.KindUnknown, false
}

// one is in for a single positive value; a range, zero or a negative value is
// refused.
func one(q *schema.Quantity, k schema.Kind) (float64, bool) {
	low, _, ok := in(q, k)
	return low, ok && !q.Range && low > 0
}

// two is one of the first two quantities, of a kind each.
func two(q []schema.Quantity, a, b schema.Kind) (x, y float64, ok bool) {
	x, ok1 := one(&q[0], a)
	y, ok2 := one(&q[1], b)
	return x, y, ok1 && ok2
}

// three is one of the first three quantities, of a kind each.
func three(q []schema.Quantity, a, b, c schema.Kind) (x, y, z float64, ok bool) {
	x, y, ok = two(q, a, b)
	z, ok3 := one(&q[2], c)
	return x, y, z, ok && ok3
}
