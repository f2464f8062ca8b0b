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

// roleOf returns the role that a place gives to a quantity
// of the kind, "" where they give none. It looks at no value. The engine's
// roles come from its own table, weighed; this is what Fill falls back on for
// a quantity whose role names no place.
func roleOf(d *extract.Document, c *extract.Context, kind schema.Kind) string {
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
		return subjectRole(d.Subjects[c.Subject].Kind) + p
	}
	if role, known := sectionRole(c, kind); known {
		return role
	}
	switch p {
	case "dimension", "length", "width", "height", "mass", "volume", "density", "thickness", "diameter", "angle",
		"display":
		return RoleBody + p
	case "power", "surge_power", "cycles", "efficiency", "data_rate":
		return RoleClaim + p
	}
	if kind == schema.KindPower && !measures(c.Section) && c.Section != extract.SectionTeardown {
		return RoleClaim + "power"
	}
	return ""
}

// subjectRole is the role of what is said of a part.
func subjectRole(kind string) string {
	switch kind {
	case "cell":
		return RoleCell
	case "pack":
		return RolePack
	case "rated":
		return RoleRated
	case "cable":
		return RoleCable
	case "body":
		return RoleBody
	}
	return RoleComponent
}

// measures reports whether measurements are spoken of in a section.
func measures(s extract.Section) bool { return s == extract.SectionTest || s == extract.SectionThermal }

// sectionRole is the role that a section gives to a quantity of no part, false
// where it gives none of its own.
func sectionRole(c *extract.Context, kind schema.Kind) (string, bool) {
	p := c.Property
	switch c.Section {
	case extract.SectionInput, extract.SectionOutput, extract.SectionWireless:
		switch kind {
		case schema.KindVoltage, schema.KindCurrent, schema.KindPower:
			if p == "" {
				return RoleLevel + kind.String(), true
			}
		case schema.KindFrequency:
			return RoleInput + "frequency", true
		}
		return RoleClaim + p, p != ""
	case extract.SectionTest, extract.SectionThermal:
		return RoleMeasurement + p, p != ""
	case extract.SectionTeardown:
		switch {
		case c.Named && (p == "mass" || p == "volume" || p == "density"):
			return RoleBody + p, true
		case kind == schema.KindFrequency && p == "frequency":
			return RoleMeasurement + p, true
		case kind == schema.KindLength && p != "":
			return RoleBody + p, true
		}
		return "", kind == schema.KindTemperature || kind == schema.KindTime || kind == schema.KindMass
	}
	return "", false
}
