package byear

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract/sound"
)

func TestAlign(t *testing.T) {
	for _, c := range []struct{ said, written, want string }{
		{"five volts three amps", "five volts three amps", "five=five volts=volts three=three amps=amps"},
		{"five volts three amps nine volts three amps", "five volts three amp smiling votes three camps",
			"five=five volts=volts three=three amp=amps smiling=nine votes=volts three=three camps=amps"},
		{"fifteen volts three amps", "fifteen belts three and friends", "fifteen=fifteen belts=volts three=three and=amps friends=amps"},
		{"two point five amps", "to apply and five and press", "to=two apply=point and=point five=five and=amps press=amps"},
		{"power delivery", "power to livery", "power=power to=delivery livery=delivery"},
		{"quick charge three point oh", "quick charge free point o", "quick=quick charge=charge free=three point=point o=oh"},
		{"", "noise", "noise=-"},
		{"volts", "", ""},
		{"the lodestrand", "the load strand", "the=the load=lodestrand strand=lodestrand"},
	} {
		said, written := strings.Fields(c.said), strings.Fields(c.written)
		var got []string
		for i, at := range align(sound.Default(), said, written) {
			w := "-"
			if at >= 0 {
				w = said[at]
			}
			got = append(got, written[i]+"="+w)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%q written %q: %s, want %s", c.said, c.written, s, c.want)
		}
	}
}

// words draws words that readings and recognisers have, and some of no sound.
func words(t *rapid.T, label string) []string {
	return rapid.SliceOfN(rapid.SampledFrom(strings.Fields(
		"five volts three amps amp smiling votes camps to apply and u s b c ay the power delivery ' nine")), 0, 30).Draw(t, label)
}

// The words said go up with those written, each written word has an answer that is
// a word said or none, and equal texts are aligned word by word.
func TestAlignMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		said, written := words(t, "said"), words(t, "written")
		at := align(sound.Default(), said, written)
		if len(at) != len(written) {
			t.Fatalf("%d words, %d answers", len(written), len(at))
		}
		last := 0
		for i, k := range at {
			if k < -1 || k >= len(said) {
				t.Fatalf("word %d stands for %d of %d", i, k, len(said))
			}
			if k >= 0 && k < last {
				t.Fatalf("word %d stands for %d behind %d", i, k, last)
			}
			last = max(last, k)
		}
	})
}

func TestAlignSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		said := words(t, "said")
		for i, k := range align(sound.Default(), said, said) {
			if said[i] != "'" && k != i {
				t.Fatalf("%q: word %d stands for %d", said, i, k)
			}
		}
	})
}

func Example() {
	said := strings.Fields("five volts three amps nine volts three amps")
	written := strings.Fields("five volts three amp smiling votes three camps")
	for i, k := range align(sound.Default(), said, written) {
		fmt.Println(written[i], "for", said[k])
	}
	// Output:
	// five for five
	// volts for volts
	// three for three
	// amp for amps
	// smiling for nine
	// votes for volts
	// three for three
	// camps for amps
}
