package rank

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
		{"prot", []string{"port", "part"}}, // nearer first
		{"prtcl", []string{"protocol"}},    // letters left out
		{"MAKR", []string{"maker"}},        // case does not count
		{"pat", []string{"part", "port"}},  // nearer first
		{"zz", nil},                        // nothing near, and too short for the fuzzy matcher
		{"weather", nil},                   // a word of its own
	} {
		if diff := cmp.Diff(c.want, Nearest(c.typed, names, 2)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.typed, diff)
		}
	}
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b       string
		most, want int
	}{
		{"", "", 3, 0}, {"port", "port", 3, 0}, {"prot", "port", 3, 1}, {"port", "sport", 3, 1}, {"ports", "port", 3, 1}, {"part", "port", 3, 1},
		{"Ω", "µ", 3, 1}, {"abc", "xyz", 3, 3}, {"abcdef", "a", 3, 3}, {"ca", "abc", 9, 3}, // OSA, not the unrestricted distance
	} {
		if got := Distance(c.a, c.b, c.most); got != c.want {
			t.Errorf("%s, %s: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
