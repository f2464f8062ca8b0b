package query

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// parts stands for the kinds of part of an archive.
var testParser = Parser{Parts: func(w string) bool {
	return w == "fuse" || w == "capacitor" || w == "bulk capacitor" || w == "mosfet"
}}

var parseCases = []struct{ text, want string }{
	{"", ""},
	{"  ", ""},
	{"lantern", "lantern"},
	{"Lantern bank", "Lantern and bank"},
	{"lantern, bank; pier", "lantern and bank and pier"},
	{`"325 amps"`, `"325 amps"`},
	{`"a \"b\" \\ c"`, `"a \"b\" \\ c"`},
	{"a and b or c", "(a and b) or c"},
	{"varistor > 300 V", "varistor > 300 V"},
	{"NTC thermistor resistance < 5 kOhm", "ntc thermistor resistance < 5 kΩ"},
	{"thermistor < 5 kOhm", "thermistor < 5 kΩ"},
	{"x capacitor voltage = 275 V", "x capacitor voltage = 275 V"},
	{"relay current 5 A", "relay current = 5 A"},
	{"relay 5 A", "relay and = 5 A"},
	{"relay current", "relay and current"},
	{"display > 2 in", "display > 2 in"},
	{"torque > 3 Nm", "torque > 3 N·m"},
	{"a or b c", "a or (b and c)"},
	{"(a or b) c", "(a or b) and c"},
	{"not a b", "not a and b"},
	{"not (a b)", "not (a and b)"},
	{"NOT a AND b Or c", "(not a and b) or c"},
	{"not not a", "not not a"},
	{`"and" or "or"`, `"and" or "or"`},
	{"glim*", "glim*"},
	{"maker:Oakwharf", `maker:"Oakwharf"`},
	{"Maker: Oakwharf", `maker:"Oakwharf"`},
	{`maker:"Oak wharf"`, `maker:"Oak wharf"`},
	{"maker:oak*", "maker:oak*"},
	{"cell:21700", `cell:"21700"`},
	{"21700", "21700"},
	{"2x21700", "2x21700"},
	{"3S2P", "3S2P"}, // whole, it is no unit
	{"power >= 65 W", "power >= 65 W"},
	{"power>=65W", "power >= 65 W"},
	{"power ≥ 65 watts", "power >= 65 W"},
	{"power:65W", "power = 65 W"},
	{"power: > 65 W", "power > 65 W"},
	{"capacitance 300..500 uF", "capacitance 300..500 µF"},
	{"capacitance 300uF..0.5mF", "capacitance 0.3..0.5 mF"},
	{"capacitance 300..500uF energy < 100 Wh", "capacitance 300..500 µF and energy < 100 Wh"},
	{"cell:21700 energy > 70 Wh", `cell:"21700" and energy > 70 Wh`},
	{`protocol:UFCS level:"20 V 2.25 A"`, `protocol:"UFCS" and level:"20 V 2.25 A"`},
	{"fuse 2.5A", "fuse = 2.5 A"},
	{"fuse 2.5a", "fuse = 2.5 A"}, // not years
	{"not fuse 2.5A", "not fuse = 2.5 A"},
	{"fuse and 2.5A", "fuse and = 2.5 A"},
	{"lantern 15 W", "lantern and = 15 W"},
	{"bulk capacitor 400 V", "bulk capacitor = 400 V"},
	{"bulk capacitor capacitance 47uF", "bulk capacitor capacitance = 47 µF"},
	{"mosfet on_resistance < 10 mOhm", "mosfet on resistance < 10 mΩ"},
	{"MOSFET on resistance < 10 milliohms", "mosfet on resistance < 10 mΩ"},
	{"level current >= 3 A", "level current >= 3 A"},
	{"cell capacity 5,000 mAh", "cell capacity = 5000 mAh"},
	{"capacity 20,000 milliamp hours", "capacity = 20000 mAh"},
	{"cells >= 4", "cells >= 4"},
	{"cells 4", "cells = 4"},
	{"cells >= 4 and lantern", "cells >= 4 and lantern"},
	{"cells >= 4 lantern", "cells >= 4 and lantern"},
	{"efficiency >= 0.94", "efficiency >= 0.94"},
	{"efficiency >= 94%", "efficiency >= 94 %"},
	{"temperature > -5 °C", "temperature > -5 °C"},
	{"density > 0.5 W/cm3", "density > 0.5 W/cm³"},
	{"display 5", "display and 5"},
	{"5 in", "= 5 in"},
	{"output power > 100 W", "output power > 100 W"},
	{"USB-C", "USB-C"},
	{"power", "power"},
	{"level", "level"},
}

