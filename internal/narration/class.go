package narration

import (
	"strings"

	"saywatt/extract/place"
)

// Class returns the class of place that a slot means. Slots that have no class
// of their own are of the class before their point.
func (n *Narration) Class(m *Mark) (place.Class, bool) {
	slot, _, _ := strings.Cut(m.Slot, "@")
	name := slot
	switch {
	case m.Kind != MarkQuantity:
		return place.None, true
	case n.Level(m.Table()) != nil:
		switch mode := n.Level(m.Table()).Mode; {
		case strings.Contains(mode, "shared"):
			name = "level.shared"
		case strings.Contains(mode, "input"):
			name = "level.input"
		default:
			name = "level.output"
		}
	case n.PartOf(m.Table()) != nil:
		name = "part"
	case strings.HasPrefix(slot, "power:"), slot == "power shared":
		name = "power.port"
		if strings.Contains(slot, "+") || strings.HasSuffix(slot, " shared") {
			name = "power.shared"
		}
	case slot == "aside.other_product":
		name = "aside.other"
	}
	if c, ok := place.ParseClass(name); ok {
		return c, true
	}
	before, _, _ := strings.Cut(name, ".")
	if c, ok := place.ParseClass(before); ok {
		return c, true
	}
	return place.ParseClass(before + ".other")
}
