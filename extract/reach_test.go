package extract

import "testing"

// Each of these reaches has a case that it still covers and one a word further
// that it does not, so that no other number passes.
func TestReaches(t *testing.T) {
	for _, c := range []struct {
		reach, text, property, port, spot string // of the first number
	}{
		{"closerReach", "Test. The standby of the unit under this current is 0.3 milliamps.", "sleep_current", "", ""},
		{"closerReach", "Test. The standby of the unit under this load current is 0.3 milliamps.", "output_current", "", ""},
		{"changeReach", "Test. It changes over of the unit under this load here temperature 20 milliseconds.", "changeover_time", "", ""},
		{"changeReach", "Test. It changes over of the unit under this load here again temperature 20 milliseconds.", "duration", "", ""},
		{"spotBehindReach", "Thermals. Bottom: 68 degrees on the top.", "temperature", "", "top"},
		{"spotBehindReach", "Thermals. Bottom: 68 degrees on the very top.", "temperature", "", "bottom"},
		{"portWordsReach", "Test. We draw 20 watts out of the port type C, and 5 volts from the USB A.", "condition_power", "USB-C", ""},
		{"portWordsReach", "Test. We draw 15 volts 3 amps on out of the port USB C, and 5 volts from the USB A.", "condition_voltage", "", ""},
	} {
		d := find(t, c.text)
		got := d.Mentions[0].Context
		if got.Property != c.property || got.Port != c.port || got.Spot != c.spot {
			t.Errorf("%s: %s: property %q, port %q, spot %q; want %q, %q, %q", c.reach, c.text, got.Property, got.Port,
				got.Spot,
				c.property, c.port, c.spot)
		}
	}
}
