package schema

import (
	"errors"
	"math"
	"math/big"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// unitCodes are codes inside and outside the grammar that ParseUnit reads.
// They seed FuzzParseUnit and test the schema's pattern too.
var unitCodes = []struct {
	code string
	ok   bool
}{
	{"V", true}, {"mA.h", true}, {"W/cm3", true}, {"[in_i]", true}, {"m[in_i]", false}, // inch takes no prefix
	{"g-1.m-2.C2.s", true}, {"/s", true}, {"/Cel", true}, {"m/s/s", true}, {"W/m/K", true}, {"s2", true}, {"s-2", true},
	{"1", true}, {"1/s", true}, {"/1", true}, {"12", false}, {"1-2", false}, {"10*3", false}, {"4.s/m", false},
	{"{rpm}", true}, {"dB{A}", true}, {"{a|b~}", true}, {"{rpm}/s", true}, {"V{x}y", false}, {"V{", false}, {"V{}", false},
	{"{a b}", false}, {"{µ}", false}, {"V{a}{b}", false}, {"{{a}}", false}, {"}", false}, {"{/}", true}, {"[", false}, {"[in_i", false},
	{"V0", false}, {"V01", false}, {"V10", false}, {"V--1", false}, {"-1", false}, {"V-", false},
	{"V.", false}, {".V", false}, {"V..A", false}, {"V//A", false}, {"/", false}, {"//V", false}, {"V/", false},
	{"(V)", false}, {"V A", false}, {"V ", false}, {" V", false}, {"V·A", false}, {"V*A", false},
	{"Ω", false}, {"µF", false}, {"Wh", false}, {"mAh", false}, {"in", false}, {"AWG", false}, {"dB[mW]", false}, // units-ucum.md
	{"volt", false}, {"kkV", false}, {"mmin", false}, {"kCel", false}, {"\x00", false},
	{"mm2", true}, {"kOhm", true}, {"MBy", true}, {"cd", true}, {"Pa", true}, {"min", true}, {"dm", true},
}

func TestParseUnit(t *testing.T) {
	for _, tt := range unitCodes {
		info, err := ParseUnit(tt.code)
		switch {
		case tt.ok && err != nil:
			t.Errorf("ParseUnit(%q): %v", tt.code, err)
		case tt.ok && (info.Unit != Unit(tt.code) || info.Kind == KindUnknown || info.Factor.Sign() <= 0):
			t.Errorf("ParseUnit(%q) = %+v", tt.code, info)
		case !tt.ok && !errors.Is(err, ErrUnknownUnit):
			t.Errorf("ParseUnit(%q): error %v, want %v", tt.code, err, ErrUnknownUnit)
		}
	}
	for _, code := range []string{"", strings.Repeat("m.", 32) + "m", strings.Repeat("m9.", 20) + "m9"} {
		if _, err := ParseUnit(code); !errors.Is(err, ErrUnknownUnit) {
			t.Errorf("ParseUnit(%q): error %v, want %v", code, err, ErrUnknownUnit)
		}
	}
}

// TestUnitTables walks every row of the unit tables.
func TestUnitTables(t *testing.T) {
	for _, name := range []string{"tables/units.tsv", "tables/atoms.tsv", "tables/prefixes.tsv"} {
		table, err := ReadTable(tables, name)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range table.Rows {
			if r.Get("source") == "" {
				t.Errorf("%s:%d: no source", name, r.Line)
			}
		}
	}
	ascii := regexp.MustCompile(`^[!-~]+$`) // UCUM 2.2 §1: codes are ASCII
	seen := map[Unit]bool{}
	symbols := map[string]Unit{}
	for _, u := range Units() {
		if seen[u.Unit] {
			t.Errorf("%s stands twice in the table", u.Unit)
		}
		seen[u.Unit] = true
		if !ascii.MatchString(string(u.Unit)) {
			t.Errorf("%s is not ASCII", u.Unit)
		}
		if other, ok := symbols[u.Symbol]; ok {
			t.Errorf("%s and %s both print as %q", other, u.Unit, u.Symbol)
		}
		symbols[u.Symbol] = u.Unit
		if (u.One == "") != (u.Many == "") || u.Unit != "1" && u.One == "" {
			t.Errorf("%s has no spoken name", u.Unit)
		}
		parsed, err := ParseUnit(string(u.Unit))
		if err != nil || parsed.Kind != u.Kind {
			t.Errorf("ParseUnit(%s) = %+v, %v", u.Unit, parsed, err)
		}
		if u.Kind != u.Unit.Kind() || u.Symbol != u.Unit.Symbol() || u.Scale != u.Unit.Scale() || u.Scale <= 0 {
			t.Errorf("%s: kind %v, symbol %q, scale %v", u.Unit, u.Unit.Kind(), u.Unit.Symbol(), u.Unit.Scale())
		}
	}
	if len(seen) < 150 {
		t.Errorf("%d units, the table had 158", len(seen))
	}
}

// TestSameKindSameDimensions: what the tables call one kind has to have one
// set of dimensions, or its units could not be compared.
func TestSameKindSameDimensions(t *testing.T) {
	first := map[Kind]UnitInfo{}
	for _, u := range Units() {
		f, ok := first[u.Kind]
		if !ok {
			first[u.Kind] = u
		} else if f.Dims != u.Dims {
			t.Errorf("%s and %s are both %v, with dimensions %v and %v", f.Unit, u.Unit, u.Kind, f.Dims, u.Dims)
		}
	}
}

// TestConvertThereAndBack converts between all units of one kind.
func TestConvertThereAndBack(t *testing.T) {
	values := []Decimal{MustDecimal("3.25"), MustDecimal("-0.0047"), MustDecimal("0"), MustDecimal("20000")}
	pairs := 0
	for _, u := range Units() {
		for _, v := range Units() {
			if u.Kind != v.Kind {
				continue
			}
			pairs++
			for _, x := range values {
				y, err := u.Unit.Convert(x, v.Unit)
				if err != nil {
					t.Errorf("%s %s in %s: %v", x, u.Unit, v.Unit, err)
					continue
				}
				back, err := v.Unit.Convert(y, u.Unit)
				if err != nil {
					t.Errorf("%s %s in %s: %v", y, v.Unit, u.Unit, err)
				} else if !near(back, x, 1e-30) {
					t.Errorf("%s %s is %s %s, and back %s", x, u.Unit, y, v.Unit, back)
				}
			}
		}
	}
	if pairs < 500 {
		t.Errorf("only %d pairs of units tried", pairs)
	}
}

// near reports whether a and b agree to the relative tolerance, which counts
// from 1 for small numbers.
func near(a, b Decimal, tolerance float64) bool {
	diff := new(big.Rat).Sub(a.Rat(), b.Rat())
	bound := new(big.Rat).SetFloat64(tolerance * math.Max(1, math.Abs(b.Float64())))
	return diff.Abs(diff).Cmp(bound) <= 0
}

// TestConvertIsExactWhereItCanBe compares with fractions of math/big.
func TestConvertIsExactWhereItCanBe(t *testing.T) {
	units := Units()
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(units).Draw(t, "from")
		v := rapid.SampledFrom(units).Draw(t, "to")
		if u.Kind != v.Kind {
			t.Skip("different kinds")
		}
		x := drawDecimal(t, "value")
		got, err := u.Unit.Convert(x, v.Unit)
		if err != nil {
			t.Fatal(err)
		}
		want := x.Rat()
		want.Add(want, u.Offset)
		want.Mul(want, new(big.Rat).Quo(u.Factor, v.Factor))
		want.Sub(want, v.Offset)
		if u.Unit != v.Unit && got.Decimals() != got.Trim().Decimals() {
			t.Fatalf("%s %s in %s is %s, with trailing zeros", x, u.Unit, v.Unit, got)
		}
		if _, exact := want.FloatPrec(); exact {
			if got.Rat().Cmp(want) != 0 {
				t.Fatalf("%s %s in %s is %s, want exactly %s", x, u.Unit, v.Unit, got, want)
			}
			return
		}
		diff := new(big.Rat).Sub(got.Rat(), want)
		limit := new(big.Rat).Mul(new(big.Rat).Abs(want), tenTo(-33)) // half a unit of the 34th digit, or less
		if diff.Abs(diff).Cmp(limit) > 0 {
			t.Fatalf("%s %s in %s is %s, want %s", x, u.Unit, v.Unit, got, want)
		}
	})
}

