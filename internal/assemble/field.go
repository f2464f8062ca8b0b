package assemble

import (
	"strconv"
	"strings"

	"saywatt/schema"
)

// field is a place in a record that holds one value.
type field struct {
	name  string
	value **schema.Value
}

func cellFields(c *schema.Cell) []field {
	return []field{{"capacity", &c.Capacity}, {"voltage", &c.Voltage}, {"charge_limit", &c.ChargeLimit},
		{"cutoff", &c.Cutoff},
		{"energy", &c.Energy}, {"mass", &c.Mass}, {"resistance", &c.Resistance}, {"cycles", &c.Cycles}}
}

func packFields(p *schema.Pack) []field {
	return []field{{"capacity", &p.Capacity}, {"voltage", &p.Voltage}, {"current", &p.Current}, {"full", &p.Full},
		{"cutoff", &p.Cutoff},
		{"energy", &p.Energy}, {"mass", &p.Mass}}
}

func conditionFields(c *schema.Condition) []field {
	return []field{{"mains", &c.Mains}, {"voltage", &c.Voltage}, {"current", &c.Current}, {"power", &c.Power},
		{"ambient", &c.Ambient}, {"time", &c.Time}}
}

// paths writes into every quantity the path of the field that holds it.
func (f *filler) paths() {
	r := f.rec
	at := func(v *schema.Value, parts ...string) {
		if v == nil {
			return
		}
		path := strings.Join(parts, "")
		for _, n := range v.Said {
			if q := r.Quantity(n); q != nil && q.Place == "" {
				q.Place = path
			}
		}
	}
	n := strconv.Itoa
	for i := range r.Body.Dimensions {
		at(&r.Body.Dimensions[i], "body.dimensions[", n(i), "]")
	}
	at(r.Body.Mass, "body.mass")
	at(r.Body.Volume, "body.volume")
	at(r.Body.Density, "body.density")
	at(r.Body.Display, "body.display")
	for i := range r.Body.Other {
		at(&r.Body.Other[i].Value, "body.other[", n(i), "]")
	}
	for i := range r.Claims {
		at(&r.Claims[i].Value, "claims[", n(i), "]")
	}
	for i := range r.Levels {
		l := &r.Levels[i]
		at(&l.Voltage, "levels[", n(i), "].voltage")
		at(l.Current, "levels[", n(i), "].current")
		at(l.Power, "levels[", n(i), "].power")
	}
	if b := r.Battery; b != nil {
		for _, c := range cellFields(&b.Cell) {
			at(*c.value, "battery.cell.", c.name)
		}
		for _, c := range packFields(&b.Pack) {
			at(*c.value, "battery.pack.", c.name)
		}
		for _, c := range packFields(&b.Rated) {
			at(*c.value, "battery.rated.", c.name)
		}
		for i := range b.Other {
			at(&b.Other[i], "battery.other[", n(i), "]")
		}
	}
	if c := r.Cable; c != nil {
		at(c.Length, "cable.length")
		at(c.Diameter, "cable.diameter")
		at(c.Mass, "cable.mass")
		at(c.Voltage, "cable.voltage")
		at(c.Current, "cable.current")
		at(c.Power, "cable.power")
		at(c.DataRate, "cable.data_rate")
		at(c.Resistance, "cable.resistance")
	}
	for i := range r.Components {
		for k := range r.Components[i].Ratings {
			at(&r.Components[i].Ratings[k].Value, "components[", n(i), "].ratings[", n(k), "]")
		}
	}
	for i := range r.Measurements {
		m := &r.Measurements[i]
		at(&m.Value, "measurements[", n(i), "]")
		if c := m.Condition; c != nil {
			for _, v := range conditionFields(c) {
				at(*v.value, "measurements[", n(i), "].condition.", v.name)
			}
		}
	}
}
