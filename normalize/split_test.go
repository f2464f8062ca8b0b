package normalize

import (
	"strings"
	"testing"
)

// splitCases are texts in which one number is two run together, and the
// quantities of all nodes by their own scores.
var splitCases = []struct{ heard, want, from string }{
	{"15 volts 3 amps, 25 amps, 100 watts", "15 V; 3 A; 20 V; 5 A; 100 W", "row 23: twenty, five"},
	{"9 volts 3 amps, 153 amps", "9 V; 3 A; 15 V; 3 A", "row 23: fifteen, three"},
	{"5 volt 2.5 to 20 volt", "5 V; 2.5 A; 20 V", "the amps heard as to"},
}

func TestSplits(t *testing.T) {
	for _, c := range splitCases {
		e := engineOf(t, c.heard)
		e.build()
		var got []string
		for i := range e.nodes {
			if best := e.top(int32(i)); best != nil && !best.nothing {
				got = append(got, shown(best.lo, best.hi, best.isRange)+" "+string(best.unit))
			}
		}
		if s := strings.Join(got, "; "); s != c.want {
			t.Errorf("%q (%s)\n got %s\nwant %s", c.heard, c.from, s, c.want)
		}
	}
}

// A current that stands alone, or a voltage that fits, is not cut.
func TestNoSplits(t *testing.T) {
	for _, heard := range []string{"it draws 25 amps", "5 volts at 3 amps", "20 volts 3.25 amps",
		"3.3 to 21 volts at 3 amps", "a fuse of 25 amps"} {
		e := engineOf(t, heard)
		e.build()
		for i := range e.nodes {
			if e.nodes[i].share > 0 {
				t.Errorf("%q: mention %d was cut in two", heard, e.nodes[i].first)
			}
		}
	}
}
