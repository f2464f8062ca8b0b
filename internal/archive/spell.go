package archive

import "saywatt/internal/rank"

// suggest says which name a mistyped one may have meant, "" where none is
// near.
func suggest(typed string, names []string) string {
	near := rank.Nearest(typed, names, 1)
	if len(near) == 0 {
		return ""
	}
	return "did you mean " + near[0] + "?"
}
