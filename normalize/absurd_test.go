package normalize

import (
	"strings"
	"testing"

	"saywatt/schema"
)

// A value above all that is plausible for its kind never stands, and says why;
// it is there all the same, with all its digits.
func TestAbsurdValuesAreOpen(t *testing.T) {
	nines := strings.Repeat("9", 25)
	for _, c := range []struct{ text, want string }{
		{"It says " + nines + " volts. That is odd.", nines + " V"},
		{"It says " + nines + " amps. That is odd.", nines + " A"},
		{"Twenty watts. And " + nines + nines + " W.", nines + nines + " W"},
	} {
		doc := read(t, c.text)
		for _, threshold := range []float64{0, 0.6} {
			said, _ := (&Ranker{Threshold: threshold}).Rank(doc)
			last := said[len(said)-1]
			if last.Quantity.String() != c.want || last.Status != schema.StatusOpen || last.Confidence > 0.5 {
				t.Errorf("%.60q: %s is %s at %v, want %s open", c.text, last.Quantity, last.Status, last.Confidence,
					c.want)
			}
			if !strings.Contains(strings.Join(last.Why, "\n"), "outside what is plausible") {
				t.Errorf("%.60q: open without a reason: %q", c.text, last.Why)
			}
		}
	}
	// large, but such things are: they stand
	for _, text := range []string{"The output voltage is 48 volts.", "The battery has 1000 watt hours."} {
		said, _ := (&Ranker{}).Rank(read(t, text))
		if len(said) != 1 || said[0].Confidence <= 0.5 {
			t.Errorf("%q: %v", text, said)
		}
	}
}
