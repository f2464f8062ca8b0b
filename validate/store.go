package validate

import (
	"saywatt/schema"
	"saywatt/validate/place"
)

// store is the energy of all cells as a record says it: one energy, or a
// charge and a voltage to multiply, a number of times.
type store struct {
	args  []Arg
	times int
}

// storeOf picks the most direct way in which a record says the energy of its
// cells: the pack's energy; its charge at the single-cell voltage (handbook 5.5
// E3), or at its own where the cells are one string or nothing else is said; the
// energy of a cell; the charge and voltage of a cell. False where it says none.
func storeOf(b *schema.Battery) (store, bool) {
	if b == nil {
		return store{}, false
	}
	n := max(b.Cell.Count, 1)
	switch {
	case b.Pack.Energy != nil:
		return store{[]Arg{arg(b.Pack.Energy, place.Field("battery.pack.energy"))}, 1}, true
	case b.Pack.Capacity != nil && b.Cell.Voltage != nil && !inSeries(b):
		return store{[]Arg{arg(b.Pack.Capacity, place.Field("battery.pack.capacity")),
			arg(b.Cell.Voltage, place.Field("battery.cell.voltage"))}, 1}, true
	case b.Pack.Capacity != nil && b.Pack.Voltage != nil:
		return store{[]Arg{arg(b.Pack.Capacity, place.Field("battery.pack.capacity")),
			arg(b.Pack.Voltage, place.Field("battery.pack.voltage"))}, 1}, true
	case b.Cell.Energy != nil:
		return store{[]Arg{arg(b.Cell.Energy, place.Field("battery.cell.energy"))}, n}, true
	case b.Cell.Capacity != nil && b.Cell.Voltage != nil:
		return store{[]Arg{arg(b.Cell.Capacity, place.Field("battery.cell.capacity")),
			arg(b.Cell.Voltage, place.Field("battery.cell.voltage"))}, n}, true
	}
	return store{}, false
}

// inSeries reports whether the cells are one string, so that the pack's charge is at the
// pack's voltage: its charge is that of one cell, and its voltage is said.
func inSeries(b *schema.Battery) bool {
	if b.Pack.Voltage == nil || b.Cell.Capacity == nil {
		return false
	}
	pack, ok1 := one(&b.Pack.Capacity.Quantity, schema.KindCharge)
	cell, ok2 := one(&b.Cell.Capacity.Quantity, schema.KindCharge)
	return ok1 && ok2 && pack == cell
}

// joules is the energy with q assumed for the store's arguments.
func (s store) joules(q []schema.Quantity) (float64, bool) {
	e, ok := joulesOf(q[:len(s.args)])
	return e * float64(s.times), ok
}

// joulesOf is one energy, or charge × voltage.
func joulesOf(q []schema.Quantity) (float64, bool) {
	if len(q) == 1 {
		return one(&q[0], schema.KindEnergy)
	}
	c, ok1 := one(&q[0], schema.KindCharge)
	v, ok2 := one(&q[1], schema.KindVoltage)
	return c * v, ok1 && ok2
}

// words puts the store in words: "20000 mAh × 3.7 V".
func (s store) words(q []schema.Quantity) string {
	t := product(q[:len(s.args)])
	if s.times > 1 {
		t = amount(float64(s.times), "1") + " × " + t
	}
	return t
}

// product words a product of quantities: "3.7 V × 10000 mAh".
func product(q []schema.Quantity) string {
	t := ""
	for i := range q {
		if i > 0 {
			t += " × "
		}
		t += q[i].String()
	}
	return t
}
