package schema

import (
	"encoding"
	"regexp"
	"testing"
)

// closedSet is what the tests need of an enum type.
type closedSet interface {
	String() string
	encoding.TextMarshaler
}

// TestEnums walks the name tables: one name a constant, read back as itself;
// the zero value and values past the end cannot be written.
func TestEnums(t *testing.T) {
	testEnum(t, "kind", kindNames[:], ParseKind, true)
	testEnum(t, "status", statusNames[:], ParseStatus, true)
	testEnum(t, "basis", basisNames[:], ParseBasis, true)
	testEnum(t, "severity", severityNames[:], ParseSeverity, true)
	testEnum(t, "kind of term", termKindNames[:], parseTermKind, true)
	testEnum(t, "aside", asideNames[:], ParseAside, false)
	testEnum(t, "qualifier", qualifierNames[:], ParseQualifier, false) // its zero means none, and is left out of JSON

	for _, tt := range []struct {
		what       string
		names, end int
	}{
		{"kinds", len(kindNames), int(kindEnd)},
		{"asides", len(asideNames), int(AsideGeneral) + 1},
		{"statuses", len(statusNames), int(StatusSettled) + 1},
		{"bases", len(basisNames), int(BasisDerived) + 1},
		{"qualifiers", len(qualifierNames), int(QualifierPeakToPeak) + 1},
		{"kinds of term", len(termKindNames), int(TermFeature) + 1},
		{"severities", len(severityNames), int(SeverityError) + 1},
	} {
		if tt.names != tt.end {
			t.Errorf("%d names for %d %s", tt.names, tt.end, tt.what)
		}
	}
	// one constant of each far end, against a shift in a table
	for got, want := range map[string]string{
		KindVoltage.String(): "voltage", KindOther.String(): "other", KindDataRate.String(): "data_rate",
		KindPowerDensity.String(): "power_density",
		StatusSettled.String():    "settled", BasisDerived.String(): "derived", QualifierAtMost.String(): "at_most",
		TermMaker.String(): "maker", QualifierNominal.String(): "nominal", SeverityError.String(): "error",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func testEnum[E interface {
	~uint8
	closedSet
}](t *testing.T, what string, names []string, parse func(string) (E, error), zeroUnusable bool) {
	t.Helper()
	form := regexp.MustCompile(`^[a-z]+(_[a-z]+)*$`)
	seen := map[string]bool{"": true}
	for i, name := range names {
		e := E(i)
		if i == 0 {
			continue
		}
		if !form.MatchString(name) || seen[name] {
			t.Errorf("%s %d: name %q", what, i, name)
		}
		seen[name] = true
		text, err := e.MarshalText()
		if err != nil || string(text) != name || e.String() != name {
			t.Errorf("%s %d is written %s, %v", what, i, text, err)
		}
		if back, err := parse(name); err != nil || back != e {
			t.Errorf("%s %q is read %d, %v", what, name, back, err)
		}
	}
	var zero E
	if _, err := zero.MarshalText(); (err != nil) != zeroUnusable {
		t.Errorf("%s 0 is written with error %v", what, err)
	}
	if _, err := parse(""); (err != nil) != zeroUnusable {
		t.Errorf("%s \"\" is read with error %v", what, err)
	}
	for _, e := range []E{E(len(names)), 255} {
		if _, err := e.MarshalText(); err == nil {
			t.Errorf("%s %d is written", what, uint8(e))
		}
		if s := e.String(); s == "" || s[0] != '?' {
			t.Errorf("%s %d prints as %q", what, uint8(e), s)
		}
	}
	for _, bad := range []string{"nonsense", " " + names[1], names[1] + "s", "0"} {
		if e, err := parse(bad); err == nil {
			t.Errorf("%s %q is read as %d", what, bad, uint8(e))
		}
	}
}

func TestQuantityKindsConvert(t *testing.T) {
	for _, tt := range []struct {
		k, l Kind
		want bool
	}{
		{KindVoltage, KindVoltage, true}, {KindVoltage, KindOther, true}, {KindPower, KindApparentPower, true},
		{KindTemperature, KindTemperatureDifference, true}, {KindEnergy, KindTorque, false}, {KindFrequency, KindDataRate, false},
		{KindRatio, KindCount, false},
	} {
		if tt.k.Convertible(tt.l) != tt.want || tt.l.Convertible(tt.k) != tt.want {
			t.Errorf("%v and %v: convertible is not %v", tt.k, tt.l, tt.want)
		}
	}
}

func TestLikeKind(t *testing.T) {
	nits := Quantity{Low: NewDecimal(400, 0), High: NewDecimal(400, 0), Unit: "{nits}"}
	for _, tt := range []struct {
		read, said Quantity
		want       bool
	}{
		{MustQuantity("21 V"), MustQuantity("3 mV"), true},
		{MustQuantity("21 V"), MustQuantity("3.21 A"), false},
		{MustQuantity("65 W"), MustQuantity("70 V.A"), true},
		{MustQuantity("65 W"), MustQuantity("65 W.h"), false},
		{MustQuantity("30 Cel"), MustQuantity("86 [degF]"), true},
		{nits, MustQuantity("400 V"), false},
		{MustQuantity("400 V"), nits, false},
		{nits, nits, true},
	} {
		said := Said{Quantity: tt.read, Readings: []Reading{{Quantity: tt.read}, {Quantity: MustQuantity("3.21 A")}}}
		if got := said.LikeKind(&tt.said); got != tt.want {
			t.Errorf("%s where %s is read: %v", tt.said, tt.read, got)
		}
	}
	if got := KindApparentPower.Words(); got != "apparent power" {
		t.Errorf("it is called %q", got)
	}
}
