package normalize

import (
	"sort"
	"strconv"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/testdata/tabletest"
	"saywatt/schema"
)

// sorted lists what is in a set.
func sorted(set map[string]bool) []string {
	var s []string
	for k := range set {
		s = append(s, k)
	}
	sort.Strings(s)
	return s
}

// unitCases are texts, and units that the last number of each must (or,
// behind "!", must not) be able to have, with the distortion that gives it.
var unitCases = []variantCase{
	// said clearly
	{"65 watts", "W intact; V unit_swapped; W.h hour_lost; mW prefix_lost", "dev recognised: volts for watts; row 5"},
	{"20 volts", "V intact; W unit_swapped; A unit_swapped; mV prefix_lost", "dev recognised; handbook 9.2"},
	{"5 amps", "A intact; A.h hour_lost; mA prefix_lost", "row 5; handbook 9.2"},
	{"2130 milliamps of charge", "mA intact; mA.h hour_lost", "row 5"},
	{"220 farads", "F intact; uF prefix_lost; nF prefix_lost", "dev stress: micro lost"},
	{"47 henries", "H intact; uH prefix_lost", "handbook 1.3"},
	{"5 megaohms", "MOhm intact; mOhm letter_case", "handbook 9.3(5): letter case M and m"},
	{"5 MΩ", "MOhm intact; mOhm letter_case", "handbook 9.3(5): letter case M and m"},
	{"220 mF", "mF intact; uF prefix_wrong", "handbook 9.2"},
	{"85 megahertz", "MHz intact; kHz prefix_wrong", "handbook 9.3(6)"},
	{"12 ohms", "Ohm intact; mOhm prefix_lost; kOhm prefix_lost", "handbook 9.2"},
	{"5 milliohms", "mOhm intact; !Ohm prefix_lost; !MOhm prefix_wrong", "said clearly, and the right size"},
	{"3 grams", "g intact; kg prefix_lost", "handbook 9.2"},
	{"40 degrees", "Cel intact; deg intact", "degrees of what"},
	{"5 megabytes per second", "MBy/s intact; Mbit/s prefix_wrong", "handbook 1.2"},
	// another word shown for the unit
	{"37 what hours", "W.h unit_misheard", "row 1"},
	{"5.92 Y hour", "W.h unit_misheard", "row 1"},
	{"283 watch", "W unit_misheard", "row 2"},
	{"65 what power supply", "W unit_misheard", "row 2"},
	{"74 watt our", "W.h unit_misheard", "row 3"},
	{"16 amp our", "A.h unit_misheard", "row 3"},
	{"3100 million power unit", "mA.h unit_misheard", "row 4"},
	{"700 million hours", "mA.h unit_misheard", "row 4"},
	{"3350 milliamp power unit", "mA.h unit_misheard", "row 5"},
	{"10 million volts", "mV unit_misheard", "row 6"},
	{"100 million amps", "mA unit_misheard", "row 6"},
	{"5 million ohms", "mOhm unit_misheard", "row 6"},
	{"5.7 apps", "A unit_misheard", "row 7"},
	{"6.3 em", "A unit_misheard", "row 7"},
	{"2.05 faults", "V unit_misheard", "row 7"},
	{"5 vols", "V unit_misheard", "row 7"},
	{"1.6 homes", "Ohm unit_misheard", "row 7"},
	{"We open it. The fuse is 2 amps. The MOSFET is 30 volts and 165 million", "mOhm unit_misheard; !MOhm unit_misheard", "dev stress: milliohms cut short"},
	{"37. What hours", "W.h unit_misheard", "row 17"},
	{"239. Grams", "g intact", "row 17"},
	// no unit at all
	{"The output voltage goes 9.34 volts, 9.35", "V unit_dropped", "row 19"},
	{"20 volts at 3", "A unit_dropped; !V unit_dropped", "row 23: current behind a voltage"},
	{"20 volts, 3", "A unit_dropped", "row 23: current behind a voltage"},
	{"9 volts 3 amps, 12 and 2.5 amps", "A intact", "row 23"},
	{"The weight is 120", "g unit_dropped", "what the property word calls for"},
	{"The efficiency is 92", "% unit_dropped", "what the property word calls for"},
	{"The ripple is 40", "mV unit_dropped", "what the property word calls for"},
	{"The bulk capacitor is 400 volts, 33", "uF unit_dropped; V unit_dropped", "what the part has"},
	{"It has 3 ports", "!A unit_dropped; !V unit_dropped", "a count of things"},
	{"Chapter three", "!A unit_dropped; !V unit_dropped", "nothing calls for a unit"},
	// a sign stuck to the number
	{"It costs $9", "!V sign_stuck", "a price"},
}

