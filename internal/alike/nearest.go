package alike

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/sahilm/fuzzy"
)

// reach is the distance from which on a name is no mistyping of another.
const reach = 3

// Nearest returns up to most names that typed may have meant, best first:
// those fewer than three letters away (see Distance) in the order of distance,
// and no more than one in names shorter than five; then, for three letters typed or
// more, those that hold its letters in order and few others ("prtcl" for protocol)
// as the fuzzy matcher ranks them. Case does not count.
// Names of equal rank keep their order.
func Nearest(typed string, names []string, most int) []string {
	typed = strings.ToLower(typed)
	type near struct{ name, d int }
	var close []near
	for i, n := range names {
		if d := Distance(typed, strings.ToLower(n), reach); d <= slips(min(letters(typed), letters(n))) {
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
	if letters(typed) < reach {
		return out
	}
	for _, m := range fuzzy.Find(typed, names) {
		if len(out) == most {
			break
		}
		if !slices.Contains(out, m.Str) && 5*letters(typed) >= 3*letters(m.Str) {
			out = append(out, m.Str)
		}
	}
	return out
}

func letters(name string) int { return utf8.RuneCountInString(name) }

// slips are how many letters of a name may be wrong: fewer than half of them.
func slips(letters int) int {
	switch {
	case letters < 2:
		return 0
	case letters < 5:
		return 1
	}
	return reach - 1
}

// Meant says what typed may have meant of some names, to stand behind what is said
// of it: ` (did you mean "x"?)`, or "" where nothing is near.
func Meant(typed string, names []string) string {
	near := Nearest(typed, names, 1)
	if len(near) == 0 {
		return ""
	}
	return fmt.Sprintf(" (did you mean %q?)", near[0])
}
