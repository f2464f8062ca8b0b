package alike

import (
	"fmt"
	"slices"
	"strings"

	"github.com/sahilm/fuzzy"
)

// reach is the distance from which on a name is no mistyping of another.
const reach = 3

// Nearest returns up to most names that typed may have meant, best first:
// those fewer than three letters away (see Distance) in the order of distance,
// then, for three letters typed or more, those that hold its letters in order
// ("prtcl" for protocol) as the fuzzy matcher ranks them. Case does not count.
// Names of equal rank keep their order.
func Nearest(typed string, names []string, most int) []string {
	typed = strings.ToLower(typed)
	type near struct{ name, d int }
	var close []near
	for i, n := range names {
		if d := Distance(typed, strings.ToLower(n), reach); d < reach && d < max(len(n), 2) {
			close = append(close, near{i, d})
		}
	}
	slices.SortStableFunc(close, func(a, b near) int { return a.d - b.d })
	var out []string
	for _, c := range close {
		if len(out) == most {
			return out
		}
		out = append(out, names[c.name])
	}
	if len([]rune(typed)) < reach {
		return out
	}
	for _, m := range fuzzy.Find(typed, names) {
		if len(out) == most {
			break
		}
		if !slices.Contains(out, m.Str) {
			out = append(out, m.Str)
		}
	}
	return out
}

// Meant says what typed may have meant of some names, to stand behind what is said
// of it: `, did you mean "x"?`, or "" where nothing is near.
func Meant(typed string, names []string) string {
	near := Nearest(typed, names, 1)
	if len(near) == 0 {
		return ""
	}
	return fmt.Sprintf(", did you mean %q?", near[0])
}
