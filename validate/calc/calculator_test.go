package calc

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saywatt/internal/typed"
	"saywatt/schema"
	"saywatt/validate/standard"
	"saywatt/validate/testdata/notation"
)

// run gives a calculator inputs written "name=value", as on the command line.
func run(t testing.TB, name, inputs string) (*Answer, error) {
	t.Helper()
	c, ok := Named(name)
	if !ok {
		t.Fatalf("no calculator %s", name)
	}
	var given []Given
	for _, in := range strings.Split(inputs, "; ") {
		if in == "" {
			continue
		}
		n, v, _ := strings.Cut(in, "=")
		g := Given{Input: n}
		if n == "law" || n == "word" || n == "words" || n == "kind" || n == "code" || n == "part" || n == "series" &&
			strings.HasPrefix(v, "E") || n == "series" && strings.HasPrefix(v, "R") {
			g.Text = v
		} else {
			q, err := typed.Quantity(v)
			if err != nil {
				t.Fatal(err)
			}
			g.Quantity = q
		}
		given = append(given, g)
	}
	return c.Do(given)
}

// result prints one result to 6 significant digits, or its words.
func result(a *Answer, name string) string {
	for _, r := range a.Results {
		if r.Name != name {
			continue
		}
		if r.Quantity.IsZero() {
			return r.Text
		}
		if r.Quantity.Range {
			return r.Quantity.String()
		}
		return fmt.Sprintf("%.6g %s", r.Quantity.Low.Float64(), r.Quantity.Unit)
	}
	return "none"
}

