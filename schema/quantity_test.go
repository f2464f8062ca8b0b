package schema

import (
	"encoding/json"
	"errors"
	"testing"

	"pgregory.net/rapid"
)

func TestParseQuantity(t *testing.T) {
	for _, tt := range []struct {
		in, print string
		ranged    bool
	}{
		{"3.25 A", "3.25 A", false},
		{" 3.25 A ", "3.25 A", false},
		{"3.3..21 V", "3.3–21 V", true},
		{"-10..60 Cel", "-10–60 °C", true}, // SI Brochure 9 §5.4.3: a space before °C and %
		{"92 %", "92 %", false},
		{"20000 mA.h", "20000 mAh", false},
		{"65 W.h", "65 Wh", false},
		{"5.2 mOhm", "5.2 mΩ", false},
		{"33 uF", "33 µF", false},
		{"6.7 [in_i]", "6.7 in", false},
		{"0.85 W/cm3", "0.85 W/cm³", false},
		{"45 dB{A}", "45 dBA", false},
		{"7", "7", false},
		{"7 1", "7", false},
		{"2 m.kg", "2 m.kg", false}, // outside the table: the code stands for itself
	} {
		q, err := ParseQuantity(tt.in)
		if err != nil || q.String() != tt.print || q.Range != tt.ranged {
			t.Errorf("ParseQuantity(%q) prints as %q, range %v, %v, want %q", tt.in, q, q.Range, err, tt.print)
		}
	}
	for _, bad := range []string{"", "A", "A 3.25", "3..", "..3 V", "3,25 A", "1..2..3 V"} {
		if q, err := ParseQuantity(bad); !errors.Is(err, ErrNotDecimal) {
			t.Errorf("ParseQuantity(%q) = %v, %v", bad, q, err)
		}
	}
	defer func() {
		if err, _ := recover().(error); !errors.Is(err, ErrNotDecimal) {
			t.Errorf("MustQuantity of a word: %v", err)
		}
	}()
	MustQuantity("many A")
}

func TestQuantityTolerance(t *testing.T) {
	q := MustQuantity("118 mOhm")
	q.Tolerance = &Tolerance{MustDecimal("5"), "%"}
	if got, want := q.String(), "118 ± 5 % mΩ"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestQuantityValue(t *testing.T) {
	one, pps := MustQuantity("3250 mA"), MustQuantity("3.3..21 V")
	if one.Value().String() != "3250" || one.SI() != 3.25 || one.LowSI() != 3.25 {
		t.Errorf("%v: value %s, SI %v, low %v", one, one.Value(), one.SI(), one.LowSI())
	}
	if pps.Value().String() != "21" || pps.SI() != 21 || pps.LowSI() != 3.3 {
		t.Errorf("%v: value %s, SI %v, low %v", pps, pps.Value(), pps.SI(), pps.LowSI())
	}
	for text, want := range map[string]float64{
		"0 Cel": 273.15, "1 A.h": 3600, "1 W.h": 3600, "50 %": 0.5, "1 [in_i]": 0.0254, "7 ": 7, "2 m.kg": 2,
	} {
		if got := MustQuantity(text).SI(); got != want {
			t.Errorf("%s in SI is %v, want %v", text, got, want)
		}
	}
	if !(Quantity{}).IsZero() || MustQuantity("0 V").IsZero() || MustQuantity("0..0").IsZero() ||
		MustQuantity("5").IsZero() {
		t.Error("IsZero")
	}
}

func TestSame(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"3250 mA", "3.25 A", true}, {"3.250 A", "3.25 A", true}, {"3.25 A", "3.26 A", false}, {"3.25 A", "3.25 V", false},
		{"0.1 uF", "100 nF", true}, {"480 Mbit/s", "60 MBy/s", true}, {"65 W", "65 V.A", true}, {"68.5 Cel", "155.3 [degF]", true},
		{"3.3..21 V", "3300..21000 mV", true}, {"3.3..21 V", "3.3..20 V", false}, {"3.3..21 V", "3.2..21 V", false},
		{"5..5 V", "5 V", false}, {"3", "3.0", true}, {"3", "3 V", false}, {"1 [in_i]", "25.4 mm", true}, {"1 [in_i]", "25 mm", false},
		{"36 W.h", "129600 J", true}, {"1 N.m", "1 J", false}, {"3 Wh", "3 Wh", true}, {"3 Wh", "3 W.h", false},
		{"0 Cel", "273.15 K", true}, {"300 mA.h", "0.3 A.h", true},
	} {
		a, b := MustQuantity(tt.a), MustQuantity(tt.b)
		if a.Same(b) != tt.want || b.Same(a) != tt.want {
			t.Errorf("%s and %s: Same is %v and %v, want %v", tt.a, tt.b, a.Same(b), b.Same(a), tt.want)
		}
	}
	a, b := MustQuantity("118 mOhm"), MustQuantity("0.118 Ohm")
	a.Tolerance, a.Typical = &Tolerance{MustDecimal("5"), "%"}, new(Decimal)
	if !a.Same(b) {
		t.Error("a tolerance makes another quantity")
	}
}

