package schema

import (
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var decimalTexts = []struct {
	in, out  string // out "" where refused
	decimals int
}{
	{"0", "0", 0}, {"3.25", "3.25", 2}, {"3.0", "3.0", 1}, {"3.250", "3.250", 3}, {"-7", "-7", 0}, {"+7", "7", 0},
	{"007", "7", 0}, {".5", "0.5", 1}, {"5.", "5", 0}, {"0.000", "0.000", 3}, {"-0", "-0", 0},
	{"1e-9", "0.000000001", 9}, {"1E3", "1000", 0}, {"1e+3", "1000", 0}, {"1.50e1", "15.0", 1}, {"0e2", "0", 0}, {"-0e9", "-0", 0}, {"0.0e3", "0", 0},
	{"123456789012345678901234567890.123456789", "123456789012345678901234567890.123456789", 9},
	{"1e400", "1" + strings.Repeat("0", 400), 0}, {"1e-400", "0." + strings.Repeat("0", 399) + "1", 400},
	{"", "", 0}, {".", "", 0}, {"-", "", 0}, {"+-1", "", 0}, {"e5", "", 0}, {"1e", "", 0}, {"1e1.5", "", 0}, {"1.2.3", "", 0},
	{"1 000", "", 0}, {"1,000", "", 0}, {" 1", "", 0}, {"1\n", "", 0}, {"0x10", "", 0}, {"1_000", "", 0}, {"3.25A", "", 0},
	{"NaN", "", 0}, {"Infinity", "", 0}, {"-inf", "", 0}, {"sNaN", "", 0}, {"٣", "", 0}, {"½", "", 0},
	{"1e401", "", 0}, {"1e-401", "", 0}, {"1e999999999", "", 0}, {"1e-999999999", "", 0}, {"1e99999999999999999999", "", 0},
	{strings.Repeat("9", 801), "", 0},
}

func TestParseDecimal(t *testing.T) {
	for _, tt := range decimalTexts {
		d, err := ParseDecimal(tt.in)
		if tt.out == "" {
			if !errors.Is(err, ErrNotDecimal) {
				t.Errorf("ParseDecimal(%.20q) = %.20s, %v, want %v", tt.in, d, err, ErrNotDecimal)
			} else if len(err.Error()) > 900 {
				t.Errorf("ParseDecimal(%.20q): %d bytes of message", tt.in, len(err.Error()))
			}
			continue
		}
		if err != nil || d.String() != tt.out || d.Decimals() != tt.decimals {
			t.Errorf("ParseDecimal(%.20q) = %.40s with %d decimals, %v, want %.40s with %d", tt.in, d, d.Decimals(),
				err, tt.out, tt.decimals)
		}
	}
}

func TestMustDecimalPanics(t *testing.T) {
	defer func() {
		if err, _ := recover().(error); !errors.Is(err, ErrNotDecimal) {
			t.Errorf("MustDecimal of a word: %v", err)
		}
	}()
	MustDecimal("three")
}

func TestDecimalZeroValue(t *testing.T) {
	var d Decimal
	if d.String() != "0" || !d.IsZero() || d.Sign() != 0 || d.Float64() != 0 || !d.Equal(MustDecimal("0.00")) ||
		!d.Add(d).IsZero() {
		t.Errorf("zero value %s", d)
	}
}

func TestDecimalArithmetic(t *testing.T) {
	for _, tt := range []struct{ got, want string }{
		{MustDecimal("20").Mul(MustDecimal("3.25")).String(), "65.00"},
		{MustDecimal("20000").Mul(MustDecimal("3.7")).String(), "74000.0"},
		{MustDecimal("6.3").Mul(MustDecimal("4")).String(), "25.2"}, // handbook W61, UCUM functional tests 3-113 and 3-114 (R3)
		{MustDecimal("0.1").Add(MustDecimal("0.2")).String(), "0.3"},
		{MustDecimal("1e3").Add(MustDecimal("0.05")).String(), "1000.05"},
		{MustDecimal("5").Sub(MustDecimal("5.00")).String(), "0.00"},
		{MustDecimal("2").Sub(MustDecimal("3.5")).String(), "-1.5"},
		{NewDecimal(325, -2).String(), "3.25"},
		{NewDecimal(-2, 4).String(), "-20000"},
		{MustDecimal("325").Shift(-2).String(), "3.25"},
		{MustDecimal("3.25").Shift(3).String(), "3250"},
		{MustDecimal("3.25").Shift(1).String(), "32.5"},
		{MustDecimal("3.20").Trim().String(), "3.2"},
		{MustDecimal("3.00").Trim().String(), "3"},
		{MustDecimal("30").Trim().String(), "30"},
		{MustDecimal("30.0").Trim().String(), "30"},
		{MustDecimal("0.00").Trim().String(), "0"},
		{MustDecimal("-1.50").Neg().String(), "1.50"},
		{MustDecimal("0.0").Neg().String(), "0.0"},
		{MustDecimal("3.245").Round(2).String(), "3.25"},
		{MustDecimal("-3.245").Round(2).String(), "-3.25"},
		{MustDecimal("3.2449").Round(2).String(), "3.24"},
		{MustDecimal("9.99").Round(1).String(), "10.0"},
		{MustDecimal("3.2").Round(4).String(), "3.2"},
		{MustDecimal("0.4").Round(0).String(), "0"},
		{MustDecimal("1234.5").Round(-2).String(), "1200"},
	} {
		if tt.got != tt.want {
			t.Errorf("got %s, want %s", tt.got, tt.want)
		}
	}
}

func TestQuo(t *testing.T) {
	for _, tt := range []struct {
		a, b, want string
		ok         bool
	}{
		{"65", "20", "3.25", true},
		{"100", "3", "33.33333333333333333333333333333333", true},
		{"2", "3", "0.6666666666666666666666666666666667", true},
		{"6.0", "2.0", "3", true},
		{"1000", "0.1", "10000", true},
		{"0", "7", "0", true},
		{"7", "0", "0", false},
		{"0", "0.00", "0", false},
	} {
		got, ok := MustDecimal(tt.a).Quo(MustDecimal(tt.b))
		if got.String() != tt.want || ok != tt.ok {
			t.Errorf("%s ÷ %s = %s, %v, want %s, %v", tt.a, tt.b, got, ok, tt.want, tt.ok)
		}
	}
}

func TestDecimalCompare(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{
		{"3", "3.0", 0}, {"3.25", "3.3", -1}, {"-1", "0", -1}, {"1e3", "999.9", 1}, {"0", "-0", 0}, {"1e400", "1e-400", 1},
	} {
		a, b := MustDecimal(tt.a), MustDecimal(tt.b)
		if a.Cmp(b) != tt.want || b.Cmp(a) != -tt.want || a.Equal(b) != (tt.want == 0) {
			t.Errorf("%s against %s: %d", tt.a, tt.b, a.Cmp(b))
		}
	}
	for text, whole := range map[string]bool{"3": true, "3.0": true, "3.1": false, "1e3": true, "0.000": true,
		"-2.50": false} {
		if MustDecimal(text).IsWhole() != whole {
			t.Errorf("IsWhole(%s) is not %v", text, whole)
		}
	}
}

// drawDecimal draws numbers of up to 40 digits, most of them short.
func drawDecimal(t *rapid.T, label string) Decimal {
	text := rapid.OneOf(
		rapid.StringMatching(`-?[0-9]{1,5}(\.[0-9]{1,4})?`),
		rapid.StringMatching(`-?[0-9]{1,20}\.[0-9]{1,20}`),
		rapid.StringMatching(`-?[0-9]{1,18}e-?[0-9]{1,2}`),
	).Draw(t, label)
	d, err := ParseDecimal(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestDecimalAgainstMathBig holds the arithmetic against exact fractions.
func TestDecimalAgainstMathBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawDecimal(t, "a"), drawDecimal(t, "b")
		ra, rb := ratOf(t, a), ratOf(t, b)
		same := func(what string, got Decimal, want *big.Rat) {
			if ratOf(t, got).Cmp(want) != 0 {
				t.Fatalf("%s of %s and %s is %s, want %s", what, a, b, got, want)
			}
		}
		same("sum", a.Add(b), new(big.Rat).Add(ra, rb))
		same("difference", a.Sub(b), new(big.Rat).Sub(ra, rb))
		same("product", a.Mul(b), new(big.Rat).Mul(ra, rb))
		same("negative", a.Neg(), new(big.Rat).Neg(ra))
		same("trimmed", a.Trim(), ra)
		n := rapid.IntRange(-30, 30).Draw(t, "n")
		same("shifted", a.Shift(n), new(big.Rat).Mul(ra, tenTo(n)))
		if a.Rat().Cmp(ra) != 0 {
			t.Fatalf("Rat(%s) = %s", a, a.Rat())
		}
		if a.Cmp(b) != ra.Cmp(rb) || a.Sign() != ra.Sign() || a.IsZero() != (ra.Sign() == 0) ||
			a.IsWhole() != ra.IsInt() {
			t.Fatalf("%s against %s: %d, want %d", a, b, a.Cmp(b), ra.Cmp(rb))
		}
		// the result of an operation is in plain form: no exponent above zero is left
		if s := a.Mul(b); s.d.Exponent > 0 {
			t.Fatalf("%s × %s has exponent %d", a, b, s.d.Exponent)
		}
	})
}

