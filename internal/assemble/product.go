package assemble

import (
	"strconv"

	"saywatt/schema"
)

// claim files a headline property.
func (f *filler) claim(i int, property string) {
	c := f.context(i)
	for _, port := range eachPort(c.Port) {
		f.addClaim(schema.Claim{Property: property, Mode: c.Mode, Port: port, Protocol: c.Protocol, Value: f.stated(i)})
	}
}

func (f *filler) addClaim(c schema.Claim) {
	if c.Property == "power" {
		c.Protocol = ""
	}
	for k := max(0, len(f.rec.Claims)-int(f.reach.same)); k < len(f.rec.Claims); k++ {
		o := &f.rec.Claims[k]
		if o.Property == c.Property && o.Mode == c.Mode && o.Port == c.Port && o.Protocol == c.Protocol &&
			agree(&o.Value, &c.Value) {
			return
		}
	}
	f.rec.Claims = append(f.rec.Claims, c)
}

// body files a property of the outside.
func (f *filler) body(i int, property string) {
	b := &f.rec.Body
	switch property {
	case "dimension", "length", "width", "height":
		b.Dimensions = append(b.Dimensions, f.value(i))
		return
	case "mass":
		if f.set(&b.Mass, i) {
			return
		}
	case "volume":
		if f.set(&b.Volume, i) {
			return
		}
	case "density":
		if f.set(&b.Density, i) {
			return
		}
	case "display":
		if f.set(&b.Display, i) {
			return
		}
	}
	b.Other = append(b.Other, schema.Rating{Property: property, Value: f.value(i)})
}

// cable files a property of the cable.
func (f *filler) cable(i int, property string) {
	if f.rec.Cable == nil {
		f.rec.Cable = &schema.Cable{}
	}
	c := f.rec.Cable
	if property == "gauge" {
		q := &f.rec.Quantities[i]
		if n := int(q.Quantity.Low.Float64()); n > 0 {
			c.Gauge = append(c.Gauge, n)
			q.Place = "cable.gauge[" + strconv.Itoa(len(c.Gauge)-1) + "]"
		}
		return
	}
	var to **schema.Value
	switch property {
	case "length":
		to = &c.Length
	case "diameter":
		to = &c.Diameter
	case "mass":
		to = &c.Mass
	case "voltage":
		to = &c.Voltage
	case "current":
		to = &c.Current
	case "power":
		to = &c.Power
	case "data_rate":
		to = &c.DataRate
	case "resistance":
		to = &c.Resistance
	}
	if to == nil || !f.set(to, i) {
		f.addClaim(schema.Claim{Property: "cable_" + property, Value: f.value(i)})
	}
}
