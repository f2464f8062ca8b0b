package query

import (
	"strings"

	"saywatt/internal/alike"
)

// suggest says which name a mistyped one may have meant, "" where none is
// near.
func suggest(typed string, names []string) string {
	near := alike.Nearest(typed, names, 1)
	if len(near) == 0 {
		return ""
	}
	return "did you mean " + near[0] + "?"
}

// nearly is the name that is one or two letters off a mistyped one, "" where
// there is none.
func nearly(typed string, names []string) string {
	const off = 2
	best, d := "", off+1
	for _, n := range names {
		if x := alike.Distance(strings.ToLower(typed), n, off+1); x < d && x < len(n)/2 {
			best, d = n, x
		}
	}
	return best
}
