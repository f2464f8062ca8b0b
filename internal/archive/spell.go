package archive

import (
	"strings"

	"github.com/sahilm/fuzzy"
)

// suggest says which names a mistyped one may have meant, "" where none is
// near.
func suggest(typed string, names []string) string {
	typed = strings.ToLower(typed)
	best, near := "", 3
	for _, n := range names {
		if d := distance(typed, strings.ToLower(n), near); d < near && d < max(len(n), 2) {
			best, near = n, d
		}
	}
	if best == "" {
		// Left out letters: prtcl for protocol.
		if m := fuzzy.Find(typed, names); len(typed) > 2 && len(m) > 0 {
			best = m[0].Str
		}
	}
	if best == "" {
		return ""
	}
	return "did you mean " + best + "?"
}

// distance is how many letters must be put in, left out, changed or swapped
// with their neighbour to make b of a (optimal string alignment), or most where it
// is not less.
func distance(a, b string, most int) int {
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
