package validate

import (
	"testing"

	"saywatt/schema"
	"saywatt/validate/testdata/notation"
)

// fullRecord is a record about as rich as a long review makes one: a charger
// with a battery, two modes, four ports, a cable, a teardown, measurements.
// Some of it is wrong, so that findings are made too.
const fullRecord = `
claim power, 120 W
claim power, 100 W, port=USB-C1, mode=mains
claim power, 100 W, port=USB-C2, mode=mains
claim power, 30 W, port=USB-C3, mode=mains
claim power, 18 W, port=USB-A, mode=mains
claim power, 65 W, port=USB-C1, mode=mains/output-shared
claim power, 45 W, port=USB-C2, mode=mains/output-shared
claim power, 45 W, port=USB-C1, mode=mains/output-shared
claim power, 45 W, port=USB-C2, mode=mains/output-shared
claim power, 15 W, port=USB-C3+USB-A, mode=mains/output-shared
claim power, 30 W, port=USB-C1, mode=battery
claim power, 15 W, port=Qi, mode=battery, protocol=Qi2
claim frequency, 50..60 Hz, mode=input
level mains/input, , AC, 100..240 V, 1.8 A
level mains/output, USB-C1, PD 3.0, 5 V, 3 A, 15 W
level mains/output, USB-C1, PD 3.0, 9 V, 3 A, 27 W
level mains/output, USB-C1, PD 3.0, 12 V, 3 A, 36 W
level mains/output, USB-C1, PD 3.0, 15 V, 3 A, 45 W
level mains/output, USB-C1, PD 3.0, 20 V, 5 A, 100 W
level mains/output, USB-C1, PPS, 3.3..11 V, 5 A
level mains/output, USB-C1, PPS, 3.3..21 V, 5 A
level mains/output, USB-C2, PD 3.0, 5 V, 3 A
level mains/output, USB-C2, PD 3.0, 9 V, 3 A
level mains/output, USB-C2, PD 3.0, 12 V, 3 A
level mains/output, USB-C2, PD 3.0, 15 V, 3 A
level mains/output, USB-C2, PD 3.0, 20 V, 500 A
level mains/output, USB-C3, PD 3.0, 5 V, 3 A
level mains/output, USB-C3, PD 3.0, 9 V, 3 A
level mains/output, USB-C3, PD 3.0, 15 V, 2 A
level mains/output, USB-C3, PD 3.0, 20 V, 1.5 A
level mains/output, USB-A, QC 3.0, 5 V, 3 A
level mains/output, USB-A, QC 3.0, 9 V, 2 A
level mains/output, USB-A, QC 3.0, 12 V, 1.5 A
level battery/output, USB-C1, PD 3.0, 5 V, 3 A
level battery/output, USB-C1, PD 3.0, 9 V, 3 A
level battery/output, USB-C1, PD 3.0, 20 V, 1.5 A
cable.length = 1.5 m
cable.current = 5 A
cable.voltage = 50 V
cable.power = 240 W
cable.data_rate = 480 Mbit/s
cable.resistance = 140 mOhm
cable.diameter = 4 mm
cable.emarker = yes
cable.gauge = [28, 22]
battery.cell.count = 4
battery.cell.series = 2
battery.cell.parallel = 2
battery.cell.format = "21700"
battery.cell.capacity = 5000 mA.h
battery.cell.voltage = 3.6 V
battery.cell.energy = 18 W.h
battery.cell.mass = 69 g
battery.pack.capacity = 20000 mA.h
battery.pack.energy = 72 W.h
battery.pack.voltage = 3.6 V
battery.rated.capacity = 12000 mA.h
battery.rated.voltage = 5 V
body.dimensions = [105 mm, 82.5 mm, 31 mm]
body.mass = 412 g
body.volume = 268.5 cm3
component fuse, current 3.15 A, voltage 250 V
component X capacitor, capacitance 0.33 uF, voltage 305 V
component Y capacitor, capacitance 2.2 nF
component bridge rectifier, voltage 800 V, current 4 A
component bulk capacitor, voltage 400 V, capacitance 27 uF, count=3
component PFC inductor, inductance 300 uH
component GaN switch, voltage 650 V, on_resistance 150 mOhm, package=DFN8x8
component sync rectifier MOSFET, voltage 100 V, on_resistance 5.2 mOhm, package=DFN5x6
component solid capacitor, voltage 25 V, capacitance 560 uF, count=2
component port switch MOSFET, voltage 30 V, on_resistance 8 mOhm, count=3
component buck inductor, inductance 10 uH
component sense resistor, resistance 5 mOhm
component protocol controller, package=QFN-24
component NTC thermistor, resistance 5 Ohm
measure efficiency, 92.4 % (measured), mains 230 V, voltage 20 V, current 5 A
measure efficiency, 90.8 % (measured), mains 115 V, voltage 20 V, current 5 A
measure output_voltage, 19.87 V (measured), voltage 20 V
measure output_voltage, 8.96 V (measured), voltage 9 V
measure ripple, 48 mV (measured), voltage 20 V
measure temperature, 68.4 Cel (measured), subject=top
measure no_load_power, 0.08 W (measured)
measure energy, 58 W.h (measured)
`

// BenchmarkCheck is everything on a full record: finding, judging, sentences.
func BenchmarkCheck(b *testing.B) {
	r := notation.Parse(b, fullRecord)
	if len(Check(r)) == 0 {
		b.Fatal("no findings")
	}
	b.ReportAllocs()
	for b.Loop() {
		Check(r)
	}
}

// BenchmarkJudge is what the reading engine does: one judgement of a case.
func BenchmarkJudge(b *testing.B) {
	r := notation.Parse(b, fullRecord)
	type sample struct {
		rule *Rule
		c    Case
		q    []schema.Quantity
	}
	var all []sample
	for _, rule := range Rules() {
		rule.Find(r, func(c Case) bool {
			q := make([]schema.Quantity, len(c.Args))
			for i, a := range c.Args {
				q[i] = a.Value.Quantity
			}
			all = append(all, sample{rule, c, q})
			return true
		})
	}
	b.ReportMetric(float64(len(all)), "cases")
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		s := &all[i%len(all)]
		s.rule.Judge(&s.c, s.q)
	}
}