// bareCases ask for the unit of a bare number that stands before others.
var bareCases = []struct {
	heard   string
	mention int
	want    string
}{
	{"5, 9 and 12 volts", 0, "V intact"},
	{"5, 9 and 12 volts", 1, "V intact"},
	{"$9 3 amps", 0, "V sign_stuck"},
	{"5 volts 3 amps, $9 3 amps", 2, "V sign_stuck"},
	{"20 at 3 amps", 0, "V unit_dropped"},
	{"30 watts plus 20 plus 15 watts", 1, "W intact"},
	{"52 by 41 by 31 millimetres", 0, "mm intact"},
}

// optionsOf lists the units that mention i of the engine may have.
func optionsOf(e *engine, i int32) map[string]bool {
	e.nodes, e.cands = nil, nil
	e.build()
	k := 0
	for k < len(e.nodes) && e.nodes[k].last <= i {
		k++
	}
	e.nodes = e.nodes[:k]
	e.options = e.options[:0]
	e.decoder.Single(e.mention(i))
	e.setTurn(i)
	e.units(i)
	got := map[string]bool{}
	for _, o := range e.options {
		got[string(o.unit)+" "+names(o.by)] = true
	}
	return got
}

func TestUnitOptions(t *testing.T) {
	check := func(heard, wants, from string, got map[string]bool) {
		for _, want := range strings.Split(wants, "; ") {
			option, unwanted := strings.CutPrefix(want, "!")
			if got[option] == unwanted {
				t.Errorf("%q (%s): want %s; got %v", heard, from, want, sorted(got))
			}
		}
	}
	for _, c := range unitCases {
		e := engineOf(t, c.heard)
		if len(e.doc.Mentions) == 0 {
			t.Errorf("%q: no mention", c.heard)
			continue
		}
		check(c.heard, c.want, c.from, optionsOf(e, int32(len(e.doc.Mentions)-1)))
	}
	for _, c := range bareCases {
		e := engineOf(t, c.heard)
		check(c.heard, c.want, "before others", optionsOf(e, int32(c.mention)))
	}
}

// Every row of unitconfusions.tsv is an option of its heard unit, and no unit
// is an option twice.
func TestUnitConfusions(t *testing.T) {
	c := channel.Default()
	for _, r := range tabletest.Rows(t, "channel/tables", "unitconfusions.tsv") {
		heard, meant := schema.Unit(r.Get("heard")), schema.Unit(r.Get("meant"))
		e := &engine{costs: c}
		e.clearUnit(&extract.Mention{}, heard, 0)
		seen := map[schema.Unit]int{}
		found := false
		for _, o := range e.options {
			seen[o.unit]++
			if o.unit == meant {
				found = true
				if o.literal || o.by.String() != r.Get("distortion") || o.cost < c.Of(o.by) {
					t.Errorf("line %d: %s for %s: %+v", r.Line, heard, meant, o)
				}
			}
			if o.unit == heard && (!o.literal || o.cost != 0) {
				t.Errorf("line %d: %s as heard: %+v", r.Line, heard, o)
			}
		}
		if !found {
			t.Errorf("line %d: %s is no option of %s", r.Line, meant, heard)
		}
		for u, n := range seen {
			if n > 1 {
				t.Errorf("line %d: %s is an option %d times", r.Line, u, n)
			}
		}
	}
}

// A number is brought up or down by a million exactly, whatever its form.
func TestByMillion(t *testing.T) {
	for _, c := range []struct{ in, down, up string }{
		{"165000000", "165", "165000000000000"}, {"1500000", "1.5", "1500000000000"}, {"4.7", "0.0000047", "4700000"},
		{"1", "0.000001", "1000000"}, {"0.05", "0.00000005", "50000"}, {"0", "0", "0"},
	} {
		for _, x := range []struct {
			sign int8
			want string
		}{{-1, c.down}, {1, c.up}} {
			if got := byMillion(num(t, c.in), x.sign).Decimal().Trim().String(); got != x.want {
				t.Errorf("%s by 10^(6×%d) is %s, want %s", c.in, x.sign, got, x.want)
			}
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