// ratOf reads the printed number with math/big.
func ratOf(t *rapid.T, d Decimal) *big.Rat {
	r, ok := new(big.Rat).SetString(d.String())
	if !ok {
		t.Fatalf("math/big cannot read %q", d)
	}
	return r
}

// TestRoundAgainstMathBig: big.Rat's FloatString rounds halves away from zero.
func TestRoundAgainstMathBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDecimal(t, "d")
		n := rapid.IntRange(0, 12).Draw(t, "n")
		got := d.Round(n)
		want, _ := new(big.Rat).SetString(d.Rat().FloatString(n))
		if got.Rat().Cmp(want) != 0 || got.Decimals() > n {
			t.Fatalf("%s rounded to %d is %s, want %s", d, n, got, want.FloatString(n))
		}
	})
}

// TestFloat64AgainstStrconv: the nearest float, also on the fast path.
func TestFloat64AgainstStrconv(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDecimal(t, "d")
		want, _ := strconv.ParseFloat(d.String(), 64)
		if got := d.Float64(); got != want {
			t.Fatalf("Float64(%s) = %v, want %v", d, got, want)
		}
	})
	// beyond 2^53 a quotient of floats would be rounded twice
	if got, want := MustDecimal("23545110919740941e-15").Float64(), 23.545110919740942; got != want {
		t.Errorf("Float64(23.545110919740941) = %v, want %v", got, want)
	}
	if got := MustDecimal("1e400").Float64(); !math.IsInf(got, 1) {
		t.Errorf("Float64(1e400) = %v", got)
	}
}

func TestDecimalRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDecimal(t, "d")
		again, err := ParseDecimal(d.String())
		if err != nil || again.String() != d.String() || again.Decimals() != d.Decimals() {
			t.Fatalf("%s read again is %s, %v", d, again, err)
		}
		first, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		var back Decimal
		if err := json.Unmarshal(first, &back); err != nil {
			t.Fatal(err)
		}
		if second, err := json.Marshal(back); err != nil || string(second) != string(first) {
			t.Fatalf("JSON %s, read and written again %s, %v", first, second, err)
		}
	})
}

func TestDecimalJSONStrict(t *testing.T) {
	for _, bad := range []string{`"3.25"`, `null`, `true`, `[1]`, `{}`, `1e401`, `""`} {
		var d Decimal
		if err := json.Unmarshal([]byte(bad), &d); !errors.Is(err, ErrNotDecimal) {
			t.Errorf("%s: %v, error %v", bad, d, err)
		}
	}
}

// TestDecimalIsAValue: copies share nothing that an operation could change,
// also beyond the size that the library holds in place.
func TestDecimalIsAValue(t *testing.T) {
	for _, text := range []string{"3.25", "-3.25", strings.Repeat("123456789", 9) + ".5"} {
		a := MustDecimal(text)
		b := a
		_, _, _, _, _ = a.Add(b), a.Mul(b), a.Neg(), a.Shift(5), a.Round(0)
		_, _ = a.Quo(b)
		_ = a.Trim()
		if a.String() != text || b.String() != text || !a.Equal(b) {
			t.Errorf("%s became %s and %s", text, a, b)
		}
	}
}

func FuzzParseDecimal(f *testing.F) {
	for _, tt := range decimalTexts {
		f.Add(tt.in)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDecimal(s)
		if err != nil {
			if !errors.Is(err, ErrNotDecimal) {
				t.Fatal(err)
			}
			return
		}
		text := d.String()
		if len(text) > 2000 {
			t.Fatalf("%.20q prints as %d bytes", s, len(text))
		}
		want, ok := new(big.Rat).SetString(s)
		if !ok || d.Rat().Cmp(want) != 0 {
			t.Fatalf("%q is %s", s, text)
		}
		if len(text) > 2*maxExponent {
			return // too long to be read again, by design
		}
		again, err := ParseDecimal(text)
		if err != nil || again.String() != text || !again.Equal(d) {
			t.Fatalf("%q prints as %s, read again %s, %v", s, text, again, err)
		}
		if trimmed := d.Trim(); !trimmed.Equal(d) {
			t.Fatalf("%s trimmed is %s", text, trimmed)
		}
	})
}

func BenchmarkParseDecimal(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseDecimal("3.25"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecimalMul(b *testing.B) {
	x, y := MustDecimal("20"), MustDecimal("3.25")
	b.ReportAllocs()
	for b.Loop() {
		if x.Mul(y).IsZero() {
			b.Fatal("20 × 3.25 is 0")
		}
	}
}

func BenchmarkDecimalFloat64(b *testing.B) {
	x := MustDecimal("3.25")
	b.ReportAllocs()
	for b.Loop() {
		if x.Float64() != 3.25 {
			b.Fatal(x)
		}
	}
}

func BenchmarkDecimalString(b *testing.B) {
	x := MustDecimal("3.25")
	b.ReportAllocs()
	for b.Loop() {
		if x.String() != "3.25" {
			b.Fatal(x)
		}
	}
}
