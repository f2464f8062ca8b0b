package validate

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
	"saywatt/validate/standard"
	"saywatt/validate/testdata/notation"
)

// TestSeries reproduces IEC 60063:2015 Tables 1 and 2 (R23) by rule: E48 and
// E96 are round(100 × 10^(i/n)); E24 is round(10 × 10^(i/24)) but for the
// eight values that the standard kept from older use; E3, E6 and E12 are every
// eighth, fourth and second of E24. R5, R10 and R20 (ISO 3) are 10^(i/n)
// within the standard's rounding of 1.3 %.
func TestSeries(t *testing.T) {
	s := seriesValues()
	for _, n := range []int{48, 96} {
		for i, got := range s[fmt.Sprint("E", n)] {
			if want := math.Round(100*math.Pow(10, float64(i)/float64(n))) / 100; !same(got, want) {
				t.Errorf("E%d[%d] = %g, want %g", n, i, got, want)
			}
		}
	}
	kept := map[string]bool{"2.7": true, "3": true, "3.3": true, "3.6": true, "3.9": true, "4.3": true, "4.7": true,
		"8.2": true}
	e24 := s["E24"]
	for i, got := range e24 {
		want := math.Round(10*math.Pow(10, float64(i)/24)) / 10
		if same(got, want) == kept[fmt.Sprint(got)] {
			t.Errorf("E24[%d] = %g, by formula %g", i, got, want)
		}
	}
	for name, step := range map[string]int{"E12": 2, "E6": 4, "E3": 8} {
		var want []float64
		for i := 0; i < len(e24); i += step {
			want = append(want, e24[i])
		}
		if !slices.EqualFunc(s[name], want, same) {
			t.Errorf("%s = %v, want %v", name, s[name], want)
		}
	}
	for _, n := range []int{5, 10, 20} {
		for i, got := range s[fmt.Sprint("R", n)] {
			if want := math.Pow(10, float64(i)/float64(n)); math.Abs(got/want-1) > 0.013 {
				t.Errorf("R%d[%d] = %g, exact %g", n, i, got, want)
			}
		}
	}
	for name, n := range map[string]int{"E3": 3, "E6": 6, "E12": 12, "E24": 24, "E48": 48, "E96": 96, "R5": 5,
		"R10": 10, "R20": 20} {
		if len(s[name]) != n {
			t.Errorf("%s has %d members, want %d", name, len(s[name]), n)
		}
	}
	// W78 and W79
	for _, x := range []float64{1.0, 1.5, 2.2, 3.3, 4.7, 6.8} {
		if member(x, s["E6"]) < 0 {
			t.Errorf("%g is not in E6", x)
		}
	}
	for _, x := range []float64{1.4, 1.7, 1.9, 2.1, 2.5} {
		if member(x, e24) >= 0 {
			t.Errorf("%g is in E24", x)
		}
	}
}

// partKinds are the kinds of component that records have (design of validate,
// V1), and "battery fuse" for those of the battery. A row for another kind
// would never be read.
const partKinds = "fuse, battery fuse, fusible resistor, NTC thermistor, varistor, X capacitor, Y capacitor, " +
	"common-mode choke, differential choke, " +
	"bridge rectifier, bulk capacitor, PFC controller, PFC inductor, PFC diode, primary controller, primary MOSFET, GaN switch, snubber capacitor, " +
	"snubber resistor, discharge resistor, transformer, optocoupler, sync rectifier controller, sync rectifier MOSFET, Schottky diode, " +
	"solid output capacitor, solid capacitor, electrolytic capacitor, ceramic capacitor, port switch MOSFET, MOSFET, half-bridge MOSFET, " +
	"protocol controller, buck converter, buck inductor, buck-boost controller, inductor, output inductor, IGBT, sense resistor, shunt resistor, resistor, microcontroller, " +
	"protector, balance resistor, fuel gauge, cell, coil, resonant capacitor, transmitter controller, crystal, thermal cut-off, TVS diode, Zener diode, " +
	"e-marker, fan, relay, display, thermal pad, heatsink"