// TestSameAcrossUnits: a quantity is the same in every unit it converts to
// and back from without rounding.
func TestSameAcrossUnits(t *testing.T) {
	units := Units()
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(units).Draw(t, "unit")
		v := rapid.SampledFrom(units).Draw(t, "other")
		if u.Kind != v.Kind || u.Offset.Sign() != 0 || u.family != v.family {
			t.Skip("not a shift of the decimal point")
		}
		low, high := drawDecimal(t, "low"), drawDecimal(t, "high")
		q := Between(low, high, u.Unit)
		l, err1 := u.Unit.Convert(low, v.Unit)
		h, err2 := u.Unit.Convert(high, v.Unit)
		if r := Between(l, h, v.Unit); err1 != nil || err2 != nil || !q.Same(r) || !r.Same(q) {
			t.Fatalf("%v is not the same as %v (%v, %v)", q, r, err1, err2)
		}
		if r := Between(l, h.Add(MustDecimal("1e-60")), v.Unit); q.Same(r) {
			t.Fatalf("%v is the same as %v", q, r)
		}
	})
}

func TestQuantityJSON(t *testing.T) {
	triple := MustQuantity("100..130 mOhm")
	typical := MustDecimal("118")
	triple.Typical, triple.Tolerance = &typical, &Tolerance{MustDecimal("5"), "%"}
	for _, tt := range []struct {
		q    Quantity
		want string
	}{
		{MustQuantity("3.250 A"), `{"value":3.250,"unit":"A"}`},
		{MustQuantity("3.3..21 V"), `{"low":3.3,"high":21,"unit":"V"}`},
		{triple, `{"low":100,"typical":118,"high":130,"unit":"mOhm","tolerance":{"value":5,"unit":"%"}}`},
		{MustQuantity("325"), `{"value":325,"unit":""}`},
		{MustQuantity("1e-7 F"), `{"value":0.0000001,"unit":"F"}`},
		{Quantity{}, `{"value":0,"unit":""}`},
	} {
		b, err := json.Marshal(tt.q)
		if err != nil || string(b) != tt.want {
			t.Errorf("%v is written %s, %v, want %s", tt.q, b, err, tt.want)
		}
		var back Quantity
		if err := json.Unmarshal(b, &back); err != nil || !back.Same(tt.q) {
			t.Errorf("%s is read %v, %v", b, back, err)
		}
		if again, err := json.Marshal(back); err != nil || string(again) != tt.want {
			t.Errorf("%s is written again %s, %v", b, again, err)
		}
	}
}

func TestQuantityJSONStrict(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want error // nil: any
	}{
		{`{"value":3.25}`, ErrQuantity},
		{`{"value":3.25,"unit":null}`, ErrQuantity},
		{`{"unit":"A"}`, ErrQuantity},
		{`{"low":3.3,"unit":"V"}`, ErrQuantity},
		{`{"high":21,"unit":"V"}`, ErrQuantity},
		{`{"value":5,"low":3.3,"high":21,"unit":"V"}`, ErrQuantity},
		{`{"value":5,"low":3.3,"unit":"V"}`, ErrQuantity},
		{`{"value":null,"unit":"V"}`, ErrQuantity},
		{`{"value":65,"unit":"Wh"}`, ErrUnknownUnit},
		{`{"value":65,"unit":" W"}`, ErrUnknownUnit},
		{`{"value":5,"unit":"%","tolerance":{"value":5,"unit":"percent"}}`, ErrUnknownUnit},
		{`{"value":"65","unit":"W"}`, ErrNotDecimal},
		{`{"value":65,"unit":"W","colour":"red"}`, nil},
		{`{"value":65,"unit":"W","tolerance":{"value":5,"unit":"%","side":"up"}}`, nil},
		{`{"value":65,"unit":7}`, nil},
		{`65`, nil},
		{`"65 W"`, nil},
		{`[65,"W"]`, nil},
		{`null`, ErrQuantity},
	} {
		q := MustQuantity("1 V")
		err := json.Unmarshal([]byte(tt.in), &q)
		if err == nil || tt.want != nil && !errors.Is(err, tt.want) {
			t.Errorf("%s: error %v, want %v", tt.in, err, tt.want)
		}
		if !q.Same(MustQuantity("1 V")) {
			t.Errorf("%s: refused, and yet the quantity became %v", tt.in, q)
		}
	}
}

// Quantities are written by appending, which gives what encoding/json does.
func TestMarshalQuantity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := NewDecimal(rapid.Int64().Draw(t, "low"), rapid.Int32Range(-30, 30).Draw(t, "exponent"))
		q := One(low, Unit(rapid.SampledFrom([]string{"V", "mA.h", "%", "W/cm3", "[in_i]", "", "a\"b", "a<b", "µ",
			"a\\b"}).Draw(t, "unit")))
		if rapid.Bool().Draw(t, "range") {
			q.High, q.Range = NewDecimal(rapid.Int64().Draw(t, "high"), -2), true
		}
		if rapid.Bool().Draw(t, "typical") {
			v := NewDecimal(rapid.Int64().Draw(t, "value"), -1)
			q.Typical = &v
		}
		if rapid.Bool().Draw(t, "tolerance") {
			q.Tolerance = &Tolerance{NewDecimal(5, 0), "%"}
		}
		got, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		if want, _ := json.Marshal(q.parts()); string(got) != string(want) {
			t.Errorf("wrote %s, want %s", got, want)
		}
	})
}

// parts is the form in records, for encoding/json.
func (q Quantity) parts() quantityJSON {
	j := quantityJSON{Unit: q.Unit, Tolerance: q.Tolerance, Typical: q.Typical}
	if q.Range {
		j.Low, j.High = &q.Low, &q.High
	} else {
		j.Value = &q.Low
	}
	return j
}
