package normalize

import (
	"fmt"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/schema"
)

// TestReachesHeld: each row of reach.tsv has texts in which what it counts stands
// further and further apart. The relation is there up to the last that the row
// covers and no further, so that no other number passes.
func TestReachesHeld(t *testing.T) {
	degrees := func(n int) string { return strings.Repeat("23 degrees, ", n) }
	words := func(n int) string { return strings.Repeat("well ", n) }
	cases := []struct {
		relation string
		text     func(n int) string
		last     int  // n of the last text that has the relation
		all      bool // the last that has all relations of its kind
	}{
		{"level_power", func(n int) string { return "Rated 240 watts, " + degrees(n) + "48 volts 5 amps." }, 14, false},
		{"energy_voltage_before", func(n int) string {
			return "Inside 3.7 volts, " + degrees(n) + "10000 milliamp hours, 37 watt hours."
		}, 1, false},
		{"energy_voltage_behind", func(n int) string {
			return "Inside 37 watt hours, 10000 milliamp hours, " + degrees(n) + "3.7 volts."
		}, 2, false},
		{"energy", func(n int) string {
			return "Inside 3.7 volts, 10000 milliamp hours, " + degrees(n) + "37 watt hours."
		}, 4, false},
		{"near_level", func(n int) string {
			return "Output 20 volts. Now the load test. " + degrees(n) + "The output voltage is 19.8 volts."
		}, 6, false},
		{"size", func(n int) string {
			return "It measures 104 by 78 by 38 millimetres, " + degrees(n) + "and weighs 300 grams."
		}, 3, false},
		{"multiple", func(n int) string {
			return "Inside are two capacitors of 27 microfarads, " + strings.Repeat("400 volts, ", n) +
				"54 microfarads."
		}, 3, false},
		{"sum", func(n int) string { return "45 watts, 18 watts, " + words(n) + "63 watts." }, 24, false},
		{"sum_elsewhere", func(n int) string {
			return "63 watts. " + strings.Repeat("7 watts. ", n) + "Both: 45 watts plus 18 watts, five volts."
		}, 23, true},
		{"ratio", func(n int) string {
			return strings.Repeat("8 watt hours. ", n) + "74 watt hours. We get out 60 watt hours, 81 percent."
		}, 2, true},
		{"related", func(n int) string {
			return "71 watts, " + strings.Repeat("2 kilograms, ", n) + "652 watts, 91.8 percent."
		}, 3, false},
		{"related_words", func(n int) string { return "71 watts, " + words(n) + "652 watts, 91.8 percent." }, 36, false},
		{"time_joint", func(n int) string {
			return "A load of 65 watts for 1 hour " + strings.Repeat("and ", n) + "48 minutes, 117 watt hours."
		}, 1, false},
		{"count", func(n int) string {
			return "Four of 100 nanofarads each, " + degrees(n) + "so 400 nanofarads together."
		}, 2, false},
	}
	held := map[string]bool{
		"related_kept": true, // what is kept, not how far: TestRelationsKept
	}
	for _, c := range readWithin {
		held[c.relation] = true
	}
	for _, c := range weighedReaches {
		held[c.relation] = true
	}
	for _, c := range cases {
		held[c.relation] = true
		if loadReaches().fields()[c.relation] == nil {
			t.Errorf("no reach %s", c.relation)
			continue
		}
		other := *loadReaches()
		if *other.fields()[c.relation] = 0; c.all {
			*other.fields()[c.relation] = 999
		}
		last := -1
		for n := range 2*c.last + 8 {
			if d := read(t, c.text(n)); (factsWithin(loadReaches(), d) == factsWithin(&other, d)) == c.all {
				last = n
			}
		}
		n := *loadReaches().fields()[c.relation]
		for m, text := range map[int32]string{n - 1: c.text(c.last), n + 1: c.text(c.last + 1)} {
			d := read(t, text)
			if *other.fields()[c.relation] = m; factsWithin(loadReaches(), d) == factsWithin(&other, d) {
				t.Errorf("%s: %d would do as well as %d: %s", c.relation, m, n, text)
			}
		}
		if last != c.last {
			t.Errorf("%s: there up to %d: %s; want %d", c.relation, last, c.text(max(0, last)), c.last)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/reach.tsv").Rows {
		if !held[r.Get("relation")] {
			t.Errorf("reach.tsv:%d: no case holds %s", r.Line, r.Get("relation"))
		}
	}
}

// readWithin are the rows of reach.tsv that relate no quantities as facts do: what
// is read, or where it is put, up to the last text that the row covers.
var readWithin = []struct {
	relation string
	text     string // a blank between bars stands for what is said more and more often
	more     string
	last     int
	reads    string
}{
	{"pattern", "Tests. 96.3 watt hours, 89.2 percent. | |54.9, 82.4 percent.", "2 kilograms, ", 10, "54.9 = 54.9 Wh"},
	{"power_behind", "Outputs. USB-C1: 15 volts, three twenty volts, | |60 watts.", "5 percent, ", 1,
		"three twenty volts = 3 A"},
}

func TestReadWithin(t *testing.T) {
	for _, c := range readWithin {
		last := -1
		for n := range c.last + 3 {
			d := read(t, strings.ReplaceAll(c.text, "| |", strings.Repeat(c.more, n)))
			said, _ := (&Ranker{}).Rank(d)
			is := ""
			for i := range said {
				is += fmt.Sprintf("%s = %s\n", said[i].Heard, &said[i].Quantity)
			}
			if strings.Contains(is, c.reads) {
				last = n
			}
		}
		if last != c.last {
			t.Errorf("%s: %q up to %d, want %d", c.relation, c.reads, last, c.last)
		}
	}
}

// TestRelationsKept: of the relations that end in one quantity so many are kept as
// the row says: all of these with it, one less with a row less by one.
func TestRelationsKept(t *testing.T) {
	related := fmt.Sprintf("%d[", factRelation)
	d := read(t, "Outputs. 225 amps, 20 watts, 3 amps, 15 volts, 25 watts, 45 watts.")
	less := *loadReaches()
	less.relatedKept--
	all, fewer := factsWithin(loadReaches(), d), factsWithin(&less, d)
	if n, m := strings.Count(all, related), strings.Count(fewer, related); n != 3 || m != 2 {
		t.Errorf("%d relations are kept, and %d where one less may be, want 3 and 2: %s", n, m, all)
	}
}

// factsWithin are the facts of a document, by their kinds and nodes.
func factsWithin(r *reaches, d *extract.Document) string {
	ranker := &Ranker{}
	e := ranker.engine(d)
	e.reach = r
	e.cuts = cutsOf(d, nil)
	e.store = ranker.Kept.take(ranker)
	e.buildAgain(nil)
	e.infer()
	var b strings.Builder
	for i := range e.facts {
		fmt.Fprintf(&b, "%d%v ", e.facts[i].kind, e.facts[i].nodes[:e.facts[i].n])
	}
	e.giveBack()
	return b.String()
}
