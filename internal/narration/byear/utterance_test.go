package byear

import (
	"strconv"
	"strings"
	"testing"

	"saywatt/internal/narration"
)

const source = `title: a test
product: charger
heard: or win|Orwin|maker
form: srt
manner: garbled
---
The or win gives {20 volts|20 V|L1} at {325 amps|3.25 A|L1|point_lost}. {65 lots|65 W|L1|unit_misheard} in all, {two|-|count} of them on <usb see one|USB-C1|port>.

Good. Now {5 amps|5 A|L2}, {100 to 240 volts|100..240 V|input}.
---
L1 mode=output port=USB-C1 protocol=PD
L2 mode=output port=USB-C1 protocol=PD
`

func parse(t *testing.T, name, source string) *narration.Narration {
	t.Helper()
	n, err := narration.Parse(name, source)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// aloud reads the source by the first name whose reading is written so, calls the
// port by its letters, and says and in numbers.
func aloud(t *testing.T, digits bool) *Reading {
	t.Helper()
	for i := range 100 {
		r, err := Aloud(parse(t, "n"+strconv.Itoa(i), source))
		if err != nil {
			t.Fatal(err)
		}
		if r.Digits == digits && strings.HasSuffix(r.Utterances[1].Voice, " U S B C one.") &&
			strings.Contains(r.Utterances[2].Voice, "hundred and forty") {
			return r
		}
	}
	t.Fatal("no name draws it")
	return nil
}

func TestAloud(t *testing.T) {
	r := aloud(t, false)
	var got []string
	for _, u := range r.Utterances {
		got = append(got, strconv.Itoa(u.Paragraph)+" "+u.Voice)
	}
	want := []string{
		"0 the orwin gives twenty volts at three point two five amps.",
		"0 sixty five watts in all, two of them on U S B C one.",
		"1 good, now five amps, one hundred to two hundred and forty volts.",
	}
	for i, w := range want {
		if i >= len(got) || got[i] != w {
			t.Errorf("%q, want %q as number %d", got, w, i)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d utterances, want %d", len(got), len(want))
	}
	var marked []string
	for _, w := range r.Utterances[0].Words {
		if w.Mark >= 0 {
			marked = append(marked, strconv.Itoa(w.Mark)+w.Text)
		}
	}
	if s := strings.Join(marked, " "); s != "0orwin 1twenty 1volts 2three 2point 2two 2five 2amps" {
		t.Errorf("marks: %s", s)
	}
}

func TestAloudTwice(t *testing.T) {
	_, err := Aloud(parse(t, "x", "speaker: synthetic voice\n---\ngood\n---\n"))
	if err == nil || err.Error() != "x: it was written by ear already" {
		t.Errorf("%v", err)
	}
}

// Capitals say nothing where there are no others.
func TestAloudCapitals(t *testing.T) {
	r, err := Aloud(parse(t, "x", "form: vtt\n---\nTHE FAN IS ON USB\n---\n"))
	if err != nil || r.Utterances[0].Voice != "the fan is on U S B." {
		t.Errorf("%v %v", r, err)
	}
}

func TestCut(t *testing.T) {
	many := strings.Repeat("w ", 21)
	for _, c := range []struct{ words, want string }{
		{"one two .", "one two,."},
		{"it is so now . then it is not .", "it is so now.|then it is not."},
		{"well . it is so now .", "well, it is so now."},
		{strings.Repeat("ww ", 14) + ", so", strings.Repeat("ww ", 13) + "ww, so."},
		{strings.Repeat("ww ", 15) + ", so", strings.Repeat("ww ", 14) + "ww.|so."},
		{strings.ReplaceAll(many, "w", "ww") + "in out now", strings.ReplaceAll(many, "w", "ww") + "in.|out now."},
		{strings.ReplaceAll(many, "w", "ww") + "*five *volts now", strings.ReplaceAll(many, "w", "ww") + "five volts.|now."},
		{". ,", ""},
		{"a b", "a B."},
		{"", ""},
	} {
		var words []Word
		for w := range strings.FieldsSeq(c.words) {
			mark := -1
			if w[0] == '*' {
				w, mark = w[1:], 0
			}
			words = append(words, Word{w, mark})
		}
		var got []string
		for _, u := range cut(words) {
			got = append(got, u.Voice)
		}
		if s := strings.Join(got, "|"); s != c.want {
			t.Errorf("%q: %q, want %q", c.words, s, c.want)
		}
	}
}

func TestHeard(t *testing.T) {
	got, err := Heard("f", "good the(2) Day (u0001 -55)\n\n(null) (u0000 -1)\n (u0002 0)\r\n", 3)
	if err != nil || len(got) != 3 || len(got[0])+len(got[2]) != 0 || strings.Join(got[1], " ") != "good the day" {
		t.Errorf("%q %v", got, err)
	}
	for _, c := range []struct{ text, want string }{
		{"words\n", `f:1: no utterance in brackets at the end: "words"`},
		{"words (\n", `f:1: no utterance in brackets at the end: "words ("`},
		{"words ()\n", `f:1: no utterance in brackets at the end: "words ()"`},
		{"a (u0000 1)\na (u0002 1)\n", `f:2: no utterance "u0002" was given`},
		{"a (0000 1)\n", `f:1: no utterance "0000" was given`},
		{"a (u0 1)\n", `f:1: no utterance "u0" was given`},
		{"a (u0000 1)\na (u0000 1)\n", `f:2: utterance u0000 is written twice`},
		{"a|b (u0000 1)\n", `f:1: a word with a sign of marks: "a|b"`},
		{"a (u0000 1)\n", `f: nothing is written of utterance u0001`},
	} {
		if _, err := Heard("f", c.text, 2); err == nil || err.Error() != c.want {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
}

func FuzzHeard(f *testing.F) {
	f.Add("good the(2) day (u0001 -55)\n(null) (u0000 -1)\n")
	f.Add("a (u0000 1)\na (u0000 1)\n")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := Heard("f", text, 2)
		if err == nil && len(got) != 2 {
			t.Fatalf("%q: %d utterances", text, len(got))
		}
		for _, u := range got {
			for _, w := range u {
				if w == "" || strings.ContainsAny(w, "{}<>| \n") {
					t.Fatalf("%q: word %q", text, w)
				}
			}
		}
	})
}
