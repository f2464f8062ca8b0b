package export

import "saywatt/schema"

// mark is the sign behind a value of the status, and its style.
func mark(s schema.Status) (string, style) {
	switch s {
	case schema.StatusRepaired:
		return s.Mark(), styleRepaired
	case schema.StatusOpen:
		return s.Mark(), styleOpen
	case schema.StatusSettled:
		return s.Mark(), styleSettled
	}
	return "", stylePlain
}

// doubted is the sign behind a value with the one for its place, and its style:
// what is likelier to belong elsewhere looks like what is open.
func doubted(st schema.Status, d schema.PlaceDoubt) (string, style) {
	sign, style := mark(st)
	if d == schema.PlaceUnlikely {
		style = styleOpen
	}
	return sign + d.Mark(), style
}

func severityStyle(s schema.Severity) style {
	switch s {
	case schema.SeverityError:
		return styleGrave
	case schema.SeverityWarning:
		return styleWarning
	}
	return stylePlain
}