// TestPartTables walks every row of the tables on parts: known kinds, ordered
// windows, rising values, known series.
func TestPartTables(t *testing.T) {
	known := strings.Split(partKinds, ", ")
	kinds := func(table string, of []string) {
		for _, k := range of {
			if !slices.Contains(known, k) {
				t.Errorf("%s: unknown kind %q", table, k)
			}
		}
	}
	for _, w := range partWindows() {
		kinds("part_windows", w.kinds)
		if w.low >= w.high || w.typical == "" {
			t.Errorf("part_windows: %v %s: %g..%g, typical %q", w.kinds, w.property, w.low, w.high, w.typical)
		}
	}
	for _, p := range preferreds() {
		kinds("preferred", p.kinds)
		if len(p.members) == 0 {
			t.Errorf("preferred: %v: no series", p.kinds)
		}
	}
	for _, l := range voltageLists() {
		kinds("part_voltages", l.kinds)
	}
	for _, o := range onResistances() {
		kinds("on_resistances", o.kinds)
		if o.low >= o.high || o.classLow >= o.classHigh {
			t.Errorf("on_resistances: %v at %g V", o.kinds, o.classLow)
		}
	}
	for _, s := range switchings() {
		kinds("switching", s.kinds)
		if s.low >= s.high {
			t.Errorf("switching: %v", s.kinds)
		}
	}
	for name, m := range margins() {
		kinds("margins", m.kinds)
		if RuleNamed(name) == nil || m.must > m.usual || m.against != againstPeak && m.against != againstMains &&
			m.against != againstOutput {
			t.Errorf("margins: %s %+v", name, m)
		}
	}
}

// TestCellTables checks the rows of cell formats and of chemistries.
func TestCellTables(t *testing.T) {
	for _, f := range cellFormats() {
		if f.chargeLow >= f.chargeHigh || f.massLow >= f.massHigh || f.volume() <= 0 {
			t.Errorf("cell_formats: %v", f.names)
		}
		// a cell of the format's middle has a bare density of 2.0 to 3.1 g/cm³ (handbook 5.4,
		// computed from W41 and W42)
		if d := (f.massLow + f.massHigh) / 2 / f.volume() / 1000; d < 2.0 || d > 3.1 {
			t.Errorf("cell_formats: %v: %.2f g/cm³", f.names, d)
		}
	}
	for _, c := range chemistries() {
		for _, n := range c.nominal {
			for _, l := range c.limit {
				if n >= l || n <= c.cutoffHigh {
					t.Errorf("chemistries: %s: cut-off %g, nominal %g, limit %g V", c.name, c.cutoffHigh, n, l)
				}
			}
		}
	}
}

// judge gives the rule's judgement of its first case in a record.
func judge(t *testing.T, rule, record string) Judgement {
	t.Helper()
	r := RuleNamed(rule)
	var j Judgement
	r.Find(notation.Parse(t, record), func(c Case) bool {
		q := make([]schema.Quantity, len(c.Args))
		for i, a := range c.Args {
			q[i] = a.Value.Quantity
		}
		j = r.Judge(&c, q)
		return false
	})
	return j
}

// TestGrading: what the reading engine needs of the rules is not only right
// and wrong but how much. The right reading gains, the reading with a lost
// point loses clearly, and the farther the worse.
func TestGrading(t *testing.T) {
	tests := []struct {
		rule, right, near, far string // records: right, wrong by a factor of ten, wrong by a thousand
	}{
		{"charge-energy", "battery.pack.capacity = 10000 mA.h\nbattery.pack.voltage = 3.7 V\nbattery.pack.energy = 37 W.h",
			"battery.pack.capacity = 10000 mA.h\nbattery.pack.voltage = 37 V\nbattery.pack.energy = 37 W.h",
			"battery.pack.capacity = 10000 A.h\nbattery.pack.voltage = 3.7 V\nbattery.pack.energy = 37 W.h"},
		{"body-volume", "body.dimensions = [98 mm, 64 mm, 31.5 mm]\nbody.volume = 197.6 cm3",
			"body.dimensions = [98 mm, 64 mm, 315 mm]\nbody.volume = 197.6 cm3", "body.dimensions = [98 mm, 64 mm, 31.5 m]\nbody.volume = 197.6 cm3"},
		{"part-window", "component GaN switch, on_resistance 150 mOhm", "component GaN switch, on_resistance 15 Ohm", "component GaN switch, on_resistance 150 MOhm"},
		{"on-resistance", "component sync rectifier MOSFET, on_resistance 6.8 mOhm, voltage 100 V", "component sync rectifier MOSFET, on_resistance 680 mOhm, voltage 100 V",
			"component sync rectifier MOSFET, on_resistance 6.8 kOhm, voltage 100 V"},
		{"rated-energy", "battery.pack.energy = 37 W.h\nbattery.rated.capacity = 5920 mA.h\nbattery.rated.voltage = 5 V",
			"battery.pack.energy = 37 W.h\nbattery.rated.capacity = 59200 mA.h\nbattery.rated.voltage = 5 V",
			"battery.pack.energy = 37 W.h\nbattery.rated.capacity = 5920 A.h\nbattery.rated.voltage = 5 V"},
		{"body-density", "body.mass = 306 g\nbody.volume = 197.6 cm3", "body.mass = 3060 g\nbody.volume = 197.6 cm3", "body.mass = 306 kg\nbody.volume = 197.6 cm3"},
		{"bulk-capacitance", "claim power, 65 W\ncomponent bulk capacitor, capacitance 100 uF", "claim power, 65 W\ncomponent bulk capacitor, capacitance 1000 uF",
			"claim power, 65 W\ncomponent bulk capacitor, capacitance 100 mF"},
		{"switching-frequency", "component primary controller, frequency 65 kHz", "component primary controller, frequency 6.5 MHz", "component primary controller, frequency 65 MHz"},
	}
	for _, tt := range tests {
		right, near, far := judge(t, tt.rule, tt.right).LogRatio, judge(t, tt.rule, tt.near).LogRatio,
			judge(t, tt.rule, tt.far).LogRatio
		if right <= 0 || near > -3 || far >= near {
			t.Errorf("%s: right %.2f, near %.2f, far %.2f: want above 0, below -3, falling", tt.rule, right, near, far)
		}
	}
	if j := judge(t, "charge-energy", tests[0].right); j.LogRatio < 3 {
		t.Errorf("charge-energy within 1 %%: %.2f nats, want 3 and more", j.LogRatio)
	}
	if j := judge(t, "charge-energy", tests[0].near); j.LogRatio > -6 {
		t.Errorf("charge-energy ×10: %.2f nats, want -6 and less", j.LogRatio)
	}
	// a preferred number never decides (handbook trap T9)
	for _, v := range []string{"17 kOhm", "47 kOhm"} {
		if j := judge(t, "preferred-number", "component resistor, resistance "+v); math.Abs(j.LogRatio) > 1.5 {
			t.Errorf("preferred-number %s: %.2f nats, want at most 1.5 either way", v, j.LogRatio)
		}
	}
}

