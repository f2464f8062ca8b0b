package extract

import (
	"strings"
	"testing"

	"saywatt/schema"
)

// TestOwnPorts: ports are called as the speaker calls them where words stand as names of
// ports do, and nowhere else: those of the first quantities. The products are invented.
func TestOwnPorts(t *testing.T) {
	for _, c := range []struct{ said, ports string }{
		{"Outputs. Orange: 5 volts, 3 amps. Grey: 12 volts, 1.5 amps. With both in use orange has the most. Orange first: it " +
			"stays cool. Grey next: it whines. I like orange, and grey is for the lamp. Orange again: fine. Grey: fine.",
			"orange orange grey grey"},
		{"Outputs. On the left: 5 volts 3 amps, 9 volts 3 amps, 20 volts 5 amps. On the right: 5 volts 2.4 amps. With both " +
			"in use the left has 65 watts and the right 12. Now the tests. Left: 20 volts, 5 amps, I read 19.9. Right: 5 " +
			"volts, 2.4 amps, I read 4.97. Left again: 9 volts, 3 amps, 9.05. The left stays cool, the right whines.",
			"left left left left left left right right"},
		{"Output USB-C1: 5 volts 3 amps. On the left there is a lamp, and what is left is 9 volts 3 amps.",
			"USB-C1 USB-C1 USB-C1 USB-C1"},
		{"Output USB-C: 5 volts 3 amps, 20 volts 5 amps. The front is white. The back is grey, and the top too.",
			"USB-C USB-C USB-C USB-C"},
	} {
		d := find(t, c.said)
		var ports []string
		for i := range d.Mentions {
			if m := &d.Mentions[i]; m.HasUnit() && len(ports) < len(strings.Fields(c.ports)) {
				ports = append(ports, m.Context.Port)
			}
		}
		if got := strings.Join(ports, " "); got != c.ports {
			t.Errorf("%s\nports %q, want %q", c.said, got, c.ports)
		}
	}
}

// TestOwnPortsTable walks every row.
func TestOwnPortsTable(t *testing.T) {
	x := Words()
	seen := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/ownports.tsv").Rows {
		word := r.Get("word")
		if seen[word] || word != strings.ToLower(word) || strings.Contains(word, " ") {
			t.Errorf("ownports.tsv:%d: %q twice, or no folded word", r.Line, word)
		}
		seen[word] = true
		if got := x.cue.ownPorts[word].String(); got != r.Get("role") {
			t.Errorf("ownports.tsv:%d: %q is a %s, want %s", r.Line, word, got, r.Get("role"))
		}
	}
}
