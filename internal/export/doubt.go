package export

import "saywatt/schema"

// NeedsPerson reports whether something in the record waits for a person: an
// open quantity, a part whose naming is open, or a finding of severity error.
func NeedsPerson(r *schema.Record) bool {
	for i := range r.Findings {
		if r.Findings[i].Severity == schema.SeverityError {
			return true
		}
	}
	return len(openQuantities(r)) > 0 || len(openNames(r)) > 0
}

// openQuantities lists the quantities that wait for a person, in the order said.
func openQuantities(r *schema.Record) []*schema.Said {
	var open []*schema.Said
	for i := range r.Quantities {
		if r.Quantities[i].Status == schema.StatusOpen {
			open = append(open, &r.Quantities[i])
		}
	}
	return open
}

// openNames lists the components that are open though none of their ratings
// is: then it is the maker, part number or package that waits.
func openNames(r *schema.Record) []*schema.Component {
	var open []*schema.Component
	for i := range r.Components {
		if c := &r.Components[i]; c.Status == schema.StatusOpen && namingStatus(c) == schema.StatusOpen {
			open = append(open, c)
		}
	}
	return open
}

// namingStatus tells how the naming of a component stands: its status where no
// rating accounts for it, else heard.
func namingStatus(c *schema.Component) schema.Status {
	for i := range c.Ratings {
		if c.Ratings[i].Value.Status == c.Status {
			return schema.StatusHeard
		}
	}
	return c.Status
}
