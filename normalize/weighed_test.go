package normalize

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// weighedWithin is how the readings of the number 134 of a document are weighed, in
// print, with other reaches and weights than those of the tables: what each costs, and
// what is seen of it.
func weighedWithin(r *reaches, w Weights, d *extract.Document) string {
	e := (&Ranker{}).engine(d)
	e.reach, e.weights = r, w
	e.cuts = cutsOf(d, nil)
	e.build()
	e.infer()
	var b strings.Builder
	e.observe(func(c *candidate, seen []seenTrait) {
		if m := e.mention(c.firstMention); strings.HasPrefix(d.Words(m.First, m.Last), "134") {
			fmt.Fprint(&b, c.unit, c.hi, c.nothing, c.channel)
			for _, s := range seen {
				fmt.Fprint(&b, " ", s.row)
			}
			b.WriteByte('\n')
		}
	})
	e.giveBack()
	return b.String()
}

// weighedReaches are the rows of reach.tsv that say what readings are made or what is
// seen of them, each with texts in which more and more stands between. A reach less by
// one weighs 134 otherwise up to the last and no further, so that no other number passes.
var weighedReaches = []struct {
	relation, text string // a blank between bars stands for what is said more and more often
	more           string
	last           int
}{
	{"recent_before", "We see 20 volts. | |It was 134 then.", "30 degrees. ", 7},
	{"recent_behind", "Outputs. 134 at most. | |20 newtons.", "5 percent. ", 2},
	{"side", "It is 29 centimetres long, | |134 deep.", "2 volts, ", 3},
	{"same_unit", "My new one has 150 watts | |and my old one has 134.", "well ", 19},
	{"sum_unit", "My new one has 155 watts | |together 134 plus 21.", "well ", 59},
	{"reckoned", "We measured 20 volts and 6.7 amps, | |that is 134.", "well ", 13},
	{"milli", "The pack draws 5 milliwatts, | |the pack draws 134 million.", "10 grams, ", 3},
	{"lone_before", "We saw the kilohertz | |134.", "well ", 7},
	{"lone_behind", "We measured 134 | |in kilohertz.", "well ", 6},
	{"nearest_kind", "We see 20 volts, | |134 volts.", "30 degrees, ", 3},
	{"turn", "We see 20 volts 3 amps, | |20 volts 134.", "30 degrees, ", 22},
	{"garbled", "We see 325 amps, | |134 volts.", "30 degrees, ", 2},
}

func TestWeighedReaches(t *testing.T) {
	for _, c := range weighedReaches {
		less := *loadReaches()
		field := less.fields()[c.relation]
		if field == nil {
			t.Errorf("no reach %s", c.relation)
			continue
		}
		*field--
		last := -1
		for n := range 2*c.last + 8 {
			d := read(t, strings.ReplaceAll(c.text, "| |", strings.Repeat(c.more, n)))
			if weighedWithin(loadReaches(), loadWeights(), d) != weighedWithin(&less, loadWeights(), d) {
				last = n
			}
		}
		if last != c.last {
			t.Errorf("%s: %q: covered up to %d times %q, want %d", c.relation, c.text, last, c.more, c.last)
		}
	}
}

// TestWeighedCosts: what a unit costs that was not said, beyond that it was left out or
// misheard, and how likely it is that the number is no quantity, are those of the rows of
// weights.tsv beside each.
func TestWeighedCosts(t *testing.T) {
	intactDigits := costOf134(t, "We see 134 volts.", "V").channel
	for _, c := range []struct {
		row, text string
		unit      schema.Unit // of the reading of 134; "" for that it is no quantity
		want      float64
	}{
		{"recent_unit 0.05", "We measured 20 volts. 30 degrees. It was 134 then.", "V", -math.Log(0.05)},
		{"only_part 0.7", "Open it up. A transistor of 134.", "V", 0.7},
		{"only_section 1.4", "Outputs. 134, 20 volts.", "W", 1.4},
		{"million_alone 0.7", "Open it up. A transistor of 134 million.", "mOhm", 0.7},
		{"list_sure 10 and list_noise 0.005", "Outputs. 5, 9, 134, 15 and 20 volts.", "", -math.Log(0.005 / 10)},
		{"list_sure 10 and heard_noise 0.01", "Open it up. A transistor of 134 million.", "", -math.Log(0.01 / 10)},
	} {
		best := costOf134(t, c.text, c.unit)
		got := -float64(best.context)
		if c.unit != "" {
			got = float64(intactDigits - best.channel)
			for _, d := range best.by {
				if d != channel.Intact {
					got -= float64(channel.Default().Of(d))
				}
			}
		}
		if math.Abs(got-c.want) > 1e-4 {
			t.Errorf("%s: %s: %s costs %.4f, want %.4f", c.row, c.text, c.unit, got, c.want)
		}
	}
}

// costOf134 is the reading of the number 134 of a text, its digits as heard, in a unit;
// without one, that it is no quantity.
func costOf134(t *testing.T, text string, unit schema.Unit) candidate {
	t.Helper()
	d := read(t, text)
	e := (&Ranker{}).engine(d)
	e.build()
	for i := range e.cands {
		c := &e.cands[i]
		m := e.mention(c.firstMention)
		if strings.HasPrefix(d.Words(m.First, m.Last), "134") && c.unit == unit && c.by[0] == channel.Intact &&
			(c.nothing || c.hi == extract.Num{Coef: 134}) && c.nothing == (unit == "") {
			return *c
		}
	}
	t.Fatalf("%s: no reading in %q", text, unit)
	return candidate{}
}
