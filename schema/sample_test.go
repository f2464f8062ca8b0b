package schema

import (
	"reflect"
	"strings"
	"testing"
)

// sampleRecord is a record with every field filled: an invented power bank,
// reviewed by nobody. Each call makes a new one; mutate it freely.
func sampleRecord(mutations ...func(*Record)) *Record {
	at, end := Seconds(62_205), Seconds(754_000)
	value := func(q string, basis Basis) Value {
		return Value{MustQuantity(q), basis, StatusHeard, 0.98, QualifierNone, []int{1}}
	}
	claimed := func(q string) *Value { v := value(q, BasisClaimed); return &v }
	measured := func(q string) *Value { v := value(q, BasisMeasured); return &v }
	typical := MustDecimal("118")

	mass := measured("412 g")
	mass.Qualifier = QualifierAbout

	triple := Between(MustDecimal("100"), MustDecimal("130"), "mOhm")
	triple.Typical = &typical
	triple.Tolerance = &Tolerance{MustDecimal("5"), "%"}

	r := &Record{
		Version: RecordVersion,
		Source: Source{File: "tarn-20.vtt", SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
			Date: "2026-05-04", Format: "vtt", Duration: &end, Problems: []string{"line 40: cue ends before it starts"},
			Review: "tarn-20", Title: "Tarn 20, second look", Parts: []Part{
				{File: "tarn-20-1.vtt", SHA256: strings.Repeat("1", 64)},
				{File: "tarn-20-2.vtt", SHA256: strings.Repeat("2", 64), From: 812, Start: 61500},
			}},
		Product: Product{Kind: "power bank", Name: "Tarn 20", Maker: "Fellwright", Model: "FW-T20",
			Marks:   []string{"CE"},
			Settled: []SettledName{{"maker", "fell right", "Fellwright", &at, &Span{12, 22}}}},
		Body: Body{
			Dimensions: []Value{value("104.5 mm", BasisMeasured), value("68.1 mm", BasisMeasured),
				value("27 mm", BasisMeasured)},
			Mass: mass, Volume: claimed("192 cm3"), Density: claimed("0.52 W/cm3"), Display: claimed("1.3 [in_i]"),
			Other:     []Rating{{"thickness", value("2.0 mm", BasisMeasured)}},
			Materials: []string{"polycarbonate"},
		},
		Claims: []Claim{{"power", "output", "USB-C1", "PD", value("100 W", BasisClaimed)}},
		Ports:  []Port{{"USB-C1", []string{"PD", "PPS"}}},
		Levels: []Level{{"level-715", "output", "USB-C1", "PPS", value("3.3..21 V", BasisLabel), claimed("5 A"),
			claimed("100 W")}},
		Battery: &Battery{
			Cell: Cell{Maker: "Odenmark", Part: "OD-50E", Format: "21700", Chemistry: "lithium ion", Count: 4,
				Series: 2, Parallel: 2,
				Capacity: claimed("5000 mA.h"), Voltage: claimed("3.6 V"), ChargeLimit: claimed("4.2 V"),
				Cutoff: claimed("2.5 V"),
				Energy: claimed("18 W.h"), Mass: measured("69.5 g"), Resistance: measured("17.2 mOhm"),
				Cycles: claimed("500 {cycle}")},
			Pack: Pack{claimed("20000 mA.h"), claimed("3.6 V"), claimed("10 A"), claimed("8.4 V"), claimed("5.0 V"),
				claimed("72 W.h"), measured("280 g")},
			Rated: Pack{claimed("12000 mA.h"), claimed("5 V"), claimed("3 A"), claimed("5.25 V"), claimed("4.5 V"),
				claimed("60 W.h"),
				measured("280 g")},
			Other: []Value{value("80 %", BasisDerived)},
		},
		Cable: &Cable{Length: claimed("0.5 m"), Diameter: measured("4.2 mm"), Mass: measured("21 g"),
			Voltage: claimed("20 V"), Current: claimed("5 A"),
			Power: claimed("100 W"), DataRate: claimed("480 Mbit/s"), Resistance: measured("96 mOhm"), EMarker: "yes",
			Gauge: []int{20, 28}},
		Components: []Component{{ID: "part-1310", Board: "main", Side: "front", Kind: "bulk capacitor",
			Function: "input smoothing", Count: 2, Maker: "Halden",
			Part: "HC33-420", Package: "radial", Topology: "flyback",
			Ratings: []Rating{{"capacitance", value("33 uF", BasisLabel)}},
			At:      &at, Status: StatusRepaired, Heard: "two 420 volt 33 mike caps"}},
		Measurements: []Measurement{{"temperature", value("48.5 Cel", BasisMeasured),
			&Condition{"output", "USB-C1", "PD", claimed("230 V"),
				measured("20 V"), measured("5 A"), measured("100 W"), measured("25 Cel"), measured("30 min")}, "top"}},
		Notes: []Note{{"the lid is glued", &at}},
		Terms: []SaidTerm{{Heard: "Hall then", Meant: "Halden", Kind: TermMaker, At: &at, Span: Span{1300, 1309},
			Spans:  []Span{{1300, 1309}, {1340, 1349}},
			Status: StatusRepaired, Confidence: 0.96, Readings: []TermReading{{"Halden", 0.96}, {"Hallthen", 0.04}},
			Place: "components[0].maker",
			Why:   []string{"the glossary has Halden"}, Glossary: true}},
		NamesToCheck: []NameToCheck{{"Fell right", "maker", []string{"Fell right"}, &at}},
		Quantities: []Said{
			{Number: 1, At: &at, Media: "#t=62.205,65", Span: Span{1402, 1421}, Spans: []Span{{1402, 1421}, {1502, 1521}},
				Heard: "about 20 volts at 325", Context: "that gives about 20 volts at 325 amperes", Kind: KindCurrent,
				Quantity: MustQuantity("3.25 A"), Qualifier: QualifierAbout, Status: StatusRepaired, Confidence: 0.97,
				Readings: []Reading{
					{MustQuantity("3.25 A"), 0.97, []Term{{"prior", -1.5, "65 W at 20 V"}}},
					{MustQuantity("325 A"), 0.03, []Term{{"prior", -12, "far above 5 A"}}},
				},
				Role: "level.current", Place: "levels[0].current", Withdrawn: true,
				Why: []string{"325 A is above the 5 A a cable may carry"}},
			{Number: 2, At: nil, Span: Span{2000, 2010}, Heard: "118 milliohms", Kind: KindResistance, Quantity: triple,
				Belongs: []Belonging{{BelongsTo{To: "part", Part: "MOSFET"}, "rating of a part, MOSFET", 0.7, true},
					{BelongsTo{To: "level.output", Port: "USB-C1"}, "output level, USB-C1", 0.3, false}},
				BelongsSettled: true, Aside: AsideOther, Status: StatusOpen, Confidence: 0.5, Nothing: 0.25,
				Information: 1.25, Readings: []Reading{{triple, 0.5, nil}}, Why: []string{}},
		},
		Unplaced:  []int{2},
		Withdrawn: []int{1},
		Findings: []Finding{{Rule: "cable-current", Severity: SeverityError, Message: "325 A is above 5 A",
			Paths: []string{"levels[0].current"},
			Said:  []int{1}, At: []Seconds{at}, Source: "handbook 2.9", Standing: "verified",
			Proposal: &Quantity{Low: MustDecimal("3.25"),
				High: MustDecimal("3.25"), Unit: "A"}, Positions: []Position{{40, 1}}}},
		Counts:   Counts{2, 0, 1, 0, 0, 1, 1},
		Cautions: []string{"Lithium cells can burn; leave opening them to people trained for it."},
	}
	for _, m := range mutations {
		m(r)
	}
	return r
}

// TestSampleIsFull keeps the sample honest: a field added to the record must
// be added to it, or the tests made from it would not see the field.
func TestSampleIsFull(t *testing.T) {
	filled := map[string]bool{}
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Struct:
			for f := range v.Type().NumField() {
				name := v.Type().Name() + "." + v.Type().Field(f).Name
				if v.Type().Field(f).IsExported() {
					filled[name] = filled[name] || !v.Field(f).IsZero()
					walk(v.Field(f))
				}
			}
		}
	}
	walk(reflect.ValueOf(sampleRecord()).Elem())
	if len(filled) < 100 {
		t.Fatalf("only %d fields walked", len(filled))
	}
	for name, ok := range filled {
		// a settled quantity and a heard one are not in the sample's two
		if !ok && name != "Counts.Settled" && name != "Counts.Heard" && name != "Counts.Open" && name != "Span.Start" {
			t.Errorf("the sample does not fill %s", name)
		}
	}
}