// TestChargeEnergyEngine swaps readings into one case, as the engine does: of
// all the places for the point, only the right one is supported.
func TestChargeEnergyEngine(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		mAh := rapid.Int64Range(500, 30000).Draw(rt, "mAh")
		hundredths := rapid.SampledFrom([]int64{320, 360, 363, 370, 385, 387}).Draw(rt, "V × 100")
		e := schema.One(schema.NewDecimal(mAh*hundredths, -5).Round(2), "W.h")
		c := Case{Extra: 1, Args: make([]Arg, 3)}
		for power := int32(-3); power <= 3; power++ {
			q := []schema.Quantity{e, schema.One(schema.NewDecimal(mAh, 0), "mA.h"),
				schema.One(schema.NewDecimal(hundredths, power-2), "V")}
			j := ruleChargeEnergy.Judge(&c, q)
			if (j.LogRatio > 0) != (power == 0) {
				rt.Fatalf("%v with the point moved by %d: %.2f nats", q, power, j.LogRatio)
			}
		}
	})
}

func TestParsePackage(t *testing.T) {
	tests := []struct {
		code, form string
		pins       int
		body       [2]float64
	}{
		{"QFN-24 4x4", "QFN-24", 24, [2]float64{4, 4}},
		{"QFN24", "QFN-24", 24, [2]float64{}},
		{"QFN-36", "QFN", 36, [2]float64{}},
		{"SOT-23-6", "SOT-23-6", 6, [2]float64{}},
		{"SOT23", "SOT-23", 0, [2]float64{}},
		{"DFN5x6", "DFN", 0, [2]float64{5, 6}},
		{"PDFN3.3x3.3", "PDFN", 8, [2]float64{3.3, 3.3}},
		{"DFN-8 5x6", "DFN", 8, [2]float64{5, 6}},
		{"TO-252", "TO-252", 0, [2]float64{}},
		{"TO-220F", "TO-220F", 0, [2]float64{}},
		{"TSSOP-20", "TSSOP", 20, [2]float64{}},
		{"ESOP-8", "ESOP", 8, [2]float64{}},
	}
	for _, tt := range tests {
		p, ok := parsePackage(tt.code)
		if !ok || p.form.name != tt.form || p.pins != tt.pins || p.body != tt.body {
			t.Errorf("parsePackage(%q) = %+v, %v, want %s, %d pins, body %v", tt.code, p, ok, tt.form, tt.pins, tt.body)
		}
	}
	for _, code := range []string{"", "GBU", "0603", "5x6", "QFN-x", "pouch", "-"} {
		if p, ok := parsePackage(code); ok {
			t.Errorf("parsePackage(%q) = %+v, want unknown", code, p)
		}
	}
}

func FuzzParsePackage(f *testing.F) {
	for _, s := range []string{"QFN-24 4x4", "DFN5x6", "SOT-23-6", "x", "QFN-99999999999999999999", "1x1x1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if p, ok := parsePackage(s); ok && (p.form == nil || p.pins < 0 || p.body[0] < 0) {
			t.Errorf("parsePackage(%q) = %+v", s, p)
		}
	})
}

