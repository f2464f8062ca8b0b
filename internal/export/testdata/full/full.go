// Package full is for tests of output: a record made by hand in which every part
// of a record occurs, that of the captions in full.vtt, with the corrections to them;
// and goldens, files of a package's testdata that somebody read.
package full

import (
	"cmp"
	_ "embed"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"saywatt/extract/transcript"
	"saywatt/internal/edit"
	"saywatt/schema"
)

// narration makes a record by hand, quantity by quantity, of full.vtt.
type narration struct {
	t      testing.TB
	source string
	from   int // where the next words are looked for
	rec    *schema.Record
}

// say adds a quantity heard in the given words, which must follow those before.
// readings are the others, as "32.5 A 0.02".
func (n *narration) say(at int, words, reading string, st schema.Status, confidence float64, others ...string) int {
	n.t.Helper()
	i := strings.Index(n.source[n.from:], words)
	if i < 0 {
		n.t.Fatalf("the captions do not say %q after byte %d", words, n.from)
	}
	span := schema.Span{Start: n.from + i, End: n.from + i + len(words)}
	n.from = span.Start
	q := schema.MustQuantity(reading)
	seconds := schema.Seconds(at * 1000)
	s := schema.Said{
		Number: len(n.rec.Quantities) + 1, At: &seconds, Span: span, Heard: strings.Join(strings.Fields(words), " "),
		Kind: q.Unit.Kind(), Quantity: q, Status: st, Confidence: confidence,
		Readings: []schema.Reading{{Quantity: q, Confidence: confidence}}, Why: []string{},
	}
	for _, o := range others {
		f := strings.Fields(o)
		p := schema.MustDecimal(f[2]).Float64()
		s.Readings = append(s.Readings, schema.Reading{Quantity: schema.MustQuantity(f[0] + " " + f[1]), Confidence: p})
	}
	n.rec.Quantities = append(n.rec.Quantities, s)
	return s.Number
}

// doubt puts the place of a quantity in doubt: candidates as "mass 0.24", the one
// that was taken first.
func (n *narration) doubt(number int, place string, candidates ...string) {
	n.t.Helper()
	s := n.rec.Quantity(number)
	s.Place = place
	for i, c := range candidates {
		f := strings.Fields(c)
		to := schema.BelongsTo{To: f[0]}
		if len(f) > 2 {
			to.Port = f[1]
		}
		s.Belongs = append(s.Belongs, schema.Belonging{Place: to, Words: to.Words(), Taken: i == 0,
			Confidence: schema.MustDecimal(f[len(f)-1]).Float64()})
	}
	slices.SortStableFunc(s.Belongs, func(a, b schema.Belonging) int { return cmp.Compare(b.Confidence, a.Confidence) })
}

// heard is say for a quantity taken as heard; it returns the value.
func (n *narration) heard(at int, words, reading string) *schema.Value {
	n.t.Helper()
	return n.value(n.say(at, words, reading, schema.StatusHeard, 0.98))
}

// value is what stands in a place for a quantity said.
func (n *narration) value(number int) *schema.Value {
	s := n.rec.Quantity(number)
	return &schema.Value{Quantity: s.Quantity, Basis: schema.BasisClaimed, Status: s.Status, Confidence: s.Confidence,
		Qualifier: s.Qualifier, Said: []int{number}}
}

// measured makes the basis of a value an instrument.
func measured(v *schema.Value) *schema.Value {
	v.Basis = schema.BasisMeasured
	return v
}

//go:embed full.vtt
var captions []byte

