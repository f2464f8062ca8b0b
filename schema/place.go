package schema

import (
	"slices"
	"strconv"
	"strings"
)

// PlaceWords puts the path of a place in words: "levels[5].current" into
// "USB-C 20 V, current", "components[2].ratings[0]" into "fuse, current". A
// path that leads nowhere in the record comes back as it is, so that nothing
// is said of what is not there. "" is "".
func (r *Record) PlaceWords(path string) string {
	steps := stepsOf(path)
	if len(steps) == 0 {
		return path
	}
	first, rest := steps[0], steps[1:]
	var words []string
	switch first.name {
	case "body":
		words, rest = r.bodyWords(rest)
	case "battery":
		words, rest = batteryWords(rest)
	case "components":
		words, rest = r.componentWords(first.index, rest)
	case "cable":
		words = []string{"cable"}
	default:
		if w := r.listWords(first); w != "" {
			words = []string{w}
		}
	}
	switch {
	case words != nil:
	case first.index >= 0:
		return path
	default:
		words = []string{blanks.Replace(first.name)}
	}
	for _, s := range rest {
		switch s.name {
		case "value", "quantity":
		case "condition":
			words = append(words, "test condition")
		default:
			words = append(words, PropertyWords(s.name))
		}
	}
	return strings.Join(words, ", ")
}

// in reports whether an index is one of a list of n.
func in(index, n int) bool { return index >= 0 && index < n }

// listWords are the words for an item of one of the record's lists, "" for one
// that is not there.
func (r *Record) listWords(s step) string {
	switch {
	case s.name == "levels" && in(s.index, len(r.Levels)):
		return r.Levels[s.index].words()
	case s.name == "claims" && in(s.index, len(r.Claims)):
		c := &r.Claims[s.index]
		return joinWords(PortWords(c.Port), c.Protocol, "stated "+PropertyWords(c.Property))
	case s.name == "measurements" && in(s.index, len(r.Measurements)):
		m := &r.Measurements[s.index]
		what := "measured " + PropertyWords(m.Property)
		if m.Subject != "" {
			what += " at the " + m.Subject
		}
		return what
	case s.name == "ports" && in(s.index, len(r.Ports)):
		return "port " + r.Ports[s.index].Name
	case s.name == "quantities" && in(s.index, len(r.Quantities)):
		return "“" + strings.Join(strings.Fields(r.Quantities[s.index].Heard), " ") + "”"
	}
	return ""
}

// componentWords are the words for a component, or a rating of it, and the steps
// behind; none for one that is not there.
func (r *Record) componentWords(index int, rest []step) ([]string, []step) {
	if !in(index, len(r.Components)) {
		return nil, rest
	}
	c := &r.Components[index]
	words := []string{c.Kind}
	if len(rest) > 0 && rest[0].name == "ratings" && in(rest[0].index, len(c.Ratings)) {
		return append(words, PropertyWords(c.Ratings[rest[0].index].Property)), rest[1:]
	}
	return words, rest
}

// bodyWords are the words for a place of the body, and the steps behind.
func (r *Record) bodyWords(rest []step) ([]string, []step) {
	switch {
	case len(rest) == 0:
		return nil, rest
	case rest[0].name == "dimensions":
		return []string{"size", "side " + strconv.Itoa(rest[0].index+1)}, rest[1:]
	case rest[0].name == "other" && in(rest[0].index, len(r.Body.Other)):
		return []string{PropertyWords(r.Body.Other[rest[0].index].Property)}, rest[1:]
	}
	return []string{"product"}, rest
}

// batteryWords are the words for a place of the battery, and the steps behind.
func batteryWords(rest []step) ([]string, []step) {
	switch {
	case len(rest) == 0:
		return nil, rest
	case rest[0].name == "rated":
		return []string{"rated output"}, rest[1:]
	case rest[0].name == "other":
		return []string{"battery, other values"}, rest[1:]
	}
	return []string{PropertyWords(rest[0].name)}, rest[1:]
}

