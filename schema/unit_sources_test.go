package schema

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// ucumCodes are the codes of shared/units-ucum.md. Source: The Unified Code
// for Units of Measure (G. Schadow, C. J. McDonald; Regenstrief Institute),
// case-sensitive form; each was checked there with the npm package
// @lhncbc/ucum-lhc 7.1.10.
var ucumCodes = []struct {
	kind  Kind
	codes string
}{
	{KindVoltage, "V mV kV"},
	{KindCurrent, "A mA uA"},
	{KindPower, "W mW kW"},
	{KindApparentPower, "V.A"},
	{KindEnergy, "W.h kW.h J"},
	{KindCharge, "mA.h A.h"},
	{KindResistance, "Ohm mOhm"},
	{KindCapacitance, "F uF nF pF"},
	{KindInductance, "H mH uH nH"},
	{KindFrequency, "Hz kHz MHz GHz"},
	{KindLength, "mm cm m"},
	{KindLength, "[in_i]"},
	{KindArea, "mm2 cm2"},
	{KindMass, "g kg mg"},
	{KindTemperature, "Cel [degF]"},
	{KindTemperatureDifference, "K"}, // ours: kelvins are said of rises in this trade
	{KindRatio, "% [ppm]"},
	{KindTime, "s ms min h d"},
	{KindLevel, "dB"},
	{KindForce, "N"},
	{KindDataRate, "Mbit/s Gbit/s"},
	{KindData, "By MBy"},
	{KindRatio, "1"},
}

// notUCUM are the spellings that the same table calls invalid.
var notUCUM = []string{"Wh", "mAh", "Ω", "µF", "in", "AWG", "dB[mW]", "Ah", "kWh", "W·h", "W*h", "W h"}

func TestCodesOfUCUM(t *testing.T) {
	for _, row := range ucumCodes {
		for code := range strings.FieldsSeq(row.codes) {
			if i, ok := Unit(code).Info(); !ok || i.Kind != row.kind {
				t.Errorf("%s: in the table %v, kind %v, want %v", code, ok, Unit(code).Kind(), row.kind)
			}
		}
	}
	for _, code := range notUCUM {
		if _, err := ParseUnit(code); !errors.Is(err, ErrUnknownUnit) {
			t.Errorf("%s is no UCUM code and parses: %v", code, err)
		}
	}
	// codes that differ by case or brackets alone, from the "Traps" there
	for _, pair := range [][2]Unit{{"H", "h"}, {"MW", "mW"}, {"A", "a"}, {"F", "[degF]"}, {"S", "s"}, {"T", "t"}} {
		if pair[0].Kind() == pair[1].Kind() && pair[0].Scale() == pair[1].Scale() {
			t.Errorf("%s and %s are taken for the same", pair[0], pair[1])
		}
	}
}