// Record is the record of full.vtt, every part of it filled, and that file's bytes.
func Record(t testing.TB) (*schema.Record, []byte) {
	const heard, repaired, open, settled = schema.StatusHeard, schema.StatusRepaired, schema.StatusOpen,
		schema.StatusSettled
	duration := schema.Seconds(3693000)
	r := &schema.Record{
		Version: schema.RecordVersion,
		Source: schema.Source{
			File: "full.vtt", SHA256: strings.Repeat("0", 64), Format: "vtt", Duration: &duration,
			Problems: []string{"full.vtt:37:1: unreadable or irregular cue time: 00:01:02:10"},
		},
		Product: schema.Product{Kind: "charger with battery", Name: "Ostrale Quay Duo", Maker: "Ostrale",
			Model: "OQ-65", Marks: []string{"3C", "PSE"}},
		Cautions: []string{
			"Capacitors of a mains charger can hold a dangerous voltage long after it was unplugged; " +
				"treat them as live until measured.",
			"Do not open, pierce, bend, short or heat lithium cells.",
		},
	}
	n := &narration{t: t, source: string(captions), rec: r}

	length, height := n.heard(7, "98", "98 mm"), n.heard(7, "64", "64 mm")
	depth := n.value(n.say(7, "315 millimeters", "31.5 mm", repaired, 0.96, "315 mm 0.03"))
	r.Body.Dimensions = []schema.Value{*length, *height, *depth}
	mass := n.say(7, "306 grams", "306 g", heard, 0.98)
	r.Quantities[mass-1].Qualifier = schema.QualifierAbout
	n.doubt(mass, "body.mass", "mass 0.24", "none 0.76")
	r.Body.Mass = n.value(mass)
	n.doubt(depth.Said[0], "body.dimensions[2]", "size 0.8", "cable.length 0.2")
	r.Body.Density = &schema.Value{Quantity: schema.MustQuantity("0.33 W/cm3"), Basis: schema.BasisDerived,
		Status: heard, Confidence: 0.9, Said: []int{}}
	r.Body.Materials = []string{"polycarbonate", "aluminium"}
	r.Cable = &schema.Cable{Length: n.heard(7, "1.2 meters", "1.2 m"), EMarker: "yes", Gauge: []int{21, 28}}

	mains := schema.Level{Mode: "mains/input", Protocol: "AC", Voltage: *n.heard(14, "100 to 240 volts", "100..240 V"),
		Current: n.heard(14, "1.5 amps", "1.5 A")}
	r.Claims = []schema.Claim{{Property: "power", Mode: "mains", Port: "USB-C1",
		Value: *n.heard(14, "65 watts", "65 W")}}
	r.Ports = []schema.Port{{Name: "USB-C1", Protocols: []string{"PD", "PPS"}}, {Name: "USB-A"}, {Name: "Qi"}}
	nine := schema.Level{Mode: "mains/output", Port: "USB-C1", Protocol: "PD", Voltage: *n.heard(21, "9 volts", "9 V"),
		Current: n.heard(21, "3 amps", "3 A")}
	withdrawn := n.say(21, "12", "12 V", heard, 0.9)
	r.Quantities[withdrawn-1].Withdrawn = true
	r.Withdrawn = []int{withdrawn}
	r.Counts.Withdrawn = 1
	fifteen := schema.Level{Mode: "mains/output", Port: "USB-C1", Protocol: "PD",
		Voltage: *n.heard(21, "15 volts", "15 V"), Current: n.heard(21, "3 amps", "3 A")}
	n.doubt(fifteen.Voltage.Said[0], "levels[2].voltage", "level.output USB-C1 0.31", "none 0.52",
		"level.input none 0.17")
	n.doubt(fifteen.Current.Said[0], "levels[2].current", "level.output USB-C1 0.54", "none 0.46")
	twenty := schema.Level{Mode: "mains/output", Port: "USB-C1", Protocol: "PD",
		Voltage: *n.heard(21, "20 volts", "20 V")}
	flagship := n.say(21, "325 amps", "3.25 A", repaired, 0.97, "325 A 0.02", "32.5 A 0.004")
	r.Quantities[flagship-1].Place = "levels[3].current"
	r.Quantities[flagship-1].Why = []string{
		"20 V × 3.25 A = 65 W, said at 0:14 (P = U·I)",
		"325 A is above the 5 A that any USB-C port may carry (USB Type-C R2.x, from memory)",
	}
	r.Quantities[flagship-1].Readings[0].Terms = []schema.Term{{Name: "prior", Score: -2.1},
		{Name: "lost point", Score: -3}, {Name: "level-power", Score: 7.42}}
	r.Quantities[flagship-1].Readings[1].Terms = []schema.Term{{Name: "prior", Score: -9.5},
		{Name: "as heard", Score: -0.2}}
	twenty.Current = n.value(flagship)
	pps := schema.Level{Mode: "mains/output", Port: "USB-C1", Protocol: "PPS",
		Voltage: *n.value(n.say(21, "3.3 221 volts", "3.3..21 V", repaired, 0.93)),
		Current: n.heard(21, "3 amps", "3 A")}
	portA := schema.Level{Mode: "mains/output", Port: "USB-A", Voltage: *n.heard(33, "9 volts", "9 V"),
		Current: n.heard(33, "2 amps", "2 A")}
	battery := schema.Level{Mode: "battery/output", Port: "USB-C1", Protocol: "PD",
		Voltage: *n.heard(33, "20 volts", "20 V")}
	battery.Current = n.value(n.say(33, "15 amps", "1.5 A", settled, 1, "15 A 0"))
	battery.Power = &schema.Value{Quantity: schema.MustQuantity("30 W"), Basis: schema.BasisDerived, Status: heard,
		Confidence: 0.9, Said: []int{}}
	// Said out of order on purpose: the sheet brings lines of a mode together.
	r.Levels = []schema.Level{mains, nine, fifteen, twenty, portA, battery, pps}

	r.Battery = &schema.Battery{Cell: schema.Cell{Maker: "Hadrelle", Format: "21700", Count: 2, Series: 2, Parallel: 1}}
	r.Battery.Cell.Capacity = n.value(n.say(41, "5,000\nmillion per hours", "5000 mA.h", repaired, 0.99))
	r.Battery.Cell.Voltage = n.heard(41, "3.6 volts", "3.6 V")
	r.Battery.Cell.ChargeLimit = n.heard(41, "4.2 volts", "4.2 V")
	r.Battery.Rated.Capacity = n.heard(41, "6,200 milliamp hours", "6200 mA.h")
	r.Battery.Rated.Voltage = n.heard(41, "5 volts", "5 V")
	r.Battery.Pack.Energy = n.heard(41, "36 watt hours", "36 W.h")

	at := schema.Seconds(62000)
	r.Components = []schema.Component{
		{Board: "main", Kind: "fuse", Count: 1, At: &at, Status: heard, Ratings: []schema.Rating{
			{Property: "current", Value: *n.heard(62, "3.15 amps", "3.15 A")},
			{Property: "voltage", Value: *n.heard(62, "250 volts", "250 V")}}},
		{Board: "main", Kind: "bulk capacitor", Count: 2, At: &at, Status: repaired, Ratings: []schema.Rating{
			{Property: "voltage", Value: *n.heard(62, "400 volts", "400 V")},
			{Property: "capacitance", Value: *n.value(n.say(62, "47 micro ferret", "47 uF", repaired, 0.99))}}},
	}
	gan := schema.Component{Board: "main", Side: "back", Kind: "GaN switch", Maker: "Druskane", Part: "DK65R150",
		Package: "DFN5x6", At: &at,
		Status: open, Heard: "Drew Skane DK 65 are 150", Topology: "flyback"}
	gan.Ratings = []schema.Rating{{Property: "voltage", Value: *n.heard(62, "650 volts", "650 V")}}
	gan.Ratings = append(gan.Ratings,
		schema.Rating{Property: "on_resistance",
			Value: *n.value(n.say(62, "150 million", "150 mOhm", repaired, 0.9, "150 Ohm 0.05"))})
	coil := schema.Component{Kind: "buck inductor", At: &at, Status: heard,
		Ratings: []schema.Rating{{Property: "inductance", Value: *n.heard(62, "10 microhenry", "10 uH")}}}
	trick := schema.Component{Board: "port", Kind: "port switch MOSFET", Maker: "=HYPERLINK(\"x\")",
		Part: "-1+\x1b[31mred", Status: repaired, Heard: "equals hyper"}
	r.Components = append(r.Components, gan, coil, trick)

	mainsCondition := &schema.Condition{Mains: measured(n.heard(3680, "230 volts", "230 V"))}
	mainsCondition.Power = measured(n.heard(3680, "60 watts", "60 W"))
	r.Measurements = []schema.Measurement{{Property: "efficiency", Condition: mainsCondition,
		Value: *measured(n.heard(3680, "92.3 percent", "92.3 %"))}}
	hour := &schema.Condition{Mode: "battery/output", Time: measured(n.heard(3680, "60 minutes", "60 min"))}
	r.Measurements = append(r.Measurements,
		schema.Measurement{Property: "temperature", Subject: "top", Condition: hour,
			Value: *measured(n.heard(3680, "68.4 degrees", "68.4 Cel"))})
	idle := n.say(3680, "8 watts", "0.08 W", open, 0.48, "0.8 W 0.31", "8 W 0.12")
	r.Quantities[idle-1].Role = "measurement.no_load_power"
	r.Quantities[idle-1].Context = "top is 68.4 degrees. No load it draws 8 watts. About 42 millivolts"
	r.Measurements = append(r.Measurements,
		schema.Measurement{Property: "no_load_power", Value: *measured(n.value(idle))})
	ripple := n.say(3680, "42\nmillivolts", "42 mV", heard, 0.97)
	r.Quantities[ripple-1].Qualifier = schema.QualifierAbout
	r.Measurements = append(r.Measurements, schema.Measurement{Property: "ripple", Value: *measured(n.value(ripple))})
	freezer := n.say(3680, "minus 10 to minus 5\ndegrees", "-10..-5 Cel", heard, 0.9)
	n.doubt(freezer, "", "meas.temperature 0.55", "aside.other 0.45")
	pull := n.say(3680, "7 newtons", "7 N", heard, 0.97)
	r.Unplaced = []int{freezer, pull}
	noted := schema.Seconds(2000)
	r.Notes = []schema.Note{{Text: "The plug folds away.", At: &noted}}

	power := schema.MustQuantity("3.25 A")
	r.Findings = []schema.Finding{
		{Rule: "no-load-power", Severity: schema.SeverityWarning, Message: "8 W without load, said at 1:01:20, is " +
			"above the 0.1 W that a charger of this class may draw.",
			At: []schema.Seconds{3680000}, Source: "handbook 5.2", Standing: "unverified"},
		{Rule: "level-power", Severity: schema.SeverityError,
			Message: "20 V × 325 A = 6500 W is above the 65 W said of USB-C1 at 0:14.",
			At:      []schema.Seconds{21000, 14000}, Source: "P = U·I", Standing: "verified", Proposal: &power},
		{Rule: "marks", Severity: schema.SeverityNote, Message: "A mark was named and not shown.",
			Source: "common practice", Standing: "practice"},
	}
	r.Counts.Said = len(r.Quantities)
	for i := range r.Quantities {
		q := r.Quantities[i]
		if !slices.Contains(r.Unplaced, q.Number) {
			q.Place = "claims[0].value" // of most the place is of no account here
		}
		r.Counts.Count(&q, 1)
	}
	return r, captions
}

