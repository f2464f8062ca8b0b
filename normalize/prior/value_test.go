package prior

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/schema"

	"pgregory.net/rapid"
)

// usual from 5 to 50, plausible from 1 to 100: one decade in two, with weights whose
// sums are easily done by hand.
func twoDecades() Role {
	o := Role{Low: 1, High: 100, UsualLow: 5, UsualHigh: 50}
	o.setDensities(&weights{usualShare: 0.7, plausibleShare: 0.24, floor: 0.06})
	return o
}

func TestDecades(t *testing.T) {
	o := twoDecades()
	for _, c := range []struct{ v, want float64 }{
		{20, 0.7 + 0.12 + 0.005},
		{5, 0.825},              // both ends belong to it
		{50, 0.825},             //
		{2, 0.12 + 0.005},       // plausible, not usual
		{1, 0.125},              //
		{100, 0.125},            //
		{0.1, 0.0012 + 0.005},   // a decade below: a hundredth of the edge
		{1000, 0.0012 + 0.005},  // a decade above
		{10000, 1.2e-5 + 0.005}, // two decades
		{1e9, 0.005},            // the floor keeps true oddities alive
		{-20, 0.825},            // minus 20 degrees are as far as 20
	} {
		if got := o.decades(c.v); math.Abs(got-c.want) > 1e-7 {
			t.Errorf("at %v: %v per decade, want %v", c.v, got, c.want)
		}
	}
}