// TestPublishedConversions holds conversions against published values.
func TestPublishedConversions(t *testing.T) {
	for _, tt := range []struct {
		value    string
		from, to Unit
		want     string
		source   string
	}{
		// shared/units-ucum.md, "Conversions verified": ucum-lhc 7.1.10 and GNU Units 2.22
		{"11.1", "W.h", "J", "39960", "units-ucum.md"},
		{"74000", "mA.h.V", "W.h", "74", "units-ucum.md"},
		{"20000", "mA.h", "C", "72000", "units-ucum.md"},
		{"68.5", "Cel", "K", "341.65", "units-ucum.md"},
		{"68.5", "Cel", "[degF]", "155.3", "units-ucum.md"},
		{"118", "mOhm", "Ohm", "0.118", "units-ucum.md"},
		{"82.55", "mm", "[in_i]", "3.25", "units-ucum.md"},
		{"22", "uH", "nH", "22000", "units-ucum.md"},
		{"480", "Mbit/s", "MBy/s", "60", "units-ucum.md"},
		{"100", "V.A", "W", "100", "units-ucum.md"},
		// handbook 11.3; the UCUM functional tests (R3) round to significant
		// digits, so W58 and W59 are compared with the exact products
		{"6.3", "mm", "m", "0.0063", "W56, UCUM functional test 3-102"},
		{"6.3", "mm", "cm", "0.63", "W57, UCUM functional test 3-103"},
		{"6.30", "[in_i]", "m", "0.160020", "W58, UCUM functional test 3-118: 0.160 to 3 digits"},
		{"6.300", "[in_i]", "cm", "16.002", "W59, UCUM functional test 3-119: 16.0"},
		{"1", "S", "g-1.m-2.C2.s", "0.001", "W60, UCUM functional test 3-126"},
		{"0", "Cel", "K", "273.15", "W63, SI Brochure 9 §2.3.1"},
		{"1", "Cel/W", "K/W", "1", "W63, the step of Cel is 1 K"},
		{"2", "/Cel", "/K", "2", "W63, a unit below the line takes steps too"},
		{"4", "Cel2", "K2", "4", "W63, and so does a power"},
		{"1", "A.h", "C", "3600", "W64"},
		// by definition: international yard and pound, 1959 (from memory)
		{"1", "[in_i]", "mm", "25.4", "definition"},
		{"1", "[ft_i]", "[in_i]", "12", "definition"},
		{"1", "[yd_i]", "m", "0.9144", "definition"},
		{"1", "[mi_i]", "[yd_i]", "1760", "definition"},
		{"1", "[mil_i]", "um", "25.4", "definition"},
		{"1", "[lb_av]", "g", "453.59237", "definition"},
		{"1", "[lb_av]", "[oz_av]", "16", "definition"},
		{"1", "[gal_us]", "[cin_i]", "231", "definition"},
		{"1", "[cin_i]", "cm3", "16.387064", "definition"},
		{"-40", "Cel", "[degF]", "-40", "definition"},
		{"100", "Cel", "[degF]", "212", "definition"},
		{"32", "[degF]", "Cel", "0", "definition"},
		{"1", "kW.h", "MJ", "3.6", "SI Brochure 9, Table 8 with 1 h = 3600 s"},
		{"90", "km/h", "m/s", "25", "SI Brochure 9"},
		{"1", "W/[cin_i]", "W/cm3", "0.06102374409473228395275688189171654", "1/16.387064, computed with bc, 34 digits"},
		{"1", "L", "cm3", "1000", "SI Brochure 9, Table 8"},
		{"1", "t", "kg", "1000", "SI Brochure 9, Table 8"},
		{"1", "GBy", "Mbit", "8000", "UCUM 2.2: By is 8 bit"},
		{"1", "a", "d", "365.25", "UCUM 2.2: a is the mean Julian year"},
	} {
		got, err := tt.from.Convert(MustDecimal(tt.value), tt.to)
		if err != nil || !got.Equal(MustDecimal(tt.want)) {
			t.Errorf("%s %s in %s is %s, %v, want %s (%s)", tt.value, tt.from, tt.to, got, err, tt.want, tt.source)
		}
	}
	// handbook W62: codes that the functional tests (R3) call valid
	for code := range strings.FieldsSeq("mV V Ohm mm Cel % h min deg [oz_av]") {
		if _, err := ParseUnit(code); err != nil {
			t.Errorf("W62: %s: %v", code, err)
		}
	}
	// units-ucum.md, last row: 3.25 A times 20 V
	w, err := Unit("V.A").Convert(MustDecimal("3.25").Mul(MustDecimal("20")), "W")
	if err != nil || !w.Equal(MustDecimal("65")) {
		t.Errorf("3.25 A × 20 V = %s W, %v, want 65", w, err)
	}
}

// gnuAtoms translate our atoms where GNU Units spells them otherwise. Units
// that it does not know, or knows by another convention, are "".
var gnuAtoms = map[string]string{
	"Ohm": "ohm", "By": "byte", "Cel": "degC", "[degF]": "degF", "%": "percent", "[ppm]": "ppm", "h": "hour", "min": "minute", "d": "day",
	"wk": "week", "a": "julianyear", "mo": "(julianyear/12)", "[in_i]": "inch", "[ft_i]": "foot", "[yd_i]": "yard", "[mi_i]": "mile",
	"[mil_i]": "mil", "[oz_av]": "ounce", "[lb_av]": "pound", "[cin_i]": "(inch^3)", "[gal_us]": "(gallon)", "t": "tonne", "l": "liter",
	"L": "liter", "C": "coulomb", "S": "siemens", "F": "farad", "H": "henry", "T": "tesla", "g": "gram",
	"[psi]": "psi", "[HP]": "hp", "[stone_av]": "stone", "[lbf_av]": "lbf", "[foz_us]": "floz", "G": "gauss", "[kn_i]": "knot", "bar": "bar",
	"atm": "atm", "eV": "eV", "cal": "calorie_th",
	"deg": "", // GNU Units counts a degree as a part of a radian, the tables keep angles as said
	"B":   "", // a level has no linear factor
}

// gnuBase are the coherent units of the dimensions, in the order of Dims.
var gnuBase = [...]string{"kg", "m", "s", "A", "K"}