// Changes are the corrections that the full record makes to its captions.
func Changes(t testing.TB) (*schema.Record, *transcript.Transcript, []edit.Change) {
	t.Helper()
	r, source := Record(t)
	tr, err := transcript.Parse("full.vtt", source)
	if err != nil {
		t.Fatal(err)
	}
	r.Source.SHA256 = tr.Hash
	changes, left, err := edit.ForRecord(r, tr, edit.Style{})
	if err != nil || slices.ContainsFunc(left, func(l edit.Left) bool { return l.Unmade() }) {
		t.Fatal(err, left)
	}
	r.Source.SHA256 = strings.Repeat("0", 64)
	return r, tr, changes
}

// Claiming makes a record in which powers are claimed for ports, one after the
// other: "mode ports watts", a ? behind what is open.
func Claiming(claims ...string) *schema.Record {
	r := &schema.Record{}
	for _, line := range claims {
		f := strings.Fields(line)
		watts, isOpen := strings.CutSuffix(f[2], "?")
		v := schema.Value{Quantity: schema.MustQuantity(watts + " W"), Basis: schema.BasisClaimed,
			Status: schema.StatusHeard}
		if isOpen {
			v.Status = schema.StatusOpen
		}
		r.Claims = append(r.Claims, schema.Claim{Property: "power", Mode: f[0], Port: f[1], Value: v})
	}
	return r
}

var update = flag.Bool("update", false, "write the goldens anew")

// Golden compares with a file of testdata.
func Golden(t testing.TB, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := gocmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("%s (-want +got):\n%s", name, d)
	}
}

// Link is the address of a moment.
const Link = "https://video.example/watch?v=jetty&t={s}"
