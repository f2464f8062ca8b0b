package extract

import "testing"

// TestKindsFromWords: what a chip does, and what a part's numbers are, show the
// closer kind; the ranges are those of handbook 7.1.
func TestKindsFromWords(t *testing.T) {
	for _, c := range []struct{ text, kind string }{
		{"The chip that watches over the cells, Kestrow KX 3605.", "battery monitor"},
		{"The controller drives the coil, Kestrow KX 3605.", "transmitter controller"},
		{"A capacitor of 25 volts watches the cells.", "capacitor"}, // only chips do
		{"A capacitor from Kestrow, 450 volts, 82 microfarads.", "bulk capacitor"},
		{"A capacitor from Kestrow, 25 volts, 82 microfarads.", "capacitor"},  // of the output, the voltage says
		{"A capacitor from Kestrow, 450 volts, 2.2 nanofarads.", "capacitor"}, // 2.2 nF are no bulk
		{"A capacitor from Kestrow, 450 volts.", "capacitor"},                 // half of it says nothing
	} {
		if d := find(t, opened+c.text); lastPart(d).Kind != c.kind {
			t.Errorf("%s: got %+v, want %s", c.text, lastPart(d), c.kind)
		}
	}
}