func TestConvertLongDigits(t *testing.T) {
	long := strings.Repeat("9", 790)
	got, err := Unit("h").Convert(MustDecimal(long), "s")
	want, _ := new(big.Int).SetString(long, 10)
	want.Mul(want, big.NewInt(3600))
	if err != nil || got.String() != want.String() {
		t.Errorf("790 digits of hours in seconds: %.20s… (%d digits), %v", got, len(got.String()), err)
	}
}

func TestConvertErrors(t *testing.T) {
	one := MustDecimal("1")
	for _, tt := range []struct {
		from, to Unit
		want     error
	}{
		{"V", "A", ErrUnitMismatch},
		{"W.h", "mA.h", ErrUnitMismatch},
		{"Hz", "bit/s", ErrUnitMismatch}, // both per second, of different kind
		{"N.m", "J", ErrUnitMismatch},    // torque is no energy, SI Brochure 9 §2.3.4
		{"%", "dB", ErrUnitMismatch},
		{"deg", "%", ErrUnitMismatch},
		{"{cycle}", "{turn}", nil}, // both counts
		{"W", "V.A", nil},          // UCUM has them commensurable, units-ucum.md
		{"Cel", "K", nil},
		{"W.s", "J", nil}, // a unit outside the table is of any kind of its dimensions
		{"Wh", "J", ErrUnknownUnit},
		{"J", "Wh", ErrUnknownUnit},
		{"", "V", ErrUnknownUnit},
	} {
		_, err := tt.from.Convert(one, tt.to)
		if !errors.Is(err, tt.want) {
			t.Errorf("1 %s in %s: error %v, want %v", tt.from, tt.to, err, tt.want)
		}
		var mismatch *UnitMismatchError
		if tt.want == ErrUnitMismatch &&
			(!errors.As(err, &mismatch) || mismatch.From != tt.from || mismatch.To != tt.to) {
			t.Errorf("1 %s in %s: %#v does not name the units", tt.from, tt.to, err)
		}
	}
}