// gnuNotation writes a unit for GNU Units; false where it has no such unit.
func gnuNotation(u Unit) (string, bool) {
	if strings.Contains(string(u), "{") {
		return "", false // annotations are ours
	}
	t := loadUnits()
	var b strings.Builder
	rest, operator := string(u), " "
	for {
		n := componentLen(rest)
		part := rest[:n]
		exponent := strings.TrimLeft(part, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ[]_%")
		if part == "1" {
			exponent = ""
		}
		atom, prefix := strings.TrimSuffix(part, exponent), ""
		if _, ok := t.atoms[atom]; !ok {
			prefix, atom = atom[:1], atom[1:]
		}
		name, translated := gnuAtoms[atom]
		if !translated {
			name = atom
		}
		if name == "" {
			return "", false
		}
		if exponent != "" {
			exponent = "^" + exponent
		}
		fmt.Fprintf(&b, "%s%s%s%s", operator, prefix, name, exponent)
		if n == len(rest) {
			return strings.TrimSpace(b.String()), true
		}
		operator = map[byte]string{'.': " ", '/': "/"}[rest[n]]
		rest = rest[n+1:]
	}
}

// gnuTarget writes the coherent unit that our factor refers to. GNU Units
// gives bits and candelas dimensions of their own.
func gnuTarget(u UnitInfo) string {
	var b strings.Builder
	for i, d := range u.Dims {
		if d != 0 {
			fmt.Fprintf(&b, "%s^%d ", gnuBase[i], d)
		}
	}
	switch u.Kind {
	case KindData, KindDataRate:
		b.WriteString("bit")
	case KindLuminousFlux, KindIlluminance:
		b.WriteString("cd sr")
	case KindLuminousIntensity:
		b.WriteString("cd")
	}
	if b.Len() == 0 {
		return "1"
	}
	return strings.TrimSpace(b.String())
}

// TestUnitsAgainstGNU asks GNU Units, a general-purpose tool, for the factor
// of every unit of the table that it knows.
func TestUnitsAgainstGNU(t *testing.T) {
	program, err := exec.LookPath("units")
	if err != nil {
		t.Skip("GNU Units is not installed: apt-get install units")
	}
	type question struct {
		unit UnitInfo
		text string
	}
	var asked []question
	var input bytes.Buffer
	for _, u := range Units() {
		have, ok := gnuNotation(u.Unit)
		if !ok {
			continue
		}
		asked = append(asked, question{u, have + " in " + gnuTarget(u)})
		fmt.Fprintf(&input, "%s\n%s\n", have, gnuTarget(u))
	}
	if len(asked) < 140 {
		t.Fatalf("only %d units of the table in GNU notation", len(asked))
	}
	answers := runUnits(t, program, &input)
	if len(answers) != len(asked) {
		t.Fatalf("%d answers to %d questions:\n%s", len(answers), len(asked), strings.Join(answers, "\n"))
	}
	for i, q := range asked {
		got, err := strconv.ParseFloat(answers[i], 64)
		if err != nil {
			t.Errorf("%s (%s): GNU Units says %s: its name of the unit, or \"\" where it has none, is for gnuAtoms in "+
				"this file", q.unit.Unit, q.text, answers[i])
		} else if math.Abs(got-q.unit.Scale) > 1e-14*q.unit.Scale {
			t.Errorf("%s (%s): GNU Units says %s, the table %v", q.unit.Unit, q.text, answers[i], q.unit.Scale)
		}
	}
}

// TestTemperaturesAgainstGNU: scales with an offset need functions there.
func TestTemperaturesAgainstGNU(t *testing.T) {
	program, err := exec.LookPath("units")
	if err != nil {
		t.Skip("GNU Units is not installed: apt-get install units")
	}
	forms := map[Unit][2]string{"Cel": {"tempC(%s)", "tempC"}, "[degF]": {"tempF(%s)", "tempF"}, "K": {"%s K", "K"}}
	order := []Unit{"Cel", "[degF]", "K"}
	var input bytes.Buffer
	var want []Decimal
	for _, from := range order {
		for _, to := range order {
			for _, value := range []string{"300", "68.5", "25"} {
				fmt.Fprintf(&input, forms[from][0]+"\n%s\n", value, forms[to][1])
				w, err := from.Convert(MustDecimal(value), to)
				if err != nil {
					t.Fatal(err)
				}
				want = append(want, w)
			}
		}
	}
	answers := runUnits(t, program, &input)
	if len(answers) != len(want) {
		t.Fatalf("%d answers to %d questions", len(answers), len(want))
	}
	for i, w := range want {
		got, err := strconv.ParseFloat(answers[i], 64)
		if err != nil || math.Abs(got-w.Float64()) > 1e-9 {
			t.Errorf("question %d: GNU Units says %s, we %s", i, answers[i], w)
		}
	}
}

// runUnits puts pairs of lines, "you have" and "you want", to the program.
func runUnits(t *testing.T, program string, pairs *bytes.Buffer) []string {
	t.Helper()
	cmd := exec.Command(program, "-q", "-t", "-o", "%.17g")
	cmd.Env = append(cmd.Environ(), "LC_ALL=C", "UNITS_ENGLISH=US")
	cmd.Stdin = pairs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v", program, err)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}
