package normalize

import (
	"math"
	"strings"
	"testing"

	"saywatt/schema"
)

// What the words of a unit stand for is counted over other numbers: words said again with
// the same number are no second witness, in whatever letters.
func TestElsewhere(t *testing.T) {
	const text = "The outputs are 12 volts at 3 amps, 20 volts at 3 amps, 20 Volts at 3 amps. It weighs 100 grams."
	e, _ := (&Ranker{}).inferred(read(t, text))
	e.countUnitWords()
	at := func(heard string) int {
		for i := range e.nodes {
			m := e.mention(e.nodes[i].last - 1)
			from, to := e.doc.Tokens[m.First].Start, e.doc.Tokens[m.Last-1].End
			if text[from:to] == heard {
				return i
			}
		}
		t.Fatalf("%q is not read", heard)
		return 0
	}
	for _, c := range []struct {
		heard       string
		unit        schema.Unit
		same, other float64
	}{
		{"12 volts", "V", 1, 0}, // of the 20 that are said twice
		{"20 volts", "V", 1, 0}, // of the 12
		{"20 Volts", "V", 1, 0}, // no more, though said twice
		{"20 volts", "W", 0, 1},
		{"3 amps", "A", 0, 0}, // always the same number
		{"100 grams", "g", 0, 0},
	} {
		same, other := e.elsewhere(at(c.heard), c.unit)
		if math.Abs(same-c.same) > 0.05 || math.Abs(other-c.other) > 0.05 {
			t.Errorf("%s as %s: elsewhere %.2f so and %.2f otherwise, want %v and %v", c.heard, c.unit, same, other,
				c.same, c.other)
		}
	}
}

// A text behind itself has the same counts.
func TestElsewhereOfATextTwice(t *testing.T) {
	const text = "The outputs are 5 volts 3 amps, 9 belts 3 amps, 15 belts 2 amps. "
	counts := func(text string) (list []float64) {
		e, _ := (&Ranker{}).inferred(read(t, text))
		for k := range e.cands {
			e.cands[k].posterior = 0
		}
		for i := range e.nodes { // the same whatever stands around
			e.cands[e.nodes[i].from].posterior = 1
		}
		e.countUnitWords()
		for i := range 6 {
			same, other := e.elsewhere(i, e.cands[e.nodes[i].from].unit)
			list = append(list, same, other)
		}
		return list
	}
	once, twice := counts(text), counts(strings.Repeat(text, 2))
	for k := range once {
		if once[k] != twice[k] {
			t.Fatalf("%v, and behind itself %v", once, twice)
		}
	}
}
