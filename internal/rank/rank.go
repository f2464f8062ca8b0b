// Package rank finds which names of a list a mistyped one may have meant. In
// go a typed word and the names there are, out come the likeliest, best first.
// It is the one place that imports the fuzzy matcher.
package rank

import (
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

// Distance is how many letters must be put in, left out, changed or swapped
// with their neighbour to make b of a (optimal string alignment), or most
// where it is not less.
func Distance(a, b string, most int) int {
	s, t := []rune(a), []rune(b)
	if len(s)-len(t) >= most || len(t)-len(s) >= most {
		return most
	}
	before := make([]int, len(t)+1)
	row := make([]int, len(t)+1)
	next := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(s); i++ {
		next[0] = i
		for j := 1; j <= len(t); j++ {
			d := row[j-1]
			if s[i-1] != t[j-1] {
				d++
			}
			d = min(d, row[j]+1, next[j-1]+1)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d = min(d, before[j-2]+1)
			}
			next[j] = d
		}
		before, row, next = row, next, before
	}
	return min(row[len(t)], most)
}