func TestCalculators(t *testing.T) {
	tests := []struct {
		calculator, inputs, result, want string // a source for each
	}{
		// P = V × I, and the two labels sold as 20 W (R44, W87)
		{"level-power", "voltage=20V; current=3.25 A", "power", "65 W"},
		{"level-power", "voltage=9V; current=2.22A; power=20W", "power", "19.98 W"},
		{"level-power", "voltage=12 V; current=1.67 A; power=20 W", "difference", "0.04 W"},
		{"level-power", "voltage=3.3-21V; current=3A", "power", "9.9–63 W"}, // handbook 2.5
		{"level-power", "voltage=5000 mV; current=500 mA", "power", "2.5 W"},
		// Regulation (EU) 2019/1782 Annex II: handbook 11.4, W81, W82 and W83
		{"efficiency-floor", "power=65W", "floor", "88 %"},
		{"efficiency-floor", "power=65W", "no_load_most", "0.21 W"},
		{"efficiency-floor", "power=20W", "floor", "85.4697 %"},
		{"efficiency-floor", "power=10W; kind=low", "floor", "78.7036 %"},
		{"efficiency-floor", "power=60W; efficiency=89%", "efficiency_margin", "1 %"},
		{"efficiency-floor", "power=65W; no_load=0.3W", "no_load_margin", "-0.09 W"},
		// EU Code of Conduct tier 2: above 89 % at 60 W (R28b); level VI, 300 W: 87.5 % and 0.5 W, from memory
		{"efficiency-floor", "power=60W; law=coc", "floor", "89 %"},
		{"efficiency-floor", "power=60W; law=coc; kind=low", "floor", "88 %"},
		{"efficiency-floor", "power=60W; law=coc", "no_load_most", "0.15 W"},
		{"efficiency-floor", "power=300W; law=doe", "floor", "87.5 %"},
		{"efficiency-floor", "power=20W; law=doe", "floor", "85.4697 %"},
		// discharge of RC: 0.47 µF and 1 MΩ from 325 V (230 V × √2) to 60 V take RC × ln 5.421 = 0.7944 s
		{"x-discharge", "capacitance=0.47uF; mains=230V; resistance=1MOhm", "time", "0.794445 s"},
		{"x-discharge", "capacitance=0.47uF; mains=230V", "resistance_most", "2517.48 kOhm"},
		{"x-discharge", "capacitance=1uF; mains=40V", "time", "none: the peak of the mains is no higher"},
		// 2πfCV: 2.2 nF at 230 V, 50 Hz give 0.159 mA; 4.7 nF, the ceiling of an application note (R25b), give 0.468
		// mA at 264 V, 60 Hz, and keep the 0.5 mA
		{"y-leakage", "capacitance=2.2nF; mains=230V; frequency=50Hz", "current", "0.158965 mA"},
		{"y-leakage", "capacitance=4.7nF", "current", "0.467771 mA"},
		{"apparent-power", "voltage=230V; current=0.5A; power=69W", "factor", "0.6 1"},
		{"apparent-power", "voltage=230V; current=0.5A", "apparent", "115 V.A"},
		// (1/2)C(V1² − V2²): 100 µF from 325 V to 90 V hold 4.876 J, 65 W for 67.5 ms at 90 %
		{"hold-up", "capacitance=100uF; power=65W", "time", "67.5173 ms"},
		{"hold-up", "capacitance=82uF; power=41W", "each_watt", "2 uF/W"},
		// the design note of a flyback of 20 V and 0.2 A (R27, W71): 2 µF a watt, 8 µF
		{"hold-up", "capacitance=8uF; power=4W", "each_watt", "2 uF/W"},
		// Thomson: 24 µH and 100 nF, the coil of a baseline transmitter (Qi), 102.7 kHz
		{"resonance", "inductance=24uH; capacitance=100nF", "frequency", "102.734 kHz"},
		// handbook 8.1 I22: 65 W from one string of four cells of 5 Ah at 3.6 V
		{"c-rate", "power=65W; capacity=5000mAh; series=4", "current", "5.01543 A"},
		{"c-rate", "power=65W; capacity=5000mAh; series=4", "rate", "1.00309 1"},
		{"refills", "capacity=10000mAh; voltage=3.7V; device=18.5Wh; efficiency=75%", "refills", "1.5 1"},
		// W47: 10000 mAh at 3.7 V give 5920 mAh at 5 V with 80 %, 29.6 Wh (R33)
		{"refills", "capacity=10000mAh; voltage=3.7V; device=29.6Wh; efficiency=80%", "refills", "1 1"},
		{"runtime", "capacity=10000mAh; voltage=3.7V; load=29.6W; efficiency=80%", "time", "1 h"},
		{"energy-price", "price=37; energy=74Wh", "each_watt_hour", "0.5 1"},
		// handbook 11.4, W76 and W77
		{"component-code", "code=104; part=capacitor", "value", "100000 pF"},
		{"component-code", "code=474K; part=capacitor", "value", "470000 pF"},
		{"component-code", "code=474K; part=capacitor", "tolerance", "10 %"},
		{"component-code", "code=471; part=capacitor", "value", "470 pF"},
		{"component-code", "code=4R7", "value", "4.7 Ohm"},
		{"component-code", "code=R47", "value", "0.47 Ohm"},
		{"component-code", "code=4K7", "value", "4.7 kOhm"},
		{"component-code", "code=47k3", "value", "47.3 kOhm"},
		{"component-code", "code=R005", "value", "0.005 Ohm"},
		{"component-code", "code=470R", "value", "470 Ohm"},
		{"component-code", "code=1002", "value", "10000 Ohm"},
		{"component-code", "code=4R7; part=inductor", "value", "4.7 uH"},
		{"component-code", "code=2n2; part=capacitor", "value", "2.2 nF"},
		// IEC 60062: yellow violet red gold is 4.7 kΩ, 5 %; brown black black red brown 10 kΩ, 1 %
		{"component-code", "code=yellow violet red gold", "value", "4700 Ohm"},
		{"component-code", "code=yellow violet red gold", "tolerance", "5 %"},
		{"component-code", "code=brown-black-black-red-brown", "value", "10000 Ohm"},
		// IEC 60063: W78 and W79
		{"nearest-value", "value=4700", "nearest", "4700 1"},
		{"nearest-value", "value=1900", "nearest", "2000 1"},
		{"nearest-value", "value=0.96", "nearest", "1 1"},
		{"nearest-value", "value=5; series=E12", "below", "4.7 1"},
		{"nearest-value", "value=5; series=E12", "above", "5.6 1"},
		{"nearest-value", "value=325; series=R10", "nearest", "315 1"},
		// wire table: W65
		{"wire-gauge", "gauge=20", "resistance", "33.3 Ohm/km"},
		{"wire-gauge", "area=0.5mm2", "gauge", "AWG 20"},
		// manual of GNU units 2.22: wiregauge(11) is 0.090742002 inches, 2.30485 mm
		{"wire-gauge", "gauge=11", "diameter", "2.305 mm"},
		// handbook 11.1, W19 and W34
		{"pdo-decode", "word=0x00064145", "current", "3.25 A"},
		{"pdo-decode", "word=45 41 06 00", "voltage", "20 V"},
		{"pdo-decode", "word=0xD230968C", "power", "140 W"},
		{"pdo-decode", "word=0xE004B0E1", "voltage", "9–20 V"},
		{"pdo-decode", "word=0xC0DC213C", "power_max", "33 W"}, // 27 W rating, 33 W at the top (R49)
		{"pdo-decode", "word=0xC8DC213C", "power_max", "not given: the source limits its power to its rating, which is not in the word"},
		{"pdo-decode", "word=0x00064145", "verdict", "within what a USB source may offer"},
		{"pdo-decode", "word=0xC0DC213C", "verdict", "within what a USB source may offer"},
		// the fields could say more than 48 V and 5 A (handbook 2.2, R7): all ones but the kind
		{"pdo-decode", "word=0x000FFFFF", "verdict", "no USB source may offer it: voltage 51.15 V is above 48 V; current 10.23 A is above 5 A"},
		{"pdo-encode", "kind=fixed; voltage=20V; current=3.25A", "word", "0x00064145"},
		{"pdo-encode", "kind=pps; voltage_min=3.3V; voltage_max=11V; current=3A", "bytes", "3C 21 DC C0"}, // R49
		{"pdo-encode", "kind=spr-avs; current_15v=3A; current_20v=2250mA", "word", "0xE004B0E1"},
		{"pdo-encode", "kind=battery; voltage_min=5V; voltage_max=20V; power=30W", "word", "0x59019078"},
		// what no object can say, and what can be said and not offered (steps and widths: handbook 2.7, R7)
		{"pdo-encode", "kind=fixed; voltage=12V; current=3.333A", "verdict", "no object can say it: current 3.333 A in " +
			"steps of 0.01 A: is not a whole number of steps"},
		{"pdo-encode", "kind=fixed; voltage=9.02V; current=3A", "verdict", "no object can say it: voltage 9.02 V in " +
			"steps of 0.05 V: is not a whole number of steps"},
		{"pdo-encode", "kind=fixed; voltage=20V; current=12A", "verdict", "no object can say it: current 12 A, at most " +
			"10.23 A: does not fit its field"},
		{"pdo-encode", "kind=fixed; voltage=60V; current=3A", "verdict", "no object can say it: voltage 60 V, at most " +
			"51.15 V: does not fit its field"},
		{"pdo-encode", "kind=pps; voltage_min=11V; voltage_max=3.3V; current=3A", "verdict", "no object can say it: " +
			"0xC0426E3C (pps): lowest voltage is above the highest"},
		{"pdo-encode", "kind=fixed; voltage=20V; current=6A", "verdict", "no USB source may offer it: current 6 A is " +
			"above 5 A"},
		{"pdo-encode", "kind=fixed; voltage=20V; current=5A", "verdict", "within what a USB source may offer"},
		// lists: handbook 11.4 W84, W85 and W86, with the words of 11.1 (R4, R11, R12d)
		{"pdo-list", "words=0x0801912C 0x0002D12C 0x0004B12C 0x000640FA; power=50W", "verdict", "keeps the power rules"},
		{"pdo-list", "words=0x2C01912C, 0x0002D12C, 0x0004B12C, 0x00064145, 0xC1A4213C", "verdict", "keeps the power rules"},
		{"pdo-list", "words=0x2C01912C, 0x0002D12C, 0x0004B12C, 0x00064145", "power", "65 W"},
		{"pdo-list", "words=0x2C01912C, 0x0002D12C, 0x0004B12C, 0x00064145", "object_4", "fixed 20 V 3.25 A"},
		{"pdo-list", "words=0x0801912C 0x0002D12C 0x0003C0E1 0x0804B0B4 0x08064087; power=27W", "verdict", "keeps the " +
			"power rules"},
		// T2: 20 V 2.25 A is optional for 45 W, 15 V 3 A is not; T5: W37 circulates as 9 V 3 A and is 1.88 A
		{"pdo-list", "words=0x0801912C 0x0002D12C 0x000640E1; power=45W", "verdict", "15 V is missing: a source of 45 W " +
			"offers 3 A there"},
		{"pdo-list", "words=0x0801912C 0x0002D0BC 0x0004B12C; power=45W", "verdict", "9 V has 1.88 A: a source of 45 W " +
			"offers 3 A there"},
		{"pdo-list", "words=0x0002D12C 0x0801912C; power=27W", "verdict", "object 1, fixed 9 V 3 A: the first must be " +
			"fixed at 5 V; object 2, fixed 5 V 3 A: fixed voltages rise"},
		{"pdo-list", "words=0x0801912C 0x0002D12C 0x0004B12C 0x000641F4; power=65W", "verdict", "object 4, fixed 20 V 5 " +
			"A: 100 W are more than the 65 W of the source"},
		{"pdo-list", "words=0x0801912C 0xC1A4213C 0x0002D12C; power=27W", "verdict", "object 3, fixed 9 V 3 A: stands " +
			"behind one of kind pps"},
		// 140 W of the extended range behind seven places, EPR AVS W34
		{"pdo-list", "words=0x0881912C 0x0002D12C 0x0004B12C 0x000641F4 0 0 0 0x0008C1F4 0xD230968C; power=140W",
			"verdict", "keeps the power rules"},
		// requests: positions, steps and fields of handbook 2.7 (R7, R8c)
		{"request-decode", "word=0x1304B12C", "position", "1"},
		{"request-decode", "word=0x1304B12C", "current_max", "3 A"},
		{"request-decode", "word=0x1304B12C", "no_usb_suspend", "1"},
		{"request-decode", "word=0x40038428; kind=pps", "voltage", "9 V"},
		{"request-decode", "word=0x40038428; kind=pps", "current", "2 A"},
		{"request-decode", "word=0x80000000", "reserved", "0x80000000"},
		// e-marker: fields of handbook 2.9 (R13); W90, a deprecated code is read as 20 V
		{"marker-decode", "word=0x110A2644", "voltage", "50 V"},
		{"marker-decode", "word=0x110A2644", "current", "5 A"},
		{"marker-decode", "word=0x110A2644", "latency", "less than 10 ns, about 1 m"},
		{"marker-decode", "word=0x110A2644", "power", "240 W"},
		{"marker-decode", "word=0x110A2644", "verdict", "the codes go together"},
		{"marker-decode", "word=0x11082220", "voltage", "20 V: the code for 30 V is deprecated"},
		{"marker-decode", "word=0x11082220", "power", "60 W"},
		{"marker-decode", "word=0x11082640", "verdict", "50 V without the mark for the extended power range: a source " +
			"stays at 20 V"},
		{"marker-decode", "word=0x11082620", "verdict", "50 V belongs to 5 A cables alone"},
		{"marker-decode", "word=0x110A2040", "verdict", "marked for the extended power range, but made for 20 V"},
		{"marker-decode", "word=0x11082060", "current", "code 3, which is reserved"},
		{"marker-decode", "word=0x11082060", "power", "none: a code is reserved"},
		// handbook 11.2
		{"pack-energy", "capacity=1.3Ah; voltage=20V", "energy", "26 W.h"}, // W38
		{"pack-energy", "capacity=6Ah; voltage=20V", "energy", "120 W.h"},  // W39
		{"pack-energy", "capacity=6Ah; voltage=20V", "air_travel", "over 100 Wh to 160 Wh"},
		{"pack-energy", "capacity=20000mAh; voltage=4V", "energy", "80 W.h"},                                  // W40
		{"pack-energy", "capacity=10000mAh; voltage=3.7V", "energy", "37 W.h"},                                // W43
		{"pack-energy", "capacity=20000mAh; voltage=3.7V", "energy", "74 W.h"},                                // W44
		{"pack-energy", "capacity=27000mAh; voltage=3.7V", "energy", "99.9 W.h"},                              // W45
		{"pack-energy", "capacity=27000mAh; voltage=3.7V", "air_travel", "up to 100 Wh"},                      // W45
		{"pack-energy", "capacity=1650mAh; voltage=3.8V", "energy", "6.27 W.h"},                               // W48, not 6.7
		{"pack-energy", "capacity=2500mAh; voltage=3.7V; cells=4", "pack_capacity", "10000 mA.h"},             // W49
		{"pack-energy", "capacity=2Ah; voltage=3.65V; cells=3; series=3", "energy", "21.9 W.h"},               // W51
		{"pack-energy", "capacity=5000mAh; voltage=3.6V; cells=4; series=4", "pack_voltage", "14.4 V"},        // 5.5 E3
		{"pack-energy", "capacity=5000mAh; voltage=3.6V; cells=4; series=4", "label_capacity", "20000 mA.h"},  // 5.5 E3
		{"usable-energy", "capacity=10000mAh; voltage=3.7V; efficiency=100%", "usable_capacity", "7400 mA.h"}, // W46
		{"usable-energy", "capacity=10000mAh; voltage=3.7V; efficiency=80%", "usable_capacity", "5920 mA.h"},  // W47
		{"usable-energy", "capacity=10000mAh; voltage=3.85V; efficiency=93%", "share", "71.61 %"},             // 5.6 table, 0.716
		{"usable-energy", "capacity=10000mAh; voltage=3.7V; rated=6290mAh", "rated_efficiency", "85 %"},       // 5.6 table, 0.629
		{"usable-energy", "capacity=10000mAh; voltage=3.7V; rated=6290mAh", "verdict", "6290 mAh at 5 V is possible: the cells hold enough for it"},
		{"usable-energy", "capacity=10000mAh; voltage=3.7V; rated=9000mAh", "verdict", "9000 mAh at 5 V is impossible: the cells hold 37 Wh, which is at most 7400 mAh at 5 V"},
		{"usable-energy", "capacity=10000mAh; voltage=3.7V; rated=9000mAh", "rated_efficiency", "121.622 %"},
		// 37 Wh at 88 % and 20 W; ratio 0.8 + 0.2 ln 10 / 0.9 = 1.311686
		{"recharge-time", "energy=37Wh; power=20W", "least_time", "2.10227 h"},
		{"recharge-time", "energy=37Wh; power=20W", "ratio", "1.31169 1"},
		{"recharge-time", "energy=37Wh; input_voltage=9V; input_current=2A; taper_end=100%", "time", "2.33586 h"},
		{"runtime", "energy=74Wh; load=10W", "time", "6.29 h"},
		{"runtime", "energy=100Wh; load=9W; efficiency=90%; own_use=1W; reserve=1%", "time", "9 h"}, // 99×0.9/9.9
		{"air-travel", "capacity=28000mAh; voltage=3.6V", "energy", "100.8 W.h"},                    // W99
		{"air-travel", "energy=100.8Wh", "cabin", "only with the approval of the airline, at most two"},
		{"air-travel", "energy=100Wh", "class", "up to 100 Wh"},
		// the number per person: ICAO Doc 9284 2025-2026, addendum 1 (handbook 5.7, R34b)
		{"air-travel", "energy=100Wh", "verdict", "one bank of 100 Wh: yes, in the cabin"},
		{"air-travel", "energy=100Wh; banks=2", "verdict", "2 banks of 100 Wh each: yes, in the cabin"},
		{"air-travel", "energy=100Wh; banks=3", "verdict", "3 banks of 100 Wh each: no, at most 2 per person"},
		{"air-travel", "energy=120Wh; banks=2", "verdict", "2 banks of 120 Wh each: only with the approval of the airline"},
		{"air-travel", "energy=120Wh; banks=3", "verdict", "3 banks of 120 Wh each: no, at most 2 per person"},
		{"air-travel", "energy=230.4Wh", "verdict", "one bank of 230.4 Wh: no, not for passengers"},
		{"air-travel", "energy=160Wh", "class", "over 100 Wh to 160 Wh"},
		{"air-travel", "energy=160.1Wh", "class", "over 160 Wh"},
		// handbook 8.2: 1 m of AWG 22 out and back, 0.32 V at 3 A, 0.53 V at 5 A
		{"cable-drop", "awg=22; length=1m; current=3A; contacts=0 mΩ", "drop", "0.318 V"},
		{"cable-drop", "awg=22 AWG; length=1m; current=5A; contacts=0mohm; voltage=20V", "drop", "0.53 V"},
		{"cable-drop", "awg=22; length=1m; current=5A; contacts=0mOhm; voltage=20V", "loss_share", "2.65 %"},
		{"cable-drop", "awg=24; length=2m; current=3A", "loop_resistance", "376.8 mOhm"},
		{"cable-drop", "awg=20; length=1m; current=1A; contacts=0mΩ; temperature=70°C", "loop_resistance", "79.6869 mOhm"},
		{"conduction-loss", "current=5A; on_resistance=10mΩ", "loss", "0.375 W"},
		{"conduction-loss", "current=5A; on_resistance=10mΩ; duty=40%; parallel=2; hot_factor=1", "loss_each", "0.025 W"},
		// handbook 8.5: 20 W 0.38 A, 65 W 1.23 A, both at power factor 0.6; 100 W with PFC 1.20 A, 140 W 1.67 A
		{"fuse", "power=20W", "input_current", "0.378788 A"},
		{"fuse", "power=65W", "input_current", "1.23106 A"},
		{"fuse", "power=65W", "fuse_next", "1.6 A"},
		{"fuse", "power=5000W", "fuse_next", "none: the IEC 60127 list (unverified) ends at 20 A; a fuse for that much is of another kind"},
		{"fuse", "power=100W; power_factor=0.95", "input_current", "1.19617 A"},
		{"fuse", "power=140W; power_factor=0.95", "input_current", "1.67464 A"},
		{"fuse", "power=65W; fuse=3.15A", "fuse_listed", "3.15 A is a rated current of IEC 60127 (unverified list)"},     // W80
		{"fuse", "power=65W; fuse=3.25A", "fuse_listed", "3.25 A is not a rated current of IEC 60127 (unverified list)"}, // W80
		// W41 and W42
		{"energy-density", "capacity=3.5Ah; voltage=3.6V; mass=48g; diameter=18.5mm; length=65.2mm", "specific_energy", "262.5 W.h/kg"},
		{"energy-density", "capacity=3.5Ah; voltage=3.6V; mass=48g; diameter=18.5mm; length=65.2mm", "energy_density", "718.935 W.h/L"},
		{"energy-density", "capacity=3.5Ah; voltage=3.6V; mass=48g; diameter=18.5mm; length=65.2mm", "density", "2.7388 g/cm3"},
		{"energy-density", "capacity=5Ah; voltage=3.6V; mass=69g; diameter=21.1mm; length=70.2mm", "specific_energy", "260.87 W.h/kg"},
		{"energy-density", "capacity=5Ah; voltage=3.6V; mass=69g; diameter=21.1mm; length=70.2mm", "energy_density", "733.298 W.h/L"},
		{"energy-density", "capacity=5Ah; voltage=3.6V; mass=69g; diameter=21.1mm; length=70.2mm", "density", "2.81098 g/cm3"},
		{"power-density", "power=65W; length=50mm; width=40mm; height=30mm", "power_density", "1.08333 W/cm3"},
		{"power-density", "power=1W; volume=1cm3", "power_density_inch", "16.3871 W/[cin_i]"}, // UCUM 2.2, R2
		{"power-density", "power=65W; mass=4.409245 oz", "specific_power", "0.52 W/g"},        // 125 g
	}
	worked := map[string]bool{}
	for _, tt := range tests {
		a, err := run(t, tt.calculator, tt.inputs)
		if err != nil {
			t.Errorf("%s %s: %v", tt.calculator, tt.inputs, err)
			continue
		}
		if got := result(a, tt.result); got != tt.want {
			t.Errorf("%s %s: %s = %q, want %q", tt.calculator, tt.inputs, tt.result, got, tt.want)
		}
		worked[tt.calculator] = true
	}
	for _, c := range All() {
		if !worked[c.Name] {
			t.Errorf("calculator %s: no worked example in this test", c.Name)
		}
	}
}