// PathWords puts a path in words without looking into a record: "levels[5].
// voltage" into "level 6, voltage". What is no path comes back as it is.
func PathWords(path string) string {
	steps := stepsOf(path)
	if len(steps) == 0 || len(steps) == 1 && steps[0].index < 0 {
		return path
	}
	var words []string
	for _, s := range steps {
		switch {
		case s.index >= 0:
			words = append(words, strings.TrimSuffix(PropertyWords(s.name), "s")+" "+strconv.Itoa(s.index+1))
		case s.name != "value" && s.name != "quantity":
			words = append(words, PropertyWords(s.name))
		}
	}
	return strings.Join(words, ", ")
}

// words names a level by port, protocol and voltage, an input as such.
func (l *Level) words() string {
	flow := l.Mode
	if i := strings.LastIndexByte(flow, '/'); i >= 0 {
		flow = flow[i+1:]
	}
	if flow != "input" {
		flow = ""
	}
	return joinWords(PortWords(l.Port), l.Protocol, flow, l.Voltage.Quantity.String())
}

// joinWords joins what is not empty with blanks, a word that stands twice once.
func joinWords(words ...string) string {
	var kept []string
	for i, w := range words {
		if w != "" && (i == 0 || w != words[i-1]) {
			kept = append(kept, w)
		}
	}
	return strings.Join(kept, " ")
}

// ComponentPath is the path of a field of a component, counted from 0:
// "components[2].maker".
func ComponentPath(component int, field string) string {
	return "components[" + strconv.Itoa(component) + "]." + field
}

// ComponentField returns the component that a path leads into, counted from 0, and what
// follows it in the path: 2 and "maker" of "components[2].maker". It is -1 and "" for
// other paths.
func ComponentField(path string) (component int, field string) {
	rest, ok := strings.CutPrefix(path, "components[")
	digits, field, closed := strings.Cut(rest, "]")
	n, err := strconv.Atoi(digits)
	if !ok || !closed || err != nil || n < 0 {
		return -1, ""
	}
	return n, strings.TrimPrefix(field, ".")
}

// ComponentOf returns the component of the record that a path leads into, nil where it
// leads elsewhere or to one that is not there.
func (r *Record) ComponentOf(path string) *Component {
	if n, _ := ComponentField(path); in(n, len(r.Components)) {
		return &r.Components[n]
	}
	return nil
}

// PortPath is the path of the name of a port, "" where there is no such port.
func (r *Record) PortPath(name string) string {
	if i := slices.IndexFunc(r.Ports, func(p Port) bool { return p.Name == name }); i >= 0 {
		return "ports[" + strconv.Itoa(i) + "].name"
	}
	return ""
}

// ProtocolPath is the path of a protocol of the first port that has it, "" where none
// does.
func (r *Record) ProtocolPath(name string) string {
	for i := range r.Ports {
		if k := slices.Index(r.Ports[i].Protocols, name); k >= 0 {
			return "ports[" + strconv.Itoa(i) + "].protocols[" + strconv.Itoa(k) + "]"
		}
	}
	return ""
}

// step is one step of a path: "levels[5]" is levels, 5; "body" is body, -1.
type step struct {
	name  string
	index int
}

// stepsOf cuts a path; nil where it is none.
func stepsOf(path string) []step {
	if path == "" {
		return nil
	}
	var steps []step
	for _, part := range strings.Split(path, ".") {
		name, rest, indexed := strings.Cut(part, "[")
		s := step{name, -1}
		if indexed {
			n, err := strconv.Atoi(strings.TrimSuffix(rest, "]"))
			if err != nil || n < 0 || !strings.HasSuffix(rest, "]") {
				return nil
			}
			s.index = n
		}
		if name == "" {
			return nil
		}
		steps = append(steps, s)
	}
	return steps
}