func TestParse(t *testing.T) {
	for _, c := range parseCases {
		q, err := testParser.Parse(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if got := q.String(); got != c.want {
			t.Errorf("%q reads as %q, want %q", c.text, got, c.want)
		}
	}
}

// Errors point at the place: the marks under the query.
var parseErrors = []struct{ text, marks, msg string }{
	{"power >= 65 Wats", "            ^^^^", "is no unit"},
	{"power >= 65Wats", "           ^^^^", "is no unit"},
	{"power >= ", "         ^", "a number should follow"},
	{"power >= lots", "         ^^^^", "a number should follow"},
	{"power >= 65 V", "^^^^^^^^^^^^^", "power is not said in V"},
	{"power >= 65", "^^^^^^^^^^^", "power is not said in a bare number"},
	{">= 65", "^^^^^", "what is compared is missing"},
	{"power 500..300 W", "      ^^^^^^^^^^", "begins above its end"},
	{"power >= 5..10 W", "      ^^^^^^", "a comparison and a range together"},
	{"prtocol:PD", "^^^^^^^", "is no field"},
	{"lantern (a or b", "        ^", "not closed"},
	{`lantern "a b`, "        ^", "not closed"},
	{"a or", "    ^", "something should follow"},
	{"a and or b", "      ^^", "nothing stands before"},
	{"or b", "^^", "nothing stands before"},
	{"a )", "  ^", "not expected"},
	{"not", "   ^", "something should follow"},
	{"maker:", "      ^", "the value of maker is missing"},
	{`""`, "^^", "no word"},
	{"!!", "^^", "no word"},
	{`level:"20 V > 3 A"`, "            ^", "neither a word nor a quantity"},
	{": a", "^", "not expected"},
	{"größe prtocol:PD", "      ^^^^^^^", "is no field"},
	{strings.Repeat("(", 100), strings.Repeat(" ", maxDepth) + "^", "nested"},
}

func TestParseErrorsPointAtThePlace(t *testing.T) {
	for _, c := range parseErrors {
		_, err := testParser.Parse(c.text)
		var q *Error
		if !errors.As(err, &q) {
			t.Errorf("%q: %v, want a query error", c.text, err)
			continue
		}
		if !strings.Contains(err.Error(), c.msg) {
			t.Errorf("%q: %v, want %q", c.text, err, c.msg)
		}
		if got := q.Show(); got != c.text+"\n"+c.marks {
			t.Errorf("%q shows\n%s\nwant\n%s", c.text, got, c.text+"\n"+c.marks)
		}
	}
	if _, err := (Parser{}).Parse(strings.Repeat("a ", maxQuery)); err == nil {
		t.Error("a query beyond the bound is read")
	}
}

func TestSuggestions(t *testing.T) {
	for _, c := range []struct{ text, hint string }{
		{"prtocol:PD", "did you mean protocol?"},
		{"protcl:PD", "did you mean protocol?"},
		{"makr:x", "did you mean maker?"},
		{"brand:x", "did you mean maker?"},
		{"power >= 3 wat", "did you mean watt?"},
		{"zzzz:x", "there are board, cell, chemistry"},
	} {
		_, err := Parser{}.Parse(c.text)
		var q *Error
		if !errors.As(err, &q) || !strings.HasPrefix(q.Hint, c.hint) || c.hint == "" {
			t.Errorf("%q: %v, want the hint %q", c.text, err, c.hint)
		}
	}
}

// A query written and read again is the same.
func reads(t interface {
	Helper()
	Fatalf(string, ...any)
}, text string) {
	t.Helper()
	q, err := testParser.Parse(text)
	if err != nil {
		var e *Error
		if !errors.As(err, &e) {
			t.Fatalf("%q: %v is no Error", text, err)
		}
		if e.Span.Start < 0 || e.Span.End < e.Span.Start || e.Span.Start > len(text) || e.Span.End > len(text) {
			t.Fatalf("%q: error at %v, outside the query", text, e.Span)
		}
		e.Show()
		return
	}
	written := q.String()
	again, err := testParser.Parse(written)
	if err != nil {
		if len(written) > maxQuery || strings.Contains(err.Error(), "nested") {
			return // brackets and quotes were added
		}
		t.Fatalf("%q is written %q, which does not read: %v", text, written, err)
	}
	if again.String() != written || !reflect.DeepEqual(bare(q.Root), bare(again.Root)) {
		t.Fatalf("%q is written %q, which reads as %q", text, written, again)
	}
}

// bare is a node without places and with numbers as spelled, to compare.
func bare(n Node) any {
	switch n := n.(type) {
	case *And:
		all := []any{"and"}
		for _, k := range n.Kids {
			if a, ok := k.(*And); ok { // (a b) c is a b c
				all = append(all, bare(a).([]any)[1:]...)
				continue
			}
			all = append(all, bare(k))
		}
		return all
	case *Or:
		all := []any{"or"}
		for _, k := range n.Kids {
			all = append(all, bare(k))
		}
		return all
	case *Not:
		return []any{"not", bare(n.Kid)}
	case *Word:
		return []any{n.Text, n.Quoted, n.Prefix}
	case *Field:
		return []any{n.Field, n.Value, n.Prefix}
	case *Item:
		return []any{n.Item, n.text, n.Words, len(n.Exact)}
	case *Condition:
		return []any{n.Path, n.group, n.prop, spelled(n.Low, n.Unit), spelled(n.High, n.Unit)}
	}
	return nil
}

// spelled is an end of an interval in the base unit.
func spelled(b Bound, u schema.Unit) any {
	if b.Unbounded {
		return "unbounded"
	}
	v, kind := SI(b.Value, u)
	return []any{v.Trim().String(), kind, b.Open}
}

func FuzzParse(f *testing.F) {
	for _, c := range parseCases {
		f.Add(c.text)
	}
	for _, c := range parseErrors {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) { reads(t, text) })
}