// ExampleCalculator_Do: a power bank of 10000 mAh at 3.7 V, drawn at 5 V with
// 80 % efficiency, gives 5920 mAh (handbook W47, R33).
func ExampleCalculator_Do() {
	c, _ := Named("usable-energy")
	a, err := c.Do([]Given{
		{Input: "capacity", Quantity: schema.MustQuantity("10000 mA.h")},
		{Input: "voltage", Quantity: schema.MustQuantity("3.7 V")},
		{Input: "efficiency", Quantity: schema.MustQuantity("80 %")},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range a.Results[:3] {
		fmt.Println(r.Name, r.Quantity)
	}
	a, _ = c.Do([]Given{{Input: "energy", Quantity: schema.MustQuantity("37 W.h")},
		{Input: "rated", Quantity: schema.MustQuantity("8000 mA.h")}})
	fmt.Println(a.Results[len(a.Results)-1].Text)
	// Output:
	// usable_energy 29.6 Wh
	// usable_capacity 5920 mAh
	// lossless_capacity 7400 mAh
	// 8000 mAh at 5 V is impossible: the cells hold 37 Wh, which is at most 7400 mAh at 5 V
}

// calcRecord has something for every calculator but pdo-decode.
const calcRecord = `
product.name = Jetty Duo
claim power, 65 W
body.dimensions = [98 mm, 64 mm, 31.5 mm]
body.mass = 306 g
battery.cell.count = 2
battery.cell.capacity = 5000 mA.h
battery.cell.voltage = 3.6 V
level mains/input, , AC, 100..240 V, 1.5 A
level battery/input, USB-C, PD, 9 V, 2 A, 18 W
level output, USB-C, PD 3.0, 20 V, 3.25 A, 65 W
level output, USB-C, PPS, 3.3..21 V, 3 A
level output, USB-C, PD, 12 V, 3.333 A
cable.length = 1 m
cable.current = 5 A
cable.gauge = [28, 22]
component fuse, current 3.15 A
component port switch MOSFET, on_resistance 5 mOhm
`

// TestDoRecord takes inputs from a record: first result of each set, and the
// refusals.
func TestDoRecord(t *testing.T) {
	r := notation.Parse(t, calcRecord)
	tests := []struct {
		calculator, result string
		want               []string
		refused            string
	}{
		{"level-power", "power", []string{"18 W", "65 W", "9.9–63 W", "39.996 W"}, ""},
		{"pdo-encode", "word", []string{"0x00064145", "0xC1A4213C", "none"}, ""}, // no object can say 3.333 A
		{"pack-energy", "energy", []string{"36 W.h"}, ""},
		{"usable-energy", "usable_capacity", []string{"1530 mA.h", "2550 mA.h"}, ""}, // 36 Wh × 85 % at 20 V and 12 V
		{"recharge-time", "least_time", []string{"2.27273 h"}, ""},
		{"runtime", "time", []string{"0.470769 h", "0.765077 h"}, ""}, // 30.6 Wh at 65 W and at 12 V × 3.333 A
		{"air-travel", "class", []string{"up to 100 Wh"}, ""},
		{"cable-drop", "drop", []string{"0.73 V"}, ""},
		{"conduction-loss", "loss", []string{"0.0833167 W"}, ""}, // 3.333² × 5 mΩ × 1.5
		{"fuse", "fuse_ratio", []string{"2.55877 1"}, ""},
		{"energy-density", "energy_density", []string{"182.216 W.h/L"}, ""},
		{"power-density", "power_density", []string{"0.329001 W/cm3"}, ""},
	}
	for _, tt := range tests {
		c, _ := Named(tt.calculator)
		answers, err := c.DoRecord(r, nil)
		var got []string
		for _, a := range answers {
			got = append(got, result(a, tt.result))
		}
		if fmt.Sprint(got) != fmt.Sprint(tt.want) {
			t.Errorf("%s: %s %q, want %q", tt.calculator, tt.result, got, tt.want)
		}
		if fmt.Sprint(err) != cmp.Or(tt.refused, "<nil>") {
			t.Errorf("%s: %v, want %q", tt.calculator, err, tt.refused)
		}
	}
	for _, c := range All() {
		_, err := c.DoRecord(&schema.Record{}, nil)
		var re *RecordError
		if !errors.As(err, &re) || re.Calculator != c.Name {
			t.Errorf("%s: empty record: %v, want a RecordError", c.Name, err)
		}
	}
	answers, err := runtimeAtLoad.DoRecord(r, []Given{{Input: "load", Quantity: schema.MustQuantity("10 W")}})
	if err != nil || result(answers[0], "time") != "3.06 h" {
		t.Errorf("runtime with a load given: %v, %v", answers, err)
	}
	usable, _ := Named("usable-energy")
	_, err = usable.DoRecord(r, []Given{{Input: "efficiency", Quantity: schema.MustQuantity("120 %")}})
	var refused Refused
	if !errors.As(err, &refused) || len(refused) != 2 || !errors.Is(refused[1], ErrInputImpossible) {
		t.Errorf("usable-energy with an efficiency of 120 %%: %v, want two refusals", err)
	}
}

// TestDoRecordChoices: which of several values a calculator takes, what it
// marks as open, and what it leaves out with a reason.
func TestDoRecordChoices(t *testing.T) {
	r := notation.Parse(t, `
claim power, 65 W
claim power, 63 W (open), port=USB-C+USB-A, mode=output-shared
claim power, 99 W (open)
body.volume = 197.6 cm3
battery.pack.energy = 37 W.h
level mains/output, USB-C, PD, 20 V, 3.25 A, 65 W
level mains/output, USB-C, , 9 V, 3 A
level mains/output, USB-C, PPS, 3.3..21 V, 3 A (open)
level mains/output, USB-C, , 4.5..21 V, 3 A
level mains/output, USB-A, QC, 9 V, 2 A
level mains/output, USB-C, PD, 5 V
level battery/output, USB-C, PD, 20 V, 1.5 A, 30 W
level battery/output, USB-C, PD, 15 V (open), 2 A
component fuse, current 3.15 A
`)
	for _, tt := range []struct{ calculator, want string }{
		{"runtime", `
battery/output USB-C PD 20 V: energy 37 Wh, load 30 W; time 1.04833 h
battery/output USB-C PD 15 V: energy 37 Wh, load 30 W open; time 1.04833 h`},
		{"power-density", `
whole product: power 65 W, volume 197.6 cm³; volume 197.6 cm3`},
		{"fuse", `
fuse: power 65 W, fuse 3.15 A; input_current 1.23106 A`},
		{"pdo-encode", `
mains/output USB-C PD 20 V: kind fixed, voltage 20 V, current 3.25 A; word 0x00064145
mains/output USB-C 9 V: kind fixed, voltage 9 V, current 3 A; word 0x0002D12C
mains/output USB-C PPS 3.3–21 V: kind pps, voltage_min 3.3 V, voltage_max 21 V, current 3 A open; word 0xC1A4213C
battery/output USB-C PD 20 V: kind fixed, voltage 20 V, current 1.5 A; word 0x00064096
battery/output USB-C PD 15 V: kind fixed, voltage 15 V open, current 2 A; word 0x0004B0C8
mains/output USB-C 4.5–21 V: ; skipped a range without a protocol given: PPS and AVS have different objects
mains/output USB-A QC 9 V: ; skipped QC is not offered by USB PD objects
mains/output USB-C PD 5 V: ; skipped no current was said`},
	} {
		c, _ := Named(tt.calculator)
		answers, err := c.DoRecord(r, nil)
		if err != nil {
			t.Errorf("%s: %v", tt.calculator, err)
		}
		got := ""
		for _, a := range answers {
			var given []string
			for _, g := range a.Given {
				if g.From == FromDefault {
					continue
				}
				s := g.Input + " " + g.Text
				if g.Text == "" {
					s = g.Input + " " + g.Quantity.String()
				}
				if g.Open {
					s += " open"
				}
				given = append(given, s)
			}
			first := a.Results[0]
			got += "\n" + a.Label + ": " + strings.Join(given, ", ") + "; " + first.Name + " " + result(a, first.Name)
		}
		if diff := gocmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s (-want +got)\n%s", tt.calculator, diff)
		}
	}
	// Where nothing is sure, the open claim is better than none, and marked.
	answers, err := powerDensity.DoRecord(notation.Parse(t, "claim power, 99 W (open)\nbody.volume = 100 cm3"), nil)
	if err != nil || len(answers) != 1 || !answers[0].Given[0].Open {
		t.Errorf("%v, %v: want one answer with an open power", answers, err)
	}
}

// Exact means exact: 0.1 V × 0.1 A is 0.01 W to the last digit.
func TestExact(t *testing.T) {
	a, err := run(t, "level-power", "voltage=0.1V; current=0.1A")
	if err != nil || a.Results[0].Quantity.String() != "0.01 W" {
		t.Errorf("0.1 V × 0.1 A = %v, %v", a.Results[0].Quantity, err)
	}
}

func TestCalculatorRefuses(t *testing.T) {
	tests := []struct {
		calculator, inputs string
		cause              error
		want               string
	}{
		{"level-power", "voltage=20V", ErrInputMissing, "level-power: current is missing: current of the level"},
		{"level-power", "voltage=0V; current=1A", ErrInputImpossible, "level-power: voltage 0 V is impossible: must be above 0 V"},
		{"level-power", "voltage=3A; current=1A", ErrInputKind, "level-power: voltage 3 A is of the wrong kind: give a voltage such as 1 V"},
		{"level-power", "voltage=21-3.3V; current=1A", ErrInputImpossible, "level-power: voltage 21–3.3 V is impossible: the low end is above the high end"},
		{"level-power", "volts=3V", ErrInputUnknown, "level-power: volts no such input: has voltage, current, power"},
		{"pdo-decode", "word=12", ErrInputImpossible, "pdo-decode: word 12 is impossible: 0x00000012 (fixed): voltage is 0: offers nothing"},
		{"pdo-decode", "word=zz", ErrInputImpossible, `pdo-decode: word zz is impossible: "zz": not a 32-bit word: eight hex digits, or four bytes least first`},
		{"pack-energy", "capacity=5Ah; voltage=3.6V; cells=4; series=3", ErrInputConflict, "pack-energy: series 3 does not go with another input: it must divide the 4 cells"},
		{"pack-energy", "capacity=5Ah; voltage=3.6V; cells=1.5", ErrInputImpossible, "pack-energy: cells 1.5 is impossible: must be a whole number and at least 1"},
		{"usable-energy", "output_voltage=5V", ErrInputMissing, "usable-energy: energy is missing: give it, or capacity and voltage"},
		{"usable-energy", "energy=37Wh; efficiency=120%", ErrInputImpossible, "usable-energy: efficiency 120 % is impossible: must be above 0 % and at most 100 %"},
		{"level-power", "voltage=20; current=1A", ErrInputUnit, "level-power: voltage 20 has no unit: write it with one, such as 20V"},
		{"pack-energy", "capacity=5000; voltage=3.6V", ErrInputUnit, "pack-energy: capacity 5000 has no unit: write it with one, such as 5000mAh"},
		{"recharge-time", "energy=37Wh", ErrInputMissing, "recharge-time: power is missing: give it, or input-voltage and input-current"},
		{"cable-drop", "awg=8; length=1m; current=1A", ErrInputImpossible, "cable-drop: awg 8 is impossible: must be a whole number, at least 10 AWG and at most 40 AWG"},
		{"cable-drop", "awg=30; length=1m; current=10A; voltage=5V", ErrInputImpossible, "cable-drop: current 10 A is impossible: the cable alone would drop 7.18 V of the 5 V"},
		{"conduction-loss", "current=1-2A; on_resistance=5mΩ", ErrInputRange, "conduction-loss: current 1–2 A takes a single value"},
		{"energy-density", "energy=37Wh", ErrInputMissing, "energy-density: mass is missing: give it, or a volume, or sizes"},
		{"energy-density", "energy=37Wh; length=60mm; width=30mm", ErrInputMissing, "energy-density: height is missing: a box needs length, width and height"},
		{"energy-density", "energy=37Wh; diameter=60mm; width=30mm", ErrInputConflict, "energy-density: diameter 60 mm does not go with another input: a cylinder has no width or height"},
		{"fuse", "power=65W; power_factor=1.2", ErrInputImpossible, "fuse: power-factor 1.2 is impossible: must be above 0 and at most 1"},
	}
	for _, tt := range tests {
		_, err := run(t, tt.calculator, tt.inputs)
		var ie *InputError
		if !errors.As(err, &ie) || !errors.Is(err, tt.cause) {
			t.Errorf("%s %s: %v, want an InputError by %v", tt.calculator, tt.inputs, err, tt.cause)
			continue
		}
		if err.Error() != tt.want {
			t.Errorf("%s %s:\n got %s\nwant %s", tt.calculator, tt.inputs, err, tt.want)
		}
	}
}

// TestCalculatorSuite refuses a calculator that does not explain itself, and
// table rows that nobody reads.
func TestCalculatorSuite(t *testing.T) {
	names := map[string]bool{}
	for _, c := range All() {
		names[c.Name] = true
		if c.Doc == "" || c.Formula == "" || c.Source == "" || c.Standing == standard.Unknown ||
			len(c.Assumptions) == 0 || c.Run == nil || c.Take == nil {
			t.Errorf("%s: undocumented, unsourced or incomplete", c.Name)
		}
		if len(c.Inputs()) == 0 {
			t.Errorf("%s: no inputs", c.Name)
		}
		for _, id := range c.Cautions {
			if Caution(id) == "" {
				t.Errorf("%s: cautions.tsv has no caution %s for what is reckoned", c.Name, id)
			}
		}
		if got, want := len(c.CautionTexts()), len(c.Cautions)+1; got != want {
			t.Errorf("%s: %d cautions found, want %d: is one named twice, or %s?", c.Name, got, want, cautionRecord)
		}
		for _, in := range c.Inputs() {
			if in.Doc == "" || in.Source == "" || standard.ParseStanding(in.Standing) == standard.Unknown {
				t.Errorf("%s %s: undocumented or unsourced", c.Name, in.Name)
			}
			if !in.Text {
				if _, err := schema.ParseUnit(string(in.Unit)); err != nil {
					t.Errorf("%s %s: %v", c.Name, in.Name, err)
				}
			}
			if !in.Default.IsZero() && !in.Bounds.contains(in.Default.Low) {
				t.Errorf("%s %s: default %s is outside its bounds", c.Name, in.Name, in.Default)
			}
		}
	}
	for name := range deskKnowledge().inputs {
		if !names[name] {
			t.Errorf("inputs.tsv: no calculator %s", name)
		}
	}
}

// ln 2, ln 10 to 25 digits: OEIS A002162 and A002392, which the source of Go's
// package math quotes; others against the float logarithm.
func TestLnDecimal(t *testing.T) {
	for x, want := range map[string]string{"1": "0", "2": "0.6931471805599453094172321",
		"10": "2.3025850929940456840179915"} {
		got := lnDecimal(schema.MustDecimal(x)).Round(25)
		if !got.Equal(schema.MustDecimal(want)) {
			t.Errorf("ln %s = %s, want %s", x, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1000, 1_000_000_000).Draw(t, "thousandths")
		got := lnDecimal(schema.NewDecimal(n, -3)).Float64()
		if want := math.Log(float64(n) / 1000); math.Abs(got-want) > 1e-12*(1+want) {
			t.Fatalf("ln %d/1000 = %g, want %g", n, got, want)
		}
	})
}

// TestTaper checks the closed form against adding up the charge in small
// steps.
func TestTaper(t *testing.T) {
	for _, c := range []struct{ s, e float64 }{{0.8, 0.1}, {0.5, 0.05}, {0.95, 0.2}, {0, 0.1}} {
		tau := (1 - c.s) / (1 - c.e)
		charge, time := c.s, c.s
		for dt := 1e-5; charge < 1-1e-6; time += dt {
			charge += dt * math.Exp(-(time-c.s+dt/2)/tau)
		}
		d := func(x float64) schema.Decimal { return schema.NewDecimal(int64(math.Round(x*1000)), -3) }
		if got := taper(d(c.s), d(c.e)).Float64(); math.Abs(got-time) > 1e-3 {
			t.Errorf("taper(%g, %g) = %g, by steps %g", c.s, c.e, got, time)
		}
	}
}

// Energy is conserved: what comes out is never more than what is in the cells,
// and a longer charge never takes less than the least time.
func TestCalculatorProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mAh := rapid.Int64Range(100, 60000).Draw(t, "mAh")
		mV := rapid.Int64Range(1200, 4000).Draw(t, "mV")
		percent := rapid.Int64Range(1, 100).Draw(t, "percent")
		end := rapid.Int64Range(1, 100).Draw(t, "taper end")
		one := func(n int64, exp int32, u schema.Unit) schema.Quantity {
			return schema.One(schema.NewDecimal(n, exp), u)
		}
		pack, err := packEnergy.Do([]Given{{Input: "capacity", Quantity: one(mAh, 0, "mA.h")},
			{Input: "voltage", Quantity: one(mV, -3, "V")}})
		if err != nil {
			t.Fatal(err)
		}
		e := pack.Results[0].Quantity
		usable, err := usableEnergy.Do([]Given{{Input: "energy", Quantity: e},
			{Input: "efficiency", Quantity: one(percent, 0, "%")}})
		if err != nil {
			t.Fatal(err)
		}
		if out := usable.Results[0].Quantity; out.Low.Cmp(e.Low) > 0 {
			t.Fatalf("%s out of %s", out, e)
		}
		charge, err := rechargeTime.Do([]Given{{Input: "energy", Quantity: e},
			{Input: "power", Quantity: one(18, 0, "W")}, {Input: "taper_end", Quantity: one(end, 0, "%")}})
		if err != nil {
			t.Fatal(err)
		}
		if least, time := charge.Results[1].Quantity,
			charge.Results[2].Quantity; time.Low.Cmp(least.Low.Round(timeDigits)) < 0 {
			t.Fatalf("%s, less than %s", time, least)
		}
	})
}

