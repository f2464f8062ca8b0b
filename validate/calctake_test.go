package validate

import "testing"

// TestTakeParts follows ratings of a record into the calculators on parts, with
// the values of their worked examples.
func TestTakeParts(t *testing.T) {
	rec := parseNotation(t, `claim power, 65 W
component X capacitor, capacitance 0.47 uF
component discharge resistor, resistance 1 MOhm
component Y capacitor, capacitance 2.2 nF, count=2
component bulk capacitor, capacitance 100 uF
component coil, inductance 24 uH
component resonant capacitor, capacitance 100 nF
`)
	for _, test := range []struct {
		of     *Calculator
		label  string
		inputs int
	}{
		{xDischarge, "X capacitor with discharge resistor", 2},
		{yLeakage, "Y capacitor, one of 2", 1},
		{holdUp, "bulk capacitor", 2},
		{resonance, "coil with resonant capacitor", 2},
	} {
		taken := test.of.Take(rec)
		if len(taken) != 1 || taken[0].Label != test.label || len(taken[0].Given) != test.inputs {
			t.Errorf("%s takes %+v, want %q with %d inputs", test.of.Name, taken, test.label, test.inputs)
		}
	}
	empty := parseNotation(t, "component discharge resistor, resistance 1 MOhm\n")
	for _, c := range []*Calculator{xDischarge, yLeakage, holdUp, resonance} {
		if taken := c.Take(empty); taken != nil {
			t.Errorf("%s takes %+v of a record without its part", c.Name, taken)
		}
	}
}
