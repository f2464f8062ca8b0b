package assemble

import (
	"fmt"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/normalize/prior"
	"saywatt/schema"

	"pgregory.net/rapid"
)

// TestLevelsSaid: ports and their levels said in any order and manner come
// back as the same levels, each at its port.
func TestLevelsSaid(t *testing.T) {
	spoken := map[string][]string{
		"USB-C1": {"USB-C1", "USB C 1", "see one", "USB see one", "C1", "u s b c one"},
		"USB-C2": {"USB-C2", "USB C 2", "see two", "USB see too", "C2", "u s b c two"},
		"USB-A":  {"USB-A", "USB A", "the USB A port", "type A"},
	}
	volts := []string{"5", "9", "12", "15", "20"}
	amps := []string{"1.5", "2", "2.25", "3", "5"}
	rapid.Check(t, func(t *rapid.T) {
		ports := rapid.Permutation([]string{"USB-C1", "USB-C2", "USB-A"}).Draw(t, "ports")
		stop := rapid.SampledFrom([]string{". ", ", and "}).Draw(t, "stop")
		verb := rapid.SampledFrom([]string{" is ", " gives ", " does ", ": "}).Draw(t, "verb")
		joint := rapid.SampledFrom([]string{" volts %s amps", " volts at %s amps", " V %s A", "V/%sA"}).Draw(t, "joint")
		var text, want strings.Builder
		text.WriteString("Output. ")
		for i, p := range ports {
			if i > 0 {
				text.WriteString(stop)
			}
			text.WriteString(rapid.SampledFrom(spoken[p]).Draw(t, "name"))
			text.WriteString(verb)
			vs := rapid.SliceOfNDistinct(rapid.SampledFrom(volts), 1, 4, rapid.ID[string]).Draw(t, "volts")
			for k, v := range vs {
				a := rapid.SampledFrom(amps).Draw(t, "amps")
				if k > 0 {
					text.WriteString(", ")
				}
				fmt.Fprintf(&text, "%s"+joint, v, a)
				fmt.Fprintf(&want, "%s %s V %s A\n", p, v, a)
			}
		}
		text.WriteString(".")
		r := filled(t, "said.txt", text.String())
		var got strings.Builder
		for i := range r.Levels {
			l := &r.Levels[i]
			a := "?"
			if l.Current != nil {
				a = l.Current.Quantity.Low.String()
			}
			fmt.Fprintf(&got, "%s %s V %s A\n", l.Port, l.Voltage.Quantity.Low, a)
		}
		if got.String() != want.String() {
			t.Fatalf("%s\ngot\n%swant\n%s", text.String(), got.String(), want.String())
		}
		if r.Counts.Unplaced > 0 {
			t.Fatalf("%s: %d without a place", text.String(), r.Counts.Unplaced)
		}
	})
}

// A frequency that was cut in two stands between the mains and their current, and
// voltages alone that name levels given before are these.
func TestLevelsSaidBriefly(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"The input is 100 to 240 volts, 50 60 hertz at 2 amps. USB-C1 is rated at 5 volts 3 amps, 9 volts 3 amps.",
			"input  100 V 2 A; output USB-C1 5 V 3 A; output USB-C1 9 V 3 A"},
		{"Output of USB-C1: 5 volts 3 amps, 9 volts 3 amps, 20 volts 5 amps. The fixed levels of USB-C1 are 5, 9 and " +
			"20 volts.", "output USB-C1 5 V 3 A; output USB-C1 9 V 3 A; output USB-C1 20 V 5 A"},
	} {
		r := filled(t, "brief.txt", tt.text)
		var got []string
		for i := range r.Levels {
			l := &r.Levels[i]
			a := "?"
			if l.Current != nil {
				a = l.Current.Quantity.Low.String()
			}
			got = append(got, fmt.Sprintf("%s %s %s V %s A", l.Mode, l.Port, l.Voltage.Quantity.Low, a))
		}
		if s := strings.Join(got, "; "); s != tt.want {
			t.Errorf("%s\n got %s\nwant %s", tt.text, s, tt.want)
		}
	}
}

// TestLoneNumber: a number without a unit that may be no voltage makes no level, but
// with a current beside it; it is in the record all the same.
func TestLoneNumber(t *testing.T) {
	for _, c := range []struct {
		joint  extract.Joint
		from   extract.UnitFrom
		status schema.Status
		levels int
	}{
		{extract.JointWord, extract.UnitNone, schema.StatusOpen, 0},
		{extract.JointWord, extract.UnitNone, schema.StatusRepaired, 1},
		{extract.JointWord, extract.UnitOwn, schema.StatusOpen, 1},
		{extract.JointAt, extract.UnitNone, schema.StatusOpen, 1},
	} {
		d := &extract.Document{Mentions: []extract.Mention{{From: c.from}, {From: extract.UnitOwn, Joint: c.joint}}}
		f := &filler{rec: &schema.Record{Quantities: []schema.Said{
			{Kind: schema.KindVoltage, Status: c.status, Quantity: schema.Quantity{Unit: "V"}},
			{Kind: schema.KindCurrent, Status: schema.StatusHeard, Quantity: schema.Quantity{Unit: "A"}},
		}}, doc: d, reach: loadReaches(), placed: []Placed{{Mention: 0}, {Mention: 1}},
			bases: make([]schema.Basis, 2), loose: -1, open: -1}
		f.level(0, prior.Level, "voltage")
		if len(f.run) != c.levels {
			t.Errorf("%v: %d levels", c, len(f.run))
		}
	}
}
