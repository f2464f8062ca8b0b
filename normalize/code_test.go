package normalize

import (
	"testing"

	"saywatt/normalize/channel"
)

// Marking codes of capacitors read out: two digits and the number of zeros, in
// picofarads (IEC 60062; the examples are handbook 4.7 and 4.10 and common
// practice).
var codeCases = []struct{ heard, want string }{
	{"ceramic capacitor, 104", "0.1 uF"},
	{"ceramic capacitor, 226", "22 uF"},
	{"Y capacitor, 222", "2.2 nF"},
	{"snubber capacitor, 471", "0.47 nF"},
	{"ceramic capacitor, 220", "22 pF"},
}

func TestMarkingCodes(t *testing.T) {
	read := func(heard string) (string, bool) {
		e := engineOf(t, "Let's open it. On the board is a "+heard+", and a fuse.")
		e.build()
		for i := range e.nodes {
			for k := e.nodes[i].from; k < e.nodes[i].to; k++ {
				if c := &e.cands[k]; c.by[0] == channel.Code {
					return shown(c.lo, c.hi, c.isRange) + " " + string(c.unit), c.literal
				}
			}
		}
		return "", false
	}
	for _, c := range codeCases {
		if got, literal := read(c.heard); got != c.want || literal {
			t.Errorf("%q: code read as %q (literal %v), want %q", c.heard, got, literal, c.want)
		}
	}
	// no code: two digits, four digits, a unit said, another part, a zero in front
	for _, heard := range []string{
		"ceramic capacitor, 10", "ceramic capacitor, 1040", "ceramic capacitor, 104 nanofarads", "MOSFET, 104", "ceramic capacitor, 047",
	} {
		if got, _ := read(heard); got != "" {
			t.Errorf("%q: read as a code, %s", heard, got)
		}
	}
}
