package extract

import (
	"encoding/json"
	"strings"
	"testing"

	"saywatt/extract/place"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// TestReachesHeld: each row of reach.tsv has texts in which more and more stands
// between what it counts. The last text that the row covers is one that a reach
// less by one does not, so that no other number passes.
func TestReachesHeld(t *testing.T) {
	well := func(n int) string { return strings.Repeat("well ", n) }
	the := func(n int) string { return strings.Repeat("the ", n) }
	cases := []struct {
		reach string
		text  func(n int) string
		last  int // n of the last text that is covered
	}{
		{"after", func(n int) string { return "Size. It is 40 " + strings.Repeat("of ", n) + "diameter." }, 1},
		{"alike", func(n int) string {
			return "USB-C1 gives 20 volts 3 amps. USB-C2 " + well(n) + "is the same as USB-C1."
		}, 3},
		{"alike_end", func(n int) string {
			return "USB-C1 gives 20 volts 3 amps. USB-C2 is the same " + well(n) + "."
		}, 3},
		{"anchor", func(n int) string { // the belts are volts, and what is cut wrongly before them is as long as it is
			return byEarText() + "the pack says fifty one ply " + strings.Repeat("into ", n) + "belts and no more"
		}, 2},
		{"bare", func(n int) string { return "Test. The number of cycles " + well(n) + "500." }, 7},
		{"board", func(n int) string {
			return "Open it up. On the main board " + well(n) + "and the secondary board, a fuse of 2 amps and a relay."
		}, 8},
		{"cell_format", func(n int) string { return "Some cells " + well(n) + "of type 18650." }, 6},
		{"change", func(n int) string { return "Test. It changes over " + well(n) + "temperature 20 milliseconds." }, 7},
		{"closer", func(n int) string { return "Test. The standby " + well(n) + "current is 0.3 milliamps." }, 5},
		{"count", func(n int) string {
			return "Inside are two cells of 5000 milliamp hours " + well(n) + "in parallel."
		}, 5},
		{"count_before", func(n int) string { return "Outputs. 20 watts and 3 " + strings.Repeat("fast ", n) + "USB-A." }, 3},
		{"denial", func(n int) string {
			return "USB-C1 gives 20 volts 3 amps. PPS " + strings.Repeat("support ", n) + "is missing."
		}, 3},
		{"each", func(n int) string { return "Inside are two cells. 5000 milliamp hours " + well(n) + "each." }, 2},
		{"except", func(n int) string {
			return "USB-C1 gives 20 volts 3 amps. USB-C2 is the same as USB-C1 " + well(n) + "except PPS."
		}, 5},
		{"goes_on", func(n int) string { return "PD gives 20 volts 3 amps. " + well(n) + "also 15 volts 3 amps." }, 4},
		{"heading", func(n int) string { return "Test. " + well(n) + "Efficiency. 92." }, 2},
		{"in", func(n int) string { return "Out " + well(n) + "16.9 in." }, 12},
		{"inductor", func(n int) string { return "The inductor " + well(n) + "is marked 4R7." }, 13},
		{"join", func(n int) string { return "USB-C1 and " + the(n) + "USB-C2 together give 65 watts." }, 3},
		{"known_before", func(n int) string { return "It has a Knobbel " + strings.Repeat("B ", n) + "7711 A inside." }, 4},
		{"known_behind", func(n int) string { return "It has 7711 A " + strings.Repeat("B ", n) + "Knobbel inside." }, 1},
		{"likened", func(n int) string {
			return "USB-C1 gives 20 volts 3 amps. USB-C2 is the same as " + well(n) + "USB-C1."
		}, 2},
		{"link_before", func(n int) string { return "In total " + well(n) + "63 watts." }, 9},
		{"link_behind", func(n int) string { return "We get 63 watts " + well(n) + "in total." }, 2},
		{"maker", func(n int) string { // two names that sound alike, and 58 and more between them
			return "Open it up. A capacitor from Brackwater, 400 volts. " +
				strings.Repeat("A fuse from Quillon, 2 amps. ", 58+n) + "A coil from Drackwater, 10 microhenries."
		}, 5},
		{"marking", func(n int) string { return "The capacitor " + well(n) + "marked 104." }, 3},
		{"name", func(n int) string { return well(n) + "model BQ100 from Brackwater." }, 159},
		{"outside", func(n int) string {
			return "An inductor of 10 microhenries, " + well(n) + "and the display is 1.3 inches."
		}, 7},
		{"parts", func(n int) string { // a part spoken of again after 180 and more
			return "Open it up. A transistor AB1234 of 650 volts. " + strings.Repeat("A relay of 16 amps. ", 180+n) +
				"The transistor AB1234 has 100 milliohms."
		}, 19},
		{"paying", func(n int) string { return "I paid " + well(n) + "20 pounds." }, 5},
		{"port_words", func(n int) string {
			return "Test. We draw 15 volts 3 amps " + the(n) + "out of the port USB C, and 5 volts from the USB A."
		}, 0},
		{"property", func(n int) string { return "The cable resistance " + well(n) + "90 milliohms." }, 14},
		{"protocol", func(n int) string { return "Outputs. With PD " + well(n) + "USB-C1 has 20 volts 3 amps." }, 5},
		{"rehear_units", func(n int) string { // before the first word that was cut wrongly
			return strings.Repeat("7 volts ", 50+n) + strings.Repeat(byEarText(), 4)
		}, 5},
		{"rehear_words", func(n int) string { // a number begins a row, at the end of which is what was cut wrongly
			if n > 1 {
				return "well"
			}
			return byEarText() + "7 " + strings.Repeat("well ", 34+n) +
				"the pack says fifty one ply into belts and no more"
		}, 0},
		{"unit_words", func(n int) string { // four words for milliamp hours; three for megahertz
			return []string{"Inside it has 20 mill lee amp ours.", "Inside it has 20 mega her ts."}[min(n, 1)]
		}, 0},
		{"spot", func(n int) string { return "Thermals. On the top " + well(n) + "68 degrees." }, 10},
		{"spot_behind", func(n int) string { return "Thermals. Bottom: 68 degrees on the " + well(n) + "top." }, 0},
		{"topology", func(n int) string {
			return "Open it up. A transistor of 700 volts, " + well(n) + "quasi resonant."
		}, 9},
		{"total", func(n int) string {
			return "Outputs. USB-C1 gives 20 volts 3 amps. The total " + well(n) + "is 100 watts."
		}, 7},
		{"total_behind", func(n int) string {
			return "USB-C1 gives 20 volts 3 amps, 63 watts " + well(n) + "total."
		}, 1},
	}
	held := map[string]bool{}
	less := newLexicon()
	for _, c := range cases {
		held[c.reach] = true
		reach := less.reach.fields()[c.reach]
		if reach == nil {
			t.Errorf("no reach %s", c.reach)
			continue
		}
		n := *reach
		*reach = n - 1
		last := -1
		for k := range c.last + 8 {
			if foundWith(t, less, c.text(k)) != foundWith(t, Words(), c.text(k)) {
				last = k
			}
		}
		*reach = n
		if last != c.last {
			t.Errorf("%s: covered up to %d: %s; want %d", c.reach, last, c.text(max(0, last)), c.last)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/reach.tsv").Rows {
		if name := r.Get("reach"); !held[name] {
			t.Errorf("reach.tsv:%d: no case of TestReachesHeld holds %s", r.Line, name)
		}
	}
}

// foundWith is what is found in a text, in print. Part numbers with the word Knobbel
// in them are known beforehand.
func foundWith(t *testing.T, x *Lexicon, text string) string {
	t.Helper()
	tr, err := transcript.Parse("t.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	known := func(words string) bool {
		return strings.HasPrefix(words, "Knobbel") && strings.HasSuffix(words, "7711 A") ||
			strings.HasSuffix(words, "Knobbel")
	}
	return printed(x.findAll(tr, place.Default(), Given{IsPart: known}))
}

// printed is what a document holds, in print.
func printed(d *Document) string {
	b, err := json.Marshal([]any{d.Mentions, d.Subjects, d.Terms, d.Product, d.Alike, d.Ports, d.Materials})
	if err != nil {
		panic(err)
	}
	return string(b)
}

// Each of these reaches has a case that it still covers and one a word further
// that it does not, so that no other number passes.
func TestReaches(t *testing.T) {
	for _, c := range []struct {
		reach, text, property, port, spot string // of the first number
	}{
		{"closer", "Test. The standby of the unit under this current is 0.3 milliamps.", "sleep_current", "", ""},
		{"closer", "Test. The standby of the unit under this load current is 0.3 milliamps.", "output_current", "", ""},
		{"change", "Test. It changes over of the unit under this load here current 20 milliseconds.", "changeover_time", "", ""},
		{"change", "Test. It changes over of the unit under this load here again current 20 milliseconds.", "", "", ""},
		{"spot_behind", "Thermals. Bottom: 68 degrees on the top.", "temperature", "", "top"},
		{"spot_behind", "Thermals. Bottom: 68 degrees on the very top.", "temperature", "", "bottom"},
		{"port_words", "Test. We draw 20 watts out of the port type C, and 5 volts from the USB A.", "condition_power", "USB-C", ""},
		{"port_words", "Test. We draw 15 volts 3 amps on out of the port USB C, and 5 volts from the USB A.", "condition_voltage", "", ""},
	} {
		d := find(t, c.text)
		got := d.Mentions[0].Context
		if got.Property != c.property || got.Port != c.port || got.Spot != c.spot {
			t.Errorf("%s: %s: property %q, port %q, spot %q; want %q, %q, %q", c.reach, c.text, got.Property, got.Port,
				got.Spot,
				c.property, c.port, c.spot)
		}
	}
}
