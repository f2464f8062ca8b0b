package assemble

import (
	"strings"

	"saywatt/extract"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// roleOf returns the role that a place gives to a quantity
// of the kind, "" where they give none. It looks at no value. The engine's
// roles come from its own table, weighed; this is what Fill falls back on for
// a quantity whose role names no place.
func roleOf(d *extract.Document, c *extract.Context, kind schema.Kind) string {
	p := c.Property
	if name, ok := strings.CutPrefix(p, "condition_"); ok {
		return prior.Condition + name
	}
	if p == "air_limit" || p == "aside" {
		return "" // spoken of, no property of the product
	}
	if d.Lexicon.Measured(p) && (c.Subject < 0 || c.Section != extract.SectionTeardown) {
		return prior.Measurement + p
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
		return prior.Body + p
	case "power", "surge_power", "cycles", "efficiency", "data_rate":
		return prior.Claim + p
	}
	if kind == schema.KindPower && !measures(c.Section) && c.Section != extract.SectionTeardown {
		return prior.Claim + "power"
	}
	return ""
}

// subjectRole is the role of what is said of a part.
func subjectRole(kind string) string {
	switch kind {
	case "cell":
		return prior.Cell
	case "pack":
		return prior.Pack
	case "rated":
		return prior.Rated
	case "cable":
		return prior.Cable
	case "body":
		return prior.Body
	}
	return prior.Component
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
				return prior.Level + kind.String(), true
			}
		case schema.KindFrequency:
			return prior.Input + "frequency", true
		}
		return prior.Claim + p, p != ""
	case extract.SectionTest, extract.SectionThermal:
		return prior.Measurement + p, p != ""
	case extract.SectionTeardown:
		switch {
		case c.Named && (p == "mass" || p == "volume" || p == "density"):
			return prior.Body + p, true
		case kind == schema.KindFrequency && p == "frequency":
			return prior.Measurement + p, true
		case kind == schema.KindLength && p != "":
			return prior.Body + p, true
		}
		return "", kind == schema.KindTemperature || kind == schema.KindTime || kind == schema.KindMass
	}
	return "", false
}