// TestConversionsAgainstUnits compares every unit of the table that the
// general-purpose program GNU units knows, by its conversion to SI.
func TestConversionsAgainstUnits(t *testing.T) {
	program, err := exec.LookPath("units")
	if err != nil {
		t.Skip("GNU units is not installed: conversions not compared")
	}
	names := map[schema.Unit]string{ // UCUM code to the program's spelling, and the SI unit
		"mA.h": "mA hour;C", "A.h": "A hour;C", "W.h": "W hour;J", "kW.h": "kW hour;J", "mOhm": "mohm;ohm", "kOhm": "kohm;ohm",
		"uF": "uF;F", "nF": "nF;F", "pF": "pF;F", "uH": "uH;H", "mH": "mH;H", "[in_i]": "in;m", "[ft_i]": "ft;m", "[mil_i]": "mil;m",
		"[oz_av]": "oz;kg", "[lb_av]": "lb;kg", "[cin_i]": "in^3;m^3", "[gal_us]": "gal;m^3", "W/[cin_i]": "W/in^3;W/m^3",
		"W/cm3": "W/cm^3;W/m^3", "W.h/kg": "W hour/kg;J/kg", "W.h/L": "W hour/L;J/m^3", "g/cm3": "g/cm^3;kg/m^3",
		"Ohm/km": "ohm/km;ohm/m", "min": "min;s", "d": "day;s", "km/h": "km/hour;m/s", "Mbit/s": "megabit/s;bit/s", "mW": "mW;W",
	}
	for _, u := range schema.Units() {
		spelling, ok := names[u.Unit]
		if !ok {
			continue
		}
		from, to, _ := strings.Cut(spelling, ";")
		out, err := exec.Command(program, "--terse", "--digits", "15", from, to).Output()
		if err != nil {
			t.Errorf("units %s %s: %v", from, to, err)
			continue
		}
		want, err := schema.ParseDecimal(string(bytes.TrimSpace(out)))
		if err != nil {
			t.Errorf("units %s %s: %s", from, to, out)
			continue
		}
		scale := u.Unit.Scale()
		if strings.Contains(to, "bit") {
			scale = u.Unit.Scale() / schema.Unit("bit/s").Scale()
		}
		if math.Abs(scale/want.Float64()-1) > 1e-12 {
			t.Errorf("%s: factor %g, GNU units %s", u.Unit, scale, want)
		}
		delete(names, u.Unit)
	}
	for u := range names {
		t.Errorf("%s is not in the units table", u)
	}
}