func TestQueriesReadAsWritten(t *testing.T) {
	pieces := []string{"and", "or", "not", "(", ")", "a", "fuse", "power", "level", "cells", ":", `"`, "65", "W", "..", ">=", "<", "=", "uF", "maker:", `level:"20 V"`, "*", "-", "1.5", "mΩ", " ", " ", "  "}
	rapid.Check(t, func(t *rapid.T) {
		reads(t, strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 14).Draw(t, "pieces"), ""))
	})
}

// Every row of the tables is what its header says.
func TestTables(t *testing.T) {
	known := map[string]bool{"-": true, NumberKind: true}
	for k := schema.KindUnknown + 1; k < schema.KindOther; k++ {
		known[k.String()] = true
		if _, ok := BaseUnits()[k]; !ok {
			t.Errorf("bases.tsv: no row for %s", k)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/bases.tsv").Rows {
		if k := schema.Unit(r.Get("base")).Kind().String(); k != r.Get("kind") {
			t.Errorf("bases.tsv:%d: %s is of kind %s", r.Line, r.Get("base"), k)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/subjects.tsv").Rows {
		if role := r.Get("role"); role != "property" && role != "group" {
			t.Errorf("subjects.tsv:%d: role %q", r.Line, role)
		}
		for _, k := range strings.Split(r.Get("kinds"), "|") {
			if !known[k] {
				t.Errorf("subjects.tsv:%d: kind %q", r.Line, k)
			}
		}
		if w := r.Get("words"); w != Folded(w) {
			t.Errorf("subjects.tsv:%d: %q is not folded", r.Line, w)
		}
	}
	before := schema.Decimal{}
	for i, c := range Known().classes {
		if !c.last && c.top.Cmp(before) <= 0 {
			t.Errorf("classes.tsv: class %d is out of order", i)
		}
		before = c.top
	}
	for _, c := range []struct{ watts, class string }{{"5", "up to 15 W"}, {"15", "up to 15 W"},
		{"15.01", "up to 30 W"}, {"100", "up to 100 W"}, {"240", "up to 240 W"}, {"241", "over 240 W"}} {
		if got := Known().ClassOf(schema.MustDecimal(c.watts)); got != c.class {
			t.Errorf("%s W is of class %q, want %q", c.watts, got, c.class)
		}
	}
}