// num is a number in plain notation, as the scanner has it.
func num(t testing.TB, s string) extract.Num {
	t.Helper()
	whole, frac, _ := strings.Cut(s, ".")
	coef, err := strconv.ParseInt(whole+frac, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return extract.Num{Coef: coef, Exp: int16(-len(frac))}
}

// priorOf is the prior of a value or range in plain notation.
func priorOf(t testing.TB, o *Role, value string) float64 {
	t.Helper()
	q := schema.MustQuantity(value + " V")
	hi := num(t, q.High.String())
	return o.P(q.Low.Float64(), q.High.Float64(), q.Range, DigitsOf(hi), 1)
}

func TestPriorGrid(t *testing.T) {
	o := twoDecades()
	free := priorOf(t, &o, "9")
	if err := o.readGrid("v:9|9|12|3.3..21"); err != nil {
		t.Fatal(err)
	}
	o.GridShare = 0.8
	// what is off the grid has the rest; what is said twice has twice the share
	if got, want := priorOf(t, &o, "9"), 0.8*0.5+0.2*free; math.Abs(got-want) > 1e-9 {
		t.Errorf("9 on the grid twice: %v, want %v", got, want)
	}
	if got, want := priorOf(t, &o, "8"), 0.2*free; math.Abs(got-want) > 1e-9 {
		t.Errorf("8 off the grid: %v, want %v", got, want)
	}
	if got, want := priorOf(t, &o, "3.3..21"), 0.8*0.25; math.Abs(got-want) > 1e-9 {
		t.Errorf("a preferred range: %v, want %v", got, want)
	}
	if one, two := priorOf(t, &o, "3.3..20"), priorOf(t, &o, "3.3..21"); one >= two/100 {
		t.Errorf("a range off the grid has %v, one on it %v", one, two)
	}
	// a range is no preferred value, nor a value a range
	if on, off := priorOf(t, &o, "9..12"), priorOf(t, &o, "8..11"); on < off {
		t.Errorf("between two preferred values %v, between two others %v", on, off)
	}
	if on, off := priorOf(t, &o, "21"), priorOf(t, &o, "22"); on != off {
		t.Errorf("the end of a preferred range is preferred: %v, %v", on, off)
	}
}

// A series repeats in every decade and is weighed by where the decade lies.
func TestPriorSeries(t *testing.T) {
	o := twoDecades()
	if err := o.readGrid("E12"); err != nil {
		t.Fatal(err)
	}
	o.GridShare = 0.8
	for _, c := range []struct{ likelier, value string }{
		{"33", "34"}, {"3.3", "3.4"}, {"10", "11"}, {"8.2", "8.3"}, {"82", "83"},
		{"33", "3.3"}, // usual before plausible
		{"3.3", "0.33"},
		{"33", "330"},
	} {
		if a, b := priorOf(t, &o, c.likelier), priorOf(t, &o, c.value); a <= b {
			t.Errorf("%s has %v, %s has %v", c.likelier, a, c.value, b)
		}
	}
	if err := o.readGrid("e13"); err == nil {
		t.Error("a series that is not there was read")
	}
	if err := o.readGrid("v:9|x"); err == nil {
		t.Error("a grid of letters was read")
	}
}

// A value said with fewer digits is likelier than one with more, and 3.2 and
// 3.25 of an instrument compare fairly.
func TestPriorDigits(t *testing.T) {
	o := twoDecades()
	for _, c := range []struct{ likelier, value string }{{"7", "7.3"}, {"7.3", "7.31"}, {"20", "21"}, {"7.5", "7.4"}} {
		if a, b := priorOf(t, &o, c.likelier), priorOf(t, &o, c.value); a <= b {
			t.Errorf("%s has %v, %s has %v", c.likelier, a, c.value, b)
		}
	}
	meter := o
	meter.reading = true
	if a, b := priorOf(t, &meter, "7.31")/priorOf(t, &meter, "7"), priorOf(t, &o, "7.31")/priorOf(t, &o, "7"); a <= b {
		t.Errorf("an instrument shows 7.31 %v times as often as 7, a label %v times", a, b)
	}
	// all values of up to four digits in one decade have no more than all
	for _, of := range []*Role{&o, &meter} {
		sum := 0.0
		for v := int64(1000); v < 10000; v++ {
			n := extract.Num{Coef: v, Exp: -3}
			for n.Coef%10 == 0 {
				n.Coef /= 10
				n.Exp++
			}
			sum += of.Each(DigitsOf(n))
		}
		if sum > 1+1e-9 || sum < 0.85 {
			t.Errorf("the values of one decade have %v together (reading %v)", sum, of.reading)
		}
	}
}

// The prior of anything is a positive number not above 1, for every role.
func TestPriorIsAProbability(t *testing.T) {
	roles := Usual()
	rapid.Check(t, func(t *rapid.T) {
		o := &roles.Roles[rapid.IntRange(0, len(roles.Roles)-1).Draw(t, "role")]
		n := extract.Num{Coef: rapid.Int64Range(0, 1e9).Draw(t, "digits"),
			Exp: int16(rapid.IntRange(-6, 3).Draw(t, "exponent"))}
		v := n.Float() * math.Pow(10, float64(rapid.IntRange(-12, 9).Draw(t, "prefix")))
		p := o.P(v, v, false, DigitsOf(n), 1)
		if math.IsNaN(p) || p <= 0 || p > 1 {
			t.Fatalf("%s: %v has %v", o.Name, v, p)
		}
		r := o.P(v, v*rapid.Float64Range(1, 100).Draw(t, "to"), true, DigitsOf(n), 1)
		if math.IsNaN(r) || r <= 0 || r > 1 {
			t.Fatalf("%s: a range from %v has %v", o.Name, v, r)
		}
	})
}

// Which of two values is likelier in a place of the table: handbook values
// against what captions make of them.
func TestPriorOfPlaces(t *testing.T) {
	for _, c := range []struct{ role, section, subject, property, likelier, value, source string }{
		{"level.voltage", "output", "-", "*", "20 V", "21 V", "IEC 62680-1-2 fixed levels"},
		{"level.voltage", "output", "-", "*", "15 V", "50 V", "IEC 62680-1-2 fixed levels"},
		{"level.current", "output", "-", "*", "3.25 A", "325 A", "handbook 2.2"},
		{"level.current", "output", "-", "*", "3 A", "3.1 A", "handbook 2.2"},
		{"level.power", "output", "-", "*", "65 W", "64 W", "handbook 2.3"},
		{"input.voltage", "input", "-", "*", "100..240 V", "100..214 V", "IEC 60038"},
		{"component.current", "*", "fuse", "*", "3.15 A", "3.2 A", "IEC 60127 rated currents"},
		{"component.current", "*", "fuse", "*", "3.15 A", "315 A", "IEC 60127 rated currents"},
		{"component.voltage", "*", "bulk capacitor", "*", "400 V", "40 V", "handbook 7.2"},
		{"component.capacitance", "*", "bulk capacitor", "*", "33 uF", "34 uF", "IEC 60063 E12"},
		{"component.capacitance", "*", "X capacitor", "*", "0.33 uF", "33 uF", "IEC 60063 E12; handbook 7.2"},
		{"component.on_resistance", "*", "sync rectifier MOSFET", "*", "5.2 mOhm", "52 Ohm", "handbook 7.2"},
		{"component.on_resistance", "*", "primary MOSFET", "*", "165 mOhm", "165 MOhm", "handbook 7.2"},
		{"measurement.efficiency", "*", "-", "efficiency", "92.5 %", "9.25 %", "handbook 8.4"},
		{"measurement.ripple", "*", "-", "ripple", "40 mV", "40 V", "common practice, no source"},
		{"measurement.temperature", "*", "-", "temperature", "68.4 Cel", "684 Cel", "common practice, no source"},
	} {
		var rows []*Role
		for i := range Usual().Roles {
			if r := &Usual().Roles[i]; r.Name == c.role && r.section == c.section && r.Subject == c.subject &&
				r.property == c.property {
				rows = append(rows, r)
			}
		}
		if rows == nil {
			t.Errorf("no role %s of %s/%s/%s", c.role, c.section, c.subject, c.property)
			continue
		}
		of := func(s string) float64 {
			q := schema.MustQuantity(s)
			lo, hi := q.Low.Float64(), q.High.Float64()
			if q.Unit != "Cel" { // the table has temperatures in degrees Celsius too
				i, _ := q.Unit.Info()
				lo, hi = lo*i.Scale, hi*i.Scale
			}
			p := 0.0
			for _, o := range rows {
				p += o.Weight * o.P(lo, hi, q.Range, DigitsOf(num(t, q.High.String())), 1)
			}
			return p
		}
		if a, b := of(c.likelier), of(c.value); a <= b*2 {
			t.Errorf("%s: %s has %.3g, %s has %.3g (%s)", c.role, c.likelier, a, c.value, b, c.source)
		}
	}
}

// TestCountShare: small whole numbers are commoner than large ones, and those than
// decimals; all whole numbers of up to four digits have no more than all.
func TestCountShare(t *testing.T) {
	sum := 0.0
	for n := int64(1); n < 10000; n++ {
		sum += CountShare(extract.Num{Coef: n})
	}
	if sum > 1.1 || sum < 0.9 {
		t.Errorf("whole numbers have %v together", sum)
	}
	for _, c := range []struct{ likelier, value string }{{"12", "13"}, {"100", "101"}, {"3", "3.5"}} {
		if a, b := CountShare(num(t, c.likelier)), CountShare(num(t, c.value)); a <= b {
			t.Errorf("%s has %v, %s has %v", c.likelier, a, c.value, b)
		}
	}
}

// TestPrefers: what is on the grid of a role, as a value or as a range.
func TestPrefers(t *testing.T) {
	values, series := twoDecades(), twoDecades()
	if err := values.readGrid("v:9|12|3.3..21"); err != nil {
		t.Fatal(err)
	}
	if err := series.readGrid("E12"); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		role    *Role
		lo, hi  float64
		isRange bool
		want    bool
	}{
		{&values, 9, 9, false, true}, {&values, 9.1, 9.1, false, false}, {&values, 3.3, 21, true, true},
		{&values, 9, 12, true, false}, {&values, 21, 21, false, false},
		{&series, 33, 33, false, true}, {&series, 0.033, 0.033, false, true}, {&series, 34, 34, false, false},
		{&series, 33, 33, true, false}, {&series, 0, 0, false, false},
	} {
		if got := c.role.Prefers(c.lo, c.hi, c.isRange); got != c.want {
			t.Errorf("%v to %v, a range %t: preferred %t, want %t", c.lo, c.hi, c.isRange, got, c.want)
		}
	}
}
