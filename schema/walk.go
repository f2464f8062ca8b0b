package schema

import "strconv"

// A Field is a place of a record that holds one value at most.
type Field struct {
	Name  string // of the property: "capacity", "charge_limit"
	Value **Value
}

// Fields are the properties of the outside, but for its dimensions and what has no field.
func (b *Body) Fields() []Field {
	return []Field{{"mass", &b.Mass}, {"volume", &b.Volume}, {"density", &b.Density}, {"display", &b.Display}}
}

// Fields are the properties of one cell.
func (c *Cell) Fields() []Field {
	return []Field{{"capacity", &c.Capacity}, {"voltage", &c.Voltage}, {"charge_limit", &c.ChargeLimit},
		{"cutoff", &c.Cutoff}, {"energy", &c.Energy}, {"mass", &c.Mass}, {"resistance", &c.Resistance},
		{"cycles", &c.Cycles}}
}

// Fields are the properties of a pack, or of the rated output.
func (p *Pack) Fields() []Field {
	return []Field{{"capacity", &p.Capacity}, {"voltage", &p.Voltage}, {"current", &p.Current}, {"full", &p.Full},
		{"cutoff", &p.Cutoff}, {"energy", &p.Energy}, {"mass", &p.Mass}}
}

// Fields are the properties of a cable, but for its gauges, which are no values.
func (c *Cable) Fields() []Field {
	return []Field{{"length", &c.Length}, {"diameter", &c.Diameter}, {"mass", &c.Mass}, {"voltage", &c.Voltage},
		{"current", &c.Current}, {"power", &c.Power}, {"data_rate", &c.DataRate}, {"resistance", &c.Resistance}}
}

// Fields are what a measurement was made under.
func (c *Condition) Fields() []Field {
	return []Field{{"mains", &c.Mains}, {"voltage", &c.Voltage}, {"current", &c.Current}, {"power", &c.Power},
		{"ambient", &c.Ambient}, {"time", &c.Time}}
}

// EachValue gives the values that the level has, with the names of their properties.
func (l *Level) EachValue(visit func(v *Value, property string)) {
	visit(&l.Voltage, "voltage")
	if l.Current != nil {
		visit(l.Current, "current")
	}
	if l.Power != nil {
		visit(l.Power, "power")
	}
}

// EachValue gives every value that stands in a place of the record, with the pieces of
// the path of its place: "levels[", "2", "].current".
func (r *Record) EachValue(visit func(v *Value, path ...string)) {
	n := strconv.Itoa
	at := func(v *Value, path ...string) {
		if v != nil {
			visit(v, path...)
		}
	}
	fields := func(all []Field, path ...string) {
		for _, f := range all {
			at(*f.Value, append(path[:len(path):len(path)], f.Name)...)
		}
	}
	for i := range r.Body.Dimensions {
		visit(&r.Body.Dimensions[i], "body.dimensions[", n(i), "]")
	}
	fields(r.Body.Fields(), "body.")
	for i := range r.Body.Other {
		visit(&r.Body.Other[i].Value, "body.other[", n(i), "]")
	}
	for i := range r.Claims {
		visit(&r.Claims[i].Value, "claims[", n(i), "]")
	}
	for i := range r.Levels {
		r.Levels[i].EachValue(func(v *Value, property string) { visit(v, "levels[", n(i), "].", property) })
	}
	if b := r.Battery; b != nil {
		fields(b.Cell.Fields(), "battery.cell.")
		fields(b.Pack.Fields(), "battery.pack.")
		fields(b.Rated.Fields(), "battery.rated.")
		for i := range b.Other {
			visit(&b.Other[i], "battery.other[", n(i), "]")
		}
	}
	if r.Cable != nil {
		fields(r.Cable.Fields(), "cable.")
	}
	for i := range r.Components {
		for k := range r.Components[i].Ratings {
			visit(&r.Components[i].Ratings[k].Value, "components[", n(i), "].ratings[", n(k), "]")
		}
	}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		visit(&m.Value, "measurements[", n(i), "]")
		if m.Condition != nil {
			fields(m.Condition.Fields(), "measurements[", n(i), "].condition.")
		}
	}
}
