package extract

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// seenWith is all that is seen of a text by what was learned: the features of the
// places, ports and parts and of the kind of product, in print.
func seenWith(t *testing.T, x *Lexicon, text string) string {
	t.Helper()
	tr, err := transcript.Parse("t.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	d := x.findAll(tr, place.Default(), Given{})
	var b strings.Builder
	name := func(s string) int32 { b.WriteString(s + "\n"); return 0 }
	chain := d.ObserveNames(name)
	for i := range chain.Observations {
		fmt.Fprintln(&b, chain.Observations[i].Link)
	}
	class := func(k int) place.Class { return d.Mentions[k].Context.Class }
	d.AskPorts(class, func(q *PortQuestion) int {
		fmt.Fprintln(&b, q.Mention, q.Names, q.Features)
		return len(q.Names) - 1
	})
	d.ProductFeatures(feature.List{Name: name})
	parts, err := json.Marshal(d.PartElements())
	if err != nil {
		t.Fatal(err)
	}
	return b.String() + string(parts) + d.Product.Kind
}

// TestWindowsHeld: each row of windows.tsv has texts in which more and more stands
// between what it counts. The first in which another is seen where the row is less by
// one moves with the row, so that no other number passes.
func TestWindowsHeld(t *testing.T) {
	cases := []struct {
		window string
		text   string // a blank between bars stands for what is said more and more often
		more   string
		first  int
	}{
		{"alike_before", "33 volts. | |33 amps.", "7 hertz. ", 5},
		{"alike_behind", "33 volts. | |33 amps.", "7 hertz. ", 3},
		{"breath_words", "Open it up. A fuse of 2 amps. | |A relay of 16 amps.", "well ", 29},
		{"close_words", "port | |20 volts.", "well ", 5},
		{"events_behind", "20 volts | |efficiency.", "well ", 10},
		{"events_fade", "USB-C1 | |20 volts.", "well ", 398},
		{"few_tokens", "| |This is a power bank.", "well ", 143},
		{"heading_reach", "Efficiency | |20 volts.", "well ", 248},
		{"heading_words", "Efficiency | |port 20 volts.", "well ", 2},
		{"introduction", "| |charger", "well ", 59},
		{"level_words", "Output. USB-C1 20 volts | |3 amps.", "well ", 2},
		{"near_words", "20 volts | |3 amps.", "well ", 8},
		{"pairs", "Output 20 volts 3 amps | |9 volts", "100 hertz ", 10},
		{"port_behind", "Output 20 volts 3 amps | |on USB-C1.", "well ", 6},
		{"port_fade", "Output. USB-C1 | |20 volts 3 amps.", "well ", 260},
		{"port_list", "Output. USB-C1 | |USB-C2 20 volts 3 amps.", "well ", 3},
		{"port_number", "Output. USB-C1. Both | |have 20 volts 3 amps.", "well ", 16},
		{"ports_before", "USB-A. | |20 volts 3 amps.", "USB-C1. ", 7},
		{"recent", "USB-C1 | |20 volts.", "well ", 78},
		{"sentence_link", "20 volts. | |3 amps.", "well ", 30},
		{"sentence_words", "on the usb c1 we | |have 20 volts", "well ", 36},
		{"tight_words", "Open it up. A fuse | |of 2 amps.", "well ", 1},
		{"topics", "Output. | |20 volts.", "Efficiency. Thermals. ", 1},
		{"topics", "| |20 volts.", "Efficiency. Thermals. ", 2},
		{"words_before", "USB | |20 volts.", "well ", 13},
		{"words_behind", "Output 20 volts | |port.", "well ", 5},
		{"words_kept", "Open it up. A fuse of 2 amps good | |relay of 5 amps.", "well ", 11},
	}
	held := map[string]bool{}
	less := newLexicon()
	for _, c := range cases {
		held[c.window] = true
		window := less.window.fields()[c.window]
		if window == nil {
			t.Errorf("no window %s", c.window)
			continue
		}
		n := *window
		*window = n - 1
		first := 0
		for ; first < c.first+3; first++ {
			text := strings.ReplaceAll(c.text, "| |", strings.Repeat(c.more, first))
			if seenWith(t, less, text) != seenWith(t, Words(), text) {
				break
			}
		}
		*window = n
		if first != c.first {
			t.Errorf("%s: %q: another is seen from %d times %q on, want %d", c.window, c.text, first, c.more, c.first)
		}
	}
	for _, c := range []struct {
		window string
		text   string // with a number for %v
		from   float64
		step   float64
		first  float64 // number that is seen otherwise where the row is less by one
	}{
		{"near_percent", "Set 100 volts, it reads %v volts.", 101, 0.5, 104.5},
		{"product_percent", "It has 20 volts and 5 amps, %v watts.", 101, 0.5, 102.5},
		{"quotient_percent", "In 100 watts, out 80 watts, %v percent.", 80, 0.2, 80.2},
		{"least_quotient", "In 100 watts, out 50 watts, %v percent.", 50.4, -0.1, 50},
	} {
		held[c.window] = true
		window := less.window.fields()[c.window]
		if window == nil {
			t.Errorf("no window %s", c.window)
			continue
		}
		*window--
		got := c.from
		for k := 0; k < 30; k++ {
			got = math.Round(10*(c.from+float64(k)*c.step)) / 10
			text := fmt.Sprintf(c.text, got)
			if seenWith(t, less, text) != seenWith(t, Words(), text) {
				break
			}
		}
		*window++
		if got != c.first {
			t.Errorf("%s: the first number that is seen otherwise is %v, want %v", c.window, got, c.first)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/windows.tsv").Rows {
		if name := r.Get("window"); !held[name] {
			t.Errorf("windows.tsv:%d: no case of TestWindowsHeld holds %s", r.Line, name)
		}
	}
}
