package normalize

import (
	"strings"

	"saywatt/extract"
	"saywatt/schema"
)

// Roles say what kind of place a quantity is for: "level.voltage",
// "component.on_resistance", "measurement.efficiency". The part before the
// point is one of these; behind it stands a property (extract's
// properties.tsv and kindratings.tsv).
const (
	RoleLevel       = "level."       // voltage, current, power
	RoleInput       = "input."       // voltage, current, power, frequency of the mains or supply
	RoleClaim       = "claim."       // headline properties
	RoleBody        = "body."        // dimension, mass, volume, density, thickness, angle, display, …
	RoleCell        = "cell."        // one cell
	RolePack        = "pack."        // all cells together
	RoleRated       = "rated."       // rated output of a power bank or station
	RoleCable       = "cable."       // the cable
	RoleComponent   = "component."   // a part
	RoleMeasurement = "measurement." // an instrument's reading
	RoleCondition   = "condition."   // what a test runs at: voltage, current, power, mains, ambient, time
	RoleAny         = "any."         // no place known
)

// splitRole cuts a role into place and property.
func splitRole(role string) (place, property string) {
	if i := strings.IndexByte(role, '.'); i >= 0 {
		return role[:i+1], role[i+1:]
	}
	return "", role
}

// RoleOf returns the role that a place gives to a quantity
// of the kind, "" where they give none. It looks at no value. The engine's
// roles come from its own table, weighed; this is what Fill falls back on for
// a quantity whose role names no place.
func RoleOf(d *extract.Document, c *extract.Context, kind schema.Kind) string {
	p := c.Property
	if name, ok := strings.CutPrefix(p, "condition_"); ok {
		return RoleCondition + name
	}
	if p == "air_limit" || p == "aside" {
		return "" // spoken of, no property of the product
	}
	if d.Lexicon.Measured(p) && (c.Subject < 0 || c.Section != extract.SectionTeardown) {
		return RoleMeasurement + p
	}
	if c.Subject >= 0 {
		if p == "" {
			p = kind.String()
		}
		switch d.Subjects[c.Subject].Kind {
		case "cell":
			return RoleCell + p
		case "pack":
			return RolePack + p
		case "rated":
			return RoleRated + p
		case "cable":
			return RoleCable + p
		case "body":
			return RoleBody + p
		}
		return RoleComponent + p
	}
	switch c.Section {
	case extract.SectionInput, extract.SectionOutput, extract.SectionWireless:
		switch kind {
		case schema.KindVoltage, schema.KindCurrent, schema.KindPower:
			if p == "" {
				return RoleLevel + kind.String()
			}
			return RoleClaim + p
		case schema.KindFrequency:
			return RoleInput + "frequency"
		}
		if p != "" {
			return RoleClaim + p
		}
	case extract.SectionTest, extract.SectionThermal:
		if p != "" {
			return RoleMeasurement + p
		}
	case extract.SectionTeardown:
		switch {
		case c.Named && (p == "mass" || p == "volume" || p == "density"):
			return RoleBody + p
		case kind == schema.KindFrequency && p == "frequency":
			return RoleMeasurement + p
		case kind == schema.KindLength && p != "":
			return RoleBody + p
		case kind == schema.KindTemperature || kind == schema.KindTime || kind == schema.KindMass:
			return ""
		}
	}
	switch p {
	case "dimension", "length", "width", "height", "mass", "volume", "density", "thickness", "diameter", "angle", "display":
		return RoleBody + p
	case "power", "surge_power", "cycles", "efficiency", "data_rate":
		return RoleClaim + p
	}
	if kind == schema.KindPower {
		switch c.Section {
		case extract.SectionTest, extract.SectionThermal, extract.SectionTeardown:
		default:
			return RoleClaim + "power"
		}
	}
	return ""
}
