package assemble

import (
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/schema"
)

// readWithin are texts in which what comes together stands further and further apart,
// up to the last that the row of reach.tsv covers.
var readWithin = []struct {
	relation string
	text     string // a blank between bars stands for what is said more and more often
	more     string
	last     int
	reads    string
}{
	{"level", "Outputs. USB-C1 gives 20 volts, | |3 amps.", "60 watts, ", 2, "20 V [1], 3 A ["},
	{"level_clause", "Outputs. USB-C1 has 9 volts 3 amps. Then 20 volts. | |3 amps.", "60 watts. ", 1, "20 V [3], 3 A ["},
	{"mains", "Efficiency. Mains is 230 volts. We load it with 20 volts 3 amps on 115 volts it is 92.2 percent | |" +
		"and 91 percent", "and 90 percent ", 2, `no place 1 "230 volts"`},
	{"except", "Outputs. USB-C1 gives 20 volts 3 amps and 12 volts 3 amps. That USB-C2 is the same as USB-C1 | |" +
		"except it has no 12 volts.", "well ", 10, "USB-C2, -: 20 V [1], 3 A [2], -\nno place"},
}

// TestReachesHeld: each row of reach.tsv has a text that reads otherwise with another
// number.
func TestReachesHeld(t *testing.T) {
	held := map[string]bool{"same": true} // TestSameLevel
	for _, c := range readWithin {
		held[c.relation] = true
		last := -1
		for n := range c.last + 3 {
			text := strings.ReplaceAll(c.text, "| |", strings.Repeat(c.more, n))
			if strings.Contains(fragment(filled(t, "review.txt", text)), c.reads) {
				last = n
			}
		}
		if last != c.last {
			t.Errorf("%s: %q up to %d, want %d", c.relation, c.reads, last, c.last)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/reach.tsv").Rows {
		if !held[r.Get("relation")] {
			t.Errorf("reach.tsv:%d: no case holds %s", r.Line, r.Get("relation"))
		}
	}
}

// TestSameLevel: a level, and a claim, that was said as many others ago as the row says
// takes in the same one said again; one earlier does not.
func TestSameLevel(t *testing.T) {
	volts := func(n int) schema.Quantity {
		d := schema.NewDecimal(int64(n), 0)
		return schema.Quantity{Low: d, High: d, Unit: "V"}
	}
	for others, want := range map[int]int{511: 0, 512: 1} {
		f := &filler{rec: &schema.Record{}, doc: &extract.Document{}, reach: loadReaches()}
		level := func(n int, port string) schema.Level {
			return schema.Level{Mode: "output", Port: port, Voltage: schema.Value{Quantity: volts(n), Said: []int{1}}}
		}
		claim := func(n int, port string) schema.Claim {
			return schema.Claim{Property: "power", Mode: "output", Port: port, Value: schema.Value{Quantity: volts(n),
				Said: []int{1}}}
		}
		for n := range others + 1 {
			f.rec.Levels = append(f.rec.Levels, level(n, "USB-C1"))
			f.rec.Claims = append(f.rec.Claims, claim(n, "USB-C1"))
		}
		f.run, f.ports = []schema.Level{level(0, "USB-C1")}, []string{"USB-C1"}
		f.endLevel()
		f.addClaim(claim(0, "USB-C1"))
		if n, m := len(f.rec.Levels)-others-1, len(f.rec.Claims)-others-1; n != want || m != want {
			t.Errorf("%d others since: %d levels and %d claims are added, want %d", others, n, m, want)
		}
	}
}
