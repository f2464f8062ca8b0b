package prior

import "saywatt/extract"

// Tie says what ties a role to a context, the loosest first.
type Tie uint8

// What ties roles to contexts.
const (
	TieAny      Tie = iota // nothing: it is for any context
	TieSection             // the section of the review
	TieSubject             // the part that is spoken of
	TieProperty            // a property word
)

// Tie says what ties the role to the contexts that it fits.
func (o *Role) Tie() Tie {
	switch {
	case o.property != "*":
		return TieProperty
	case o.Subject != "*" && o.Subject != "-":
		return TieSubject
	case o.section != "*":
		return TieSection
	}
	return TieAny
}

// Fits reports whether the role belongs in a context, in which the kind of part given
// is spoken of, "" for none.
func (o *Role) Fits(c *extract.Context, subject string) bool {
	if o.section != "*" && o.section != sectionName(c.Section) {
		return false
	}
	switch o.Subject {
	case "*":
	case "-":
		if subject != "" && o.property == "*" {
			return false
		}
	default:
		if o.Subject != subject {
			return false
		}
	}
	return o.property == "*" || o.property == c.Property && (o.Subject != "-" || subject == "")
}

func sectionName(s extract.Section) string {
	if s == extract.SectionNone {
		return "none"
	}
	return s.String()
}