// TestUnknownUnit: what a caller gets for a unit outside the table.
func TestUnknownUnit(t *testing.T) {
	for _, u := range []Unit{"", "Wh", "m.kg"} {
		if i, ok := u.Info(); ok {
			t.Errorf("Info(%q) = %+v", u, i)
		}
		if u.Kind() != KindOther || u.Scale() != 1 || u.Symbol() != string(u) {
			t.Errorf("%q: kind %v, scale %v, symbol %q", u, u.Kind(), u.Scale(), u.Symbol())
		}
	}
}

func FuzzParseUnit(f *testing.F) {
	for _, tt := range unitCodes {
		f.Add(tt.code)
	}
	pattern := regexp.MustCompile(unitPattern())
	f.Fuzz(func(t *testing.T, code string) {
		info, err := ParseUnit(code)
		if err != nil {
			if !errors.Is(err, ErrUnknownUnit) {
				t.Fatalf("%q: %v", code, err)
			}
			return
		}
		if info.Factor.Sign() <= 0 || info.Scale < 0 || math.IsNaN(info.Scale) {
			t.Fatalf("%q: factor %v, scale %v", code, info.Factor, info.Scale)
		}
		if !pattern.MatchString(code) {
			t.Fatalf("%q parses and the schema's pattern refuses it", code)
		}
		x, err := Unit(code).Convert(NewDecimal(325, -2), Unit(code))
		if err != nil || x.String() != "3.25" {
			t.Fatalf("%q: 3.25 of it is %v of it, %v", code, x, err)
		}
	})
}

func BenchmarkConvert(b *testing.B) {
	for _, bb := range []struct {
		name     string
		from, to Unit
	}{
		{"shift", "mA.h", "A.h"},
		{"fraction", "W.h", "J"},
		{"offset", "Cel", "[degF]"},
		{"parsed", "mA.h.V", "W.h"},
	} {
		b.Run(bb.name, func(b *testing.B) {
			x := MustDecimal("20000")
			b.ReportAllocs()
			for b.Loop() {
				if _, err := bb.from.Convert(x, bb.to); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
