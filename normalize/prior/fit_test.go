package prior

import (
	"testing"

	"saywatt/extract"
)

// A role belongs to its section, subject and property, and the more of them it names
// the closer it is tied to a context.
func TestFits(t *testing.T) {
	for _, c := range []struct {
		section, subject, property string
		context                    extract.Context
		said                       string
		fits                       bool
		tie                        Tie
	}{
		{"*", "fuse", "*", extract.Context{}, "fuse", true, TieSubject},
		{"*", "fuse", "*", extract.Context{}, "varistor", false, TieSubject},
		{"*", "-", "mass", extract.Context{Property: "mass"}, "", true, TieProperty},
		{"*", "-", "mass", extract.Context{Property: "mass"}, "fuse", false, TieProperty},
		{"*", "-", "mass", extract.Context{}, "", false, TieProperty},
		{"*", "*", "mass", extract.Context{Property: "mass"}, "fuse", true, TieProperty},
		{"output", "-", "*", extract.Context{Section: extract.SectionOutput}, "", true, TieSection},
		{"output", "-", "*", extract.Context{Section: extract.SectionOutput}, "fuse", false, TieSection},
		{"output", "-", "*", extract.Context{Section: extract.SectionTest}, "", false, TieSection},
		{"none", "-", "*", extract.Context{}, "", true, TieSection},
		{"*", "*", "*", extract.Context{Section: extract.SectionTest}, "fuse", true, TieAny},
	} {
		o := Role{section: c.section, Subject: c.subject, property: c.property}
		if fits, tie := o.Fits(&c.context, c.said), o.Tie(); fits != c.fits || tie != c.tie {
			t.Errorf("role %s/%s/%s said of %q in %s, property %q: fits %t, tied by %d; want %t, %d", c.section,
				c.subject, c.property, c.said, c.context.Section, c.context.Property, fits, tie, c.fits, c.tie)
		}
	}
}
