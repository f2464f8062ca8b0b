package byear

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract/sound"
	"saywatt/internal/narration"
)

func written(t *testing.T, r *Reading, heard ...string) string {
	t.Helper()
	var words [][]string
	for _, h := range heard {
		words = append(words, strings.Fields(h))
	}
	n, err := r.Write(sound.Default(), words)
	if err != nil {
		t.Fatal(err)
	}
	return n.Mark()
}

const head = `title: a test
product: charger
form: vtt
manner: read by a synthesiser and written by a weak general recogniser, lower case, no punctuation, numbers as `

const tables = `---
L1 mode=output port=USB-C1 protocol=PD
L2 mode=output port=USB-C1 protocol=PD
`

// TestWrite: words written stand for those said by their sounds; a quantity that
// is not said rightly is garbled, and unclear without a number; a number that has
// none is plain text; a mark that nothing was written of is gone.
func TestWrite(t *testing.T) {
	heard := []string{
		"the or when gives plenty belts at three point two five amps",
		"sixty five what's in awe to of them on you as bee see one",
		"good now one hundred to two hundred and forty volts",
	}
	want := head + `words
speaker: synthetic voice
---
the <or when|Orwin|maker> gives {plenty belts|20 V|L1|?sound} at {three point two five amps|3.25 A|L1} {sixty five what's|65 W|L1|sound} in awe to of them on <you as bee see one|USB-C1|port>

good now {one hundred to two hundred and forty volts|100..240 V|input}
` + tables
	if got := written(t, aloud(t, false), heard...); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}

func TestWriteDigits(t *testing.T) {
	got := written(t, aloud(t, true), "the orwin gives twenty volts at three point two five camps",
		"sixty five watts in all two of them on u s b c one",
		"good now five amps one hundred to two hundred and forty volts")
	want := head + `digits
speaker: synthetic voice
---
the <orwin|Orwin|maker> gives {20 volts|20 V|L1} at {3.25 camps|3.25 A|L1|sound} {65 watts|65 W|L1} in all {2|-|count} of them on <u s b c 1|USB-C1|port>

good now {5 amps|5 A|L2} {100 to 240 volts|100..240 V|input}
` + tables
	if got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	if n := parse(t, "x", got); n.Mark() != got {
		t.Error("what is written reads otherwise")
	}
}

func TestWriteNothing(t *testing.T) {
	r := aloud(t, true)
	want := head + "digits\nspeaker: synthetic voice\n---\n" + tables
	if got := written(t, r, "", "", ""); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	_, err := r.Write(sound.Default(), nil)
	if err == nil || !strings.HasSuffix(err.Error(), ": 0 utterances heard of 3") {
		t.Errorf("%v", err)
	}
}

// Every word heard stands in the text once and in its order, marks follow one
// another without overlap, on whole words, and the file reads back the same.
func TestWriteMarks(t *testing.T) {
	vocabulary := strings.Fields("the orwin gives twenty plenty volts belts at three point two five amps " +
		"sixty watts u s b c one to ' good")
	readings := map[bool]*Reading{true: aloud(t, true), false: aloud(t, false)}
	rapid.Check(t, func(t *rapid.T) {
		r := readings[rapid.Bool().Draw(t, "digits")]
		var heard [][]string
		var all []string
		for range r.Utterances {
			h := rapid.SliceOfN(rapid.SampledFrom(vocabulary), 0, 20).Draw(t, "heard")
			heard, all = append(heard, h), append(all, h...)
		}
		n, err := r.Write(sound.Default(), heard)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Fields(n.Text); !r.Digits && strings.Join(got, " ") != strings.Join(all, " ") {
			t.Fatalf("text %q of %q", got, all)
		}
		end := -1
		for _, m := range n.Marks {
			if m.Start <= end || m.End <= m.Start || m.Start > 0 && !blank(n.Text[m.Start-1]) || !blank(n.Text[m.End]) {
				t.Fatalf("mark of bytes %d to %d behind one to %d in %q", m.Start, m.End, end, n.Text)
			}
			end = m.End
		}
		back, err := narration.Parse("x", n.Mark())
		if err != nil || back.Mark() != n.Mark() {
			t.Fatalf("reads back otherwise: %v", err)
		}
	})
}

func blank(c byte) bool { return c == ' ' || c == '\n' }
