package alike

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestNearest(t *testing.T) {
	names := []string{"protocol", "port", "part", "package", "maker"}
	for _, c := range []struct {
		typed string
		want  []string
	}{
		{"prot", []string{"port"}},      // two letters of four are another name
		{"prtcl", []string{"protocol"}}, // letters left out
		{"MAKR", []string{"maker"}},     // case does not count
		{"pat", []string{"part"}},
		{"zz", nil},      // nothing near, and too short for the fuzzy matcher
		{"weather", nil}, // a word of its own
		{"mr", nil},      // few of its letters
		{"pak", nil},     // likewise
	} {
		if diff := cmp.Diff(c.want, Nearest(c.typed, names, 2)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.typed, diff)
		}
	}
}
