package schema

import (
	"strconv"
	"strings"
)

// PlaceWords puts the path of a place in words: "levels[5].current" into
// "USB-C 20 V, current", "components[2].ratings[0]" into "fuse, current". A
// path that leads nowhere in the record comes back as it is, so that nothing
// is told of what is not there. "" is "".
func (r *Record) PlaceWords(path string) string {
	steps := stepsOf(path)
	if len(steps) == 0 {
		return path
	}
	first, rest := steps[0], steps[1:]
	var words []string
	at := func(n int) bool { return first.index >= 0 && first.index < n }
	switch {
	case first.name == "levels" && at(len(r.Levels)):
		words = append(words, r.Levels[first.index].words())
	case first.name == "claims" && at(len(r.Claims)):
		c := &r.Claims[first.index]
		words = append(words, joinWords(PortWords(c.Port), c.Protocol, "stated "+PropertyWords(c.Property)))
	case first.name == "components" && at(len(r.Components)):
		c := &r.Components[first.index]
		words = append(words, c.Kind)
		if len(rest) > 0 && rest[0].name == "ratings" && rest[0].index >= 0 && rest[0].index < len(c.Ratings) {
			words = append(words, PropertyWords(c.Ratings[rest[0].index].Property))
			rest = rest[1:]
		}
	case first.name == "measurements" && at(len(r.Measurements)):
		m := &r.Measurements[first.index]
		what := "measured " + PropertyWords(m.Property)
		if m.Subject != "" {
			what += " at the " + m.Subject
		}
		words = append(words, what)
	case first.name == "ports" && at(len(r.Ports)):
		words = append(words, "port "+r.Ports[first.index].Name)
	case first.name == "quantities" && at(len(r.Quantities)):
		words = append(words, "“"+strings.Join(strings.Fields(r.Quantities[first.index].Heard), " ")+"”")
	case first.name == "body" && len(rest) > 0 && rest[0].name == "dimensions":
		words = append(words, "size", "side "+strconv.Itoa(rest[0].index+1))
		rest = rest[1:]
	case first.name == "body" && len(rest) > 0 && rest[0].name == "other" && rest[0].index >= 0 && rest[0].index < len(r.Body.Other):
		words = append(words, PropertyWords(r.Body.Other[rest[0].index].Property))
		rest = rest[1:]
	case first.name == "body" && len(rest) > 0:
		words = append(words, "product")
	case first.name == "battery" && len(rest) > 0 && rest[0].name == "rated":
		words = append(words, "rated output")
		rest = rest[1:]
	case first.name == "battery" && len(rest) > 0:
		words = append(words, PropertyWords(rest[0].name))
		rest = rest[1:]
	case first.name == "cable":
		words = append(words, "cable")
	case first.index >= 0:
		return path
	default:
		words = append(words, blanks.Replace(first.name))
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
