package assemble

import (
	"strings"
	"testing"
)

// TestAlikeEachOther checks that ports likened to each other again and again
// have their levels and powers once: a record must not grow with the repeats.
func TestAlikeEachOther(t *testing.T) {
	text := "A charger. On the output side C1 puts out 5 volts 3 amps, 9 volts 3 amps, 45 watts. " +
		strings.Repeat("C2 is the same as C1. C1 is the same as C2. ", 60)
	rec := filled(t, "review.txt", text)
	if len(rec.Levels) != 4 || len(rec.Claims) != 2 {
		t.Fatalf("%d levels and %d claims, want 4 and 2: %+v", len(rec.Levels), len(rec.Claims), rec.Claims)
	}
	for _, l := range rec.Levels {
		if len(l.Voltage.Said) != 1 {
			t.Errorf("%s %v said %v, want once", l.Port, l.Voltage.Quantity, l.Voltage.Said)
		}
	}
}
