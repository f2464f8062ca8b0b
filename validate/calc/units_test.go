package calc

import (
	"bytes"
	"math"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"saywatt/schema"
)

// TestCalculatorsAgainstUnits has the arithmetic of calculators done by GNU units
// too, a published program that knows units, wire gauges (wiregauge, ASTM B258) and
// annealed copper (58 MS/m, IEC 60028), from the formula of the standard or textbook
// beside each. It refuses sums of different dimensions, so the formulas are checked
// as well as the numbers.
func TestCalculatorsAgainstUnits(t *testing.T) {
	program, err := exec.LookPath("units")
	if err != nil {
		t.Skip("GNU units is not installed: calculators not compared")
	}
	tests := []struct{ calculator, inputs, result, expression, unit string }{
		// definition of the watt, SI Brochure 9, 2.3.4
		{"level-power", "voltage=20V; current=3.25A", "power", "20 V * 3.25 A", "W"},
		// E = Q U, IEC 60050-121
		{"pack-energy", "capacity=26.8Ah; voltage=3.6V", "energy", "26.8 A hour * 3.6 V", "W hour"},
		{"usable-energy", "capacity=10000mAh; voltage=3.85V; output_voltage=9V; efficiency=87%", "usable_capacity",
			"10000 mA hour * 3.85 V * 87 % / 9 V", "mA hour"},
		{"runtime", "energy=74Wh; load=10W; efficiency=85%", "time", "74 W hour * 85 % / 10 W", "hour"},
		{"recharge-time", "energy=37Wh; power=20W; efficiency=88%; taper_start=80%; taper_end=10%", "time",
			"37 W hour / (20 W * 88 %) * (0.8 + 0.2 / 0.9 * ln(10))", "hour"},
		{"refills", "energy=37Wh; device=18.5Wh; efficiency=60%", "refills", "37 W hour * 60 % / (18.5 W hour)", "1"},
		{"energy-price", "price=37; energy=74Wh", "each_watt_hour", "37 / 74", "1"},
		{"c-rate", "power=65W; voltage=3.6V; capacity=5000mAh; series=4; efficiency=90%", "rate",
			"65 W / (90 % * 4 * 3.6 V) / (5000 mA hour / hour)", "1"},
		{"energy-density", "capacity=3.5Ah; voltage=3.6V; diameter=18.5mm; length=65.2mm; mass=48g", "energy_density",
			"3.5 A hour * 3.6 V / (pi / 4 * (18.5 mm)^2 * 65.2 mm)", "W hour / liter"},
		{"power-density", "power=65W; length=50mm; width=40mm; height=30mm", "power_density_inch",
			"65 W / (50 mm * 40 mm * 30 mm)", "W / in^3"},
		// R = ρ l / A of annealed copper, IEC 60028
		{"wire-gauge", "gauge=22", "resistance", "1 / (58e6 S/m) / (pi / 4 * wiregauge(22)^2)", "ohm / km"},
		{"wire-gauge", "gauge=22", "diameter", "wiregauge(22)", "mm"},
		{"cable-drop", "awg=24; length=2m; current=3A; contacts=0mohm", "drop",
			"3 A * 2 * 2 m / (58e6 S/m) / (pi / 4 * wiregauge(24)^2)", "V"},
		// Joule's law
		{"conduction-loss", "current=5A; on_resistance=10mOhm; duty=40%; parallel=2; hot_factor=1.5", "loss",
			"(5 A)^2 * 40 % * 10 mohm * 1.5 / 2", "W"},
		{"fuse", "power=65W; efficiency=88%; mains=100V; power_factor=0.6", "input_current",
			"65 W / (88 % * 100 V * 0.6)", "A"},
		// power factor: active over apparent power, IEC 60050-131, 131-11-46
		{"apparent-power", "voltage=230V; current=0.5A; power=69W", "factor", "69 W / (230 V * 0.5 A)", "1"},
		// Regulation (EU) 2019/1782, Annex II
		{"efficiency-floor", "power=20W", "floor", "0.071 * ln(20) - 0.0014 * 20 + 0.67", "%"},
		// discharge of a capacitor, IEC 62368-1, 5.5.2.2: 60 V within 2 s
		{"x-discharge", "capacitance=0.33uF; mains=230V; resistance=2MOhm", "time",
			"2 Mohm * 0.33 uF * ln(sqrt(2) * 230 V / (60 V))", "s"},
		{"x-discharge", "capacitance=0.33uF; mains=230V", "resistance_most",
			"2 s / (0.33 uF * ln(sqrt(2) * 230 V / (60 V)))", "kohm"},
		// reactance of a capacitor
		{"y-leakage", "capacitance=2.2nF; mains=230V; frequency=50Hz", "current", "2 pi 50 Hz * 2.2 nF * 230 V", "mA"},
		// energy of a capacitor, ½ C U²
		{"hold-up", "capacitance=82uF; power=65W; full=325V; least=90V; efficiency=90%", "time",
			"82 uF * ((325 V)^2 - (90 V)^2) / 2 * 90 % / (65 W)", "ms"},
		// Thomson's formula
		{"resonance", "inductance=24uH; capacitance=100nF", "frequency", "1 / (2 pi sqrt(24 uH * 100 nF))", "kHz"},
	}
	// whose answers are words of a standard or preferred numbers, worked in TestCalculators
	// from published words, tables and rules
	compared := []string{"pdo-decode", "pdo-encode", "pdo-list", "request-decode", "marker-decode", "air-travel",
		"component-code", "nearest-value"}
	for _, tt := range tests {
		compared = append(compared, tt.calculator)
		a, err := run(t, tt.calculator, tt.inputs)
		if err != nil {
			t.Errorf("%s %s: %v", tt.calculator, tt.inputs, err)
			continue
		}
		out, err := exec.Command(program, "--terse", "--digits", "15", tt.expression, tt.unit).Output()
		want, bad := schema.ParseDecimal(string(bytes.TrimSpace(out)))
		if err != nil || bad != nil {
			t.Errorf("%s: units %s %s: %s", tt.calculator, tt.expression, tt.unit, out)
			continue
		}
		k := slices.IndexFunc(a.Results, func(r Result) bool { return r.Name == tt.result })
		if k < 0 {
			t.Errorf("%s has no result %s", tt.calculator, tt.result)
			continue
		}
		least := 1e-6 // of calculators that round
		if strings.HasPrefix(tt.calculator, "wire") || tt.calculator == "cable-drop" {
			least = 0.006 // the published table has three digits
		}
		if got := a.Results[k].Quantity.Low.Float64(); math.Abs(got/want.Float64()-1) > least {
			t.Errorf("%s %s: %s is %g, GNU units have %s %s", tt.calculator, tt.inputs, tt.result, got, want, tt.unit)
		}
	}
	for _, c := range All() {
		if !slices.Contains(compared, c.Name) {
			t.Errorf("calculator %s: no expression for GNU units in this test; one that answers in words goes into "+
				"compared", c.Name)
		}
	}
}
