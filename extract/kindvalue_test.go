package extract

import "testing"

// TestKindsFromWords: what a chip does, and what a part's numbers are, tell the
// closer kind; the ranges are those of handbook 7.1.
func TestKindsFromWords(t *testing.T) {
	for _, c := range []struct{ text, kind string }{
		{"Main board. The chip that watches over the cells, Kestrow KX 3605.", "battery monitor"},
		{"Main board. The controller drives the coil, Kestrow KX 3605.", "transmitter controller"},
		{"Main board. A capacitor watches the cells.", "capacitor"}, // only chips do
		{"Main board. A capacitor from Kestrow, 450 volts, 82 microfarads.", "bulk capacitor"},
		{"Main board. A capacitor from Kestrow, 25 volts, 82 microfarads.", "capacitor"},  // of the output, the voltage says
		{"Main board. A capacitor from Kestrow, 450 volts, 2.2 nanofarads.", "capacitor"}, // 2.2 nF are no bulk
		{"Main board. A capacitor from Kestrow, 450 volts.", "capacitor"},                 // half of it tells nothing
	} {
		d := find(t, c.text)
		if len(d.Subjects) == 0 || d.Subjects[0].Kind != c.kind {
			t.Errorf("%s: got %+v, want %s", c.text, d.Subjects, c.kind)
		}
	}
}