// TestOpenInputs: an open input is answered for in each of its readings.
func TestOpenInputs(t *testing.T) {
	r := notation.Parse(t, "battery.pack.energy = 99.9 W.h (open)")
	r.Quantities[0].Readings = []schema.Reading{{Quantity: schema.MustQuantity("99.9 W.h")},
		{Quantity: schema.MustQuantity("999 W.h")}, {Quantity: schema.MustQuantity("7 V")}}
	c, _ := Named("air-travel")
	answers, err := c.DoRecord(r, nil)
	if err != nil || len(answers) != 2 {
		t.Fatalf("%d answers, %v", len(answers), err)
	}
	for i, want := range []string{"one bank of 99.9 Wh: yes, in the cabin",
		"one bank of 999 Wh: no, not for passengers"} {
		if got := result(answers[i], "verdict"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if !strings.HasSuffix(answers[1].Label, "if energy is 999 Wh") {
		t.Errorf("label %q", answers[1].Label)
	}
}

// TestOpenProducts: what is reckoned from open values is answered for in each of
// their readings too: the load of a level, the charge of several cells.
func TestOpenProducts(t *testing.T) {
	r := notation.Parse(t, `
battery.pack.energy = 37 W.h
level battery/output, USB-C, PD, 15 V (open), 2 A`)
	r.Quantities[1].Readings = []schema.Reading{{Quantity: schema.MustQuantity("15 V")},
		{Quantity: schema.MustQuantity("5 V")}, {Quantity: schema.MustQuantity("7 A")}}
	cells := notation.Parse(t, `
battery.cell.count = 2
battery.cell.capacity = 50 mA.h (open)
battery.cell.voltage = 3.7 V`)
	cells.Quantities[0].Readings = []schema.Reading{{Quantity: schema.MustQuantity("50 mA.h")},
		{Quantity: schema.MustQuantity("5000 mA.h")}}
	for _, tt := range []struct {
		calculator, result string
		record             *schema.Record
		want               []string
	}{
		{"runtime", "time", r, []string{"battery/output USB-C PD 15 V 1.04833 h",
			"battery/output USB-C PD 15 V if load is 10 W 3.145 h"}},
		{"air-travel", "energy", cells, []string{"battery 0.37 W.h", "battery if capacity is 10000 mAh 37 W.h"}},
	} {
		c, _ := Named(tt.calculator)
		answers, err := c.DoRecord(tt.record, nil)
		if err != nil {
			t.Errorf("%s: %v", tt.calculator, err)
		}
		var got []string
		for _, a := range answers {
			got = append(got, a.Label+" "+result(a, tt.result))
		}
		if diff := gocmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s (-want +got)\n%s", tt.calculator, diff)
		}
	}
}

// The cells of a bank whose power nobody claimed give what its strongest level takes.
func TestCellRateOfLevels(t *testing.T) {
	r := notation.Parse(t, `
battery.cell.capacity = 5000 mA.h
battery.cell.voltage = 3.7 V
level input, USB-C, PD, 20 V, 3 A
level output, USB-C, PD, 5 V, 3 A
level output, USB-C, PD, 9 V, 2.22 A
level output, USB-C, PPS, 3.3..11 V, 3 A`)
	answers, err := cRate.DoRecord(r, nil)
	if err != nil || len(answers) != 1 || answers[0].Given[0].Quantity.String() != "19.98 W" {
		t.Errorf("%+v, %v: want one answer for 19.98 W", answers, err)
	}
}

// TestDeskTables walks every row of the calculators' tables.
func TestDeskTables(t *testing.T) {
	for _, name := range []string{"air_travel", "inputs", "pdo_fields", "colour_bands"} {
		table, err := schema.ReadTable(tables, "tables/"+name+".tsv")
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range table.Rows {
			if r.Get("source") == "" || standard.ParseStanding(r.Get("standing")) == standard.Unknown {
				t.Errorf("%s.tsv:%d: source %q, standing %q", name, r.Line, r.Get("source"), r.Get("standing"))
			}
		}
	}
}