// TestWorkedParts are the worked examples of handbook 11.4 that rules judge.
func TestWorkedParts(t *testing.T) {
	tests := []struct {
		id, rule, record string
		want             Verdict
	}{
		{"W71", "bulk-capacitance", "claim power, 4 W\ncomponent bulk capacitor, capacitance 10 uF", VerdictFits}, // design note R27: 8 µF, 10 µF fitted
		{"W71", "bulk-voltage", "level input, AC, , 85..264 V, 0.1 A\ncomponent bulk capacitor, voltage 450 V", VerdictFits},
		{"W72", "bulk-voltage", "level input, AC, , 85..264 V, 0.1 A\ncomponent bulk capacitor, voltage 372 V", VerdictBreaks}, // peak is 373.4 V, the note prints 372
		{"W72", "bulk-voltage", "level input, AC, , 85..264 V, 0.1 A\ncomponent bulk capacitor, voltage 400 V", VerdictFits},
		{"W75", "varistor-voltage", "level input, AC, , 100..240 V, 1 A\ncomponent varistor, voltage 470 V", VerdictFits},
		{"W75", "part-window", "component varistor, voltage 470 V, outer_diameter 10 mm", VerdictFits},
		{"W80", "fuse-list", "component fuse, current 3.15 A", VerdictFits},
		{"W80", "fuse-list", "component fuse, current 3.25 A", VerdictBreaks},
		{"W81", "no-load-power", "claim power, 65 W\nmeasure no_load_power, 0.21 W", VerdictFits},
		{"W81", "no-load-power", "claim power, 65 W\nmeasure no_load_power, 0.22 W", VerdictOdd},
		{"W96", "package-form", "component protocol controller, package=QFN-24 4x4", VerdictFits},
		{"W96", "package-form", "component primary controller, package=SOT-23-6 2.9x1.6", VerdictFits},
		{"W97", "touch-temperature", "measure temperature, 77.1 Cel", VerdictOdd},
		{"W98", "efficiency-window", "product.kind = charger\nclaim power, 140 W\nmeasure efficiency, 90.2 %", VerdictFits},
		{"W99", "air-travel", "battery.pack.energy = 100.8 W.h", VerdictOdd},
		{"W45", "air-travel", "battery.pack.energy = 99.9 W.h", VerdictFits},
		{"W50", "series-voltage", "battery.cell.series = 3\nbattery.cell.charge_limit = 4.2 V\nbattery.pack.full = 12.6 V", VerdictFits},
		{"W41", "cell-specific-energy", "battery.cell.capacity = 3.5 A.h\nbattery.cell.voltage = 3.6 V\nbattery.cell.mass = 48 g", VerdictFits},
		{"W77", "preferred-number", "component inductor, inductance 4.7 uH", VerdictFits},
		{"W77", "preferred-number", "component sense resistor, resistance 0.47 Ohm", VerdictFits},
	}
	for _, tt := range tests {
		if got := judge(t, tt.rule, tt.record).Verdict; got != tt.want {
			t.Errorf("%s %s: %s: %v, want %v", tt.id, tt.rule, tt.record, got, tt.want)
		}
	}
}

// TestVaristorTable: the AC rating of each code is the effective value of what a part
// of ten percent less than its voltage at 1 mA rests at (10D471K: K is ten percent,
// handbook 4.8, R26), within the steps that makers round to.
func TestVaristorTable(t *testing.T) {
	for _, row := range varistors() {
		q, ok := decodedVolts(row.code)
		if !ok || q != row.dc {
			t.Errorf("code %s says %g V, the table has %g V", row.code, q, row.dc)
		}
		if peak, rests := row.ac*math.Sqrt2, 0.9*row.dc; math.Abs(peak/rests-1) > 0.04 {
			t.Errorf("code %s: AC rating %g V has a peak of %.0f V, and the part rests at %.0f V", row.code, row.ac,
				peak, rests)
		}
	}
	if n := len(varistors()); n != 16 {
		t.Errorf("%d codes, want 16", n)
	}
}

// decodedVolts is the code of a varistor in volts.
func decodedVolts(code string) (float64, bool) {
	x, whole, ok := codedValue(code, standard.VoltsCode)
	return x, ok && whole
}

// TestBoundTables checks the rows of efficiencies and of crystals.
func TestBoundTables(t *testing.T) {
	for i := range efficiencyWindows() {
		if w := &efficiencyWindows()[i]; w.low >= w.high || w.high >= 1 {
			t.Errorf("efficiencies: %s: %g..%g", w.what, w.low, w.high)
		}
	}
	if !same(crystalList()[0], math.Pow(2, 15)) {
		t.Errorf("watch crystal %g Hz, want 2^15", crystalList()[0])
	}
}
