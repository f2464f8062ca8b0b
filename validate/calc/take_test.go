package calc

import (
	"errors"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

// TestTakeParts follows ratings of a record into the calculators on parts, with
// the values of their worked examples.
func TestTakeParts(t *testing.T) {
	rec := notation.Parse(t, `claim power, 65 W
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
	empty := notation.Parse(t, "component discharge resistor, resistance 1 MOhm\n")
	for _, c := range []*Calculator{xDischarge, yLeakage, holdUp, resonance} {
		if taken := c.Take(empty); taken != nil {
			t.Errorf("%s takes %+v of a record without its part", c.Name, taken)
		}
	}
}

// TestTakeRecord follows a record into the calculators on lists, codes, values,
// wires, cells and the mains: what each takes, and its first answer.
func TestTakeRecord(t *testing.T) {
	rec := notation.Parse(t, `claim power, 65 W
battery.cell.capacity = 5000 mA.h
battery.cell.voltage = 3.6 V
battery.cell.count = 4
battery.cell.series = 2
level mains/input, AC, , 100..240 V, 1.5 A
level mains/output, AC, , 230 V, 2 A (open), 400 W
level mains/output, USB-C1, PPS, 3.3..11 V, 3 A
level mains/output, USB-C1, PD, 9 V, 3 A
level mains/output, USB-C1, PD, 5 V, 3 A
level mains/output, USB-C2, PD, 28 V, 5 A
level mains/output, USB-C2, PD, 5 V, 3 A
level mains/output, USB-C3, PD, 5 V, 3 A
level mains/output, USB-C3, PD, 9 V
level mains/output, USB-C4, PD, 9 V, 3.333 A
level mains/output, USB-A, QC, 9 V, 2 A
component ceramic capacitor, capacitance 100 nF, part=104K
component resistor, resistance 4.6 kOhm, part=AB104X
component sense resistor, resistance 4..5 mOhm, part=R005
component varistor, voltage 470 V, part=471K
component snubber capacitor, capacitance 4.7 nF (code 472)
cable.gauge = [28, 20]
`)
	for _, test := range []struct {
		of   *Calculator
		want string
	}{
		{cRate, "cell: power 400 W, capacity 5000 mAh, voltage 3.6 V, series 2, parallel 2; 30.8642 A"},
		{apparentPower, `mains/input AC 100–240 V: voltage 100 V, current 1.5 A; 150 V.A
mains/output AC 230 V: voltage 230 V, current 2 A open, power 400 W; 460 V.A`},
		{pdoList, `mains/output USB-C1: words 0x0001912C 0x0002D12C 0xC0DC213C; 27 W
mains/output USB-C2: words 0x0001912C 0 0 0 0 0 0 0x0008C1F4; 140 W
mains/output USB-C3: not all of its levels have an object: mains/output USB-C3 PD 9 V: no current was said
mains/output USB-C4: not all of its levels have an object: mains/output USB-C4 PD 9 V: ` +
			`current 3.333 A in steps of 0.01 A: is not a whole number of steps`},
		{componentCode, `ceramic capacitor: code 104K, part capacitor; 100000 pF
sense resistor: code R005, part resistor; 0.005 Ohm
snubber capacitor: code 472, part capacitor; 4700 pF`},
		{nearestValue, `ceramic capacitor 104K 100 nF: value 100; 100 1
resistor AB104X 4.6 kΩ: value 4.6; 4.7 1
sense resistor R005 4–5 mΩ: a range has no nearest value
snubber capacitor 4.7 nF: value 4.7; 4.7 1`},
		{wireGauge, `cable: gauge 28 AWG; AWG 28
cable: gauge 20 AWG; AWG 20`},
		{levelPower, `mains/output USB-C1 PPS 3.3–11 V: voltage 3.3–11 V, current 3 A; 9.9–33 W
mains/output USB-C1 PD 9 V: voltage 9 V, current 3 A; 27 W
mains/output USB-C1 PD 5 V: voltage 5 V, current 3 A; 15 W
mains/output USB-C2 PD 28 V: voltage 28 V, current 5 A; 140 W
mains/output USB-C2 PD 5 V: voltage 5 V, current 3 A; 15 W
mains/output USB-C3 PD 5 V: voltage 5 V, current 3 A; 15 W
mains/output USB-C4 PD 9 V: voltage 9 V, current 3.333 A; 29.997 W
mains/output USB-A QC 9 V: voltage 9 V, current 2 A; 18 W`}, // neither of the mains levels
	} {
		var got []string
		for _, taken := range test.of.Take(rec) {
			got = append(got, takenLine(test.of, taken))
		}
		if diff := gocmp.Diff(test.want, strings.Join(got, "\n")); diff != "" {
			t.Errorf("%s (-want +got)\n%s", test.of.Name, diff)
		}
	}
}

// takenLine is a set of inputs with the first result that is a quantity, or the
// first at all.
func takenLine(c *Calculator, taken Taken) string {
	if taken.Skipped != "" {
		return taken.Label + ": " + taken.Skipped
	}
	var given []string
	for _, g := range taken.Given {
		s := g.Input + " " + g.Text
		if g.Text == "" {
			s = g.Input + " " + g.Quantity.String()
		}
		if g.Open {
			s += " open"
		}
		given = append(given, s)
	}
	line := taken.Label + ": " + strings.Join(given, ", ") + "; "
	a, err := c.Do(taken.Given)
	if err != nil {
		return line + err.Error()
	}
	first := a.Results[0]
	if k := slices.IndexFunc(a.Results, func(r Result) bool { return r.Name == "power" }); k >= 0 {
		first = a.Results[k]
	}
	return line + result(a, first.Name)
}

// TestUnrecorded: what computes from a word says that no record holds it, for
// every record, and each calculator that has no such input takes from records.
func TestUnrecorded(t *testing.T) {
	var names []string
	for _, c := range All() {
		if c.Unrecorded == "" {
			continue
		}
		names = append(names, c.Name)
		_, err := c.DoRecord(&schema.Record{}, nil)
		want := c.Name + ": no record holds its word, a hexadecimal number: give it with --word"
		var re *RecordError
		if !errors.As(err, &re) || err.Error() != want {
			t.Errorf("%s: %v, want %q", c.Name, err, want)
		}
		if !slices.ContainsFunc(c.Inputs(), func(in Input) bool { return in.Name == c.Unrecorded }) {
			t.Errorf("%s has no input %s", c.Name, c.Unrecorded)
		}
	}
	if want := "pdo-decode request-decode marker-decode"; strings.Join(names, " ") != want {
		t.Errorf("no record for %q, want %q", names, want)
	}
}
