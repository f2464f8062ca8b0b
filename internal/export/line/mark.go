package line

import "saywatt/schema"

// Mark is the sign behind a value of the status, and its style.
func Mark(s schema.Status) (string, Style) {
	switch s {
	case schema.StatusRepaired:
		return s.Mark(), StyleRepaired
	case schema.StatusOpen:
		return s.Mark(), StyleOpen
	case schema.StatusSettled:
		return s.Mark(), StyleSettled
	}
	return "", StylePlain
}

// Doubted is the sign behind a value with the one for its place, and its style:
// what is likelier to belong elsewhere looks like what is open.
func Doubted(st schema.Status, d schema.PlaceDoubt) (string, Style) {
	sign, style := Mark(st)
	if d == schema.PlaceUnlikely {
		style = StyleOpen
	}
	return sign + d.Mark(), style
}

// OfSeverity is the style of a finding.
func OfSeverity(s schema.Severity) Style {
	switch s {
	case schema.SeverityError:
		return StyleGrave
	case schema.SeverityWarning:
		return styleWarning
	}
	return StylePlain
}
