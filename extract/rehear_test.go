package extract

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// byEar are rows of words as a recogniser wrote them by ear, and what was said: the
// words shown for a quantity, and the quantity.
var byEar = []struct{ shown, heard, means string }{
	{"the port gives five volts three camps and twelve volts", "three camps", "3 A"},
	{"it gave one point five champs and the fan stayed off", "one point five champs", "1.5 A"},
	{"that is five thousand nine hundred million powers in it", "five thousand nine hundred million powers", "5900 mAh"},
	{"it puts out fifteen votes and three camps", "three camps", "3 A"},
	{"the pack says fifty one ply into belts and no more", "fifty one ply into belts", "51.2 V"},
	{"two hundred and seventy micro for its and a choke", "two hundred and seventy micro for its", "270 µF"},
	{"twelve volts two point five champs and then fifteen votes", "fifteen votes", "15 V"},
}

// byEarText has all of byEar, a line each.
func byEarText() string {
	var b strings.Builder
	for _, c := range byEar {
		b.WriteString(c.shown + "\n")
	}
	return b.String()
}

// TestRehear: words cut where none were are heard again in a text that was written by
// ear, whatever lines it stands in.
func TestRehear(t *testing.T) {
	for _, width := range []int{0, 3, 4} {
		text := byEarText()
		if width > 0 {
			text = rewrap(text, width)
		}
		d := find(t, text)
		if !d.ByEar {
			t.Fatal("not taken for a text written by ear")
		}
		got := map[string]bool{}
		for i := range d.Mentions {
			m := &d.Mentions[i]
			got[d.Words(m.First, m.Last)+" = "+fmt.Sprint(m.Quantity())] = true
		}
		for _, c := range byEar {
			if !got[c.heard+" = "+c.means] {
				t.Errorf("in lines of %d words %q is not read as %s; read: %v", width, c.heard, c.means, got)
			}
		}
	}
}

// TestNotReheard: text with signs or capitals, words that make sense, and numbers and
// units shown as such stay as they are.
func TestNotReheard(t *testing.T) {
	for name, text := range map[string]string{
		"punctuated": "Five volts, three amp. Smiling votes, three camps. Fifteen volts, to him best, went you folks. " +
			"One point five champs. Fifteen votes, three camps.",
		"others": strings.Repeat("the folks at home went to the best of all camps and it was all theirs by then with five volts ", 9),
		"shown": strings.Repeat("five volts at three amps then nine volts at two amps and twenty watt hours per kilo "+
			"so two hundred and fifty volts and nine point oh five volts at sixty point oh one hertz ", 6),
	} {
		d := find(t, text)
		if d.ByEar {
			t.Errorf("%s: taken for a text written by ear", name)
		}
		for _, k := range d.Tokens {
			if k.Apart > 0 {
				t.Errorf("%s: %q is heard as another word", name, d.Transcript.Text[k.Start:k.End])
			}
		}
	}
}

// TestByEar: a text of which few units were heard anew was not written by ear.
func TestByEar(t *testing.T) {
	few := strings.Repeat("it gave five volts at three amps and nine volts at two amps ", 9) +
		"and one point five champs"
	if d := find(t, few); d.ByEar {
		t.Error("one unit of many heard anew: taken for a text written by ear")
	}
	if d := find(t, strings.Repeat("it gave one point five champs at fifteen votes ", 4)); !d.ByEar {
		t.Error("all units heard anew: not taken for a text written by ear")
	}
}

// TestPropertyRehear: whatever words a text has, its tokens are in order, within the
// text, and cover all words that they had before.
func TestPropertyRehear(t *testing.T) {
	words := []string{"amp", "smiling", "votes", "to", "him", "best", "went", "you", "folks", "camps", "five", "twenty",
		"point", "volts", "million", "powers", "watson", "a", "and", "b", "three", "hundred", "micro", "for", "its", "9"}
	rapid.Check(t, func(t *rapid.T) {
		text := []byte(strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 1, 80).Draw(t, "words"),
			rapid.SampledFrom([]string{" ", "\n", "  "}).Draw(t, "between")))
		p := parser{x: Words(), text: text}
		before := p.x.Scan(nil, text)
		covered := func(tokens []Token) string {
			b := make([]byte, len(text))
			for i := range b {
				b[i] = '.'
			}
			for _, k := range tokens {
				if k.Kind == TokenWord || k.Kind == TokenNumber {
					copy(b[k.Start:k.End], text[k.Start:k.End])
				}
			}
			return strings.NewReplacer("\n", ".", " ", ".").Replace(string(b))
		}
		want := covered(before)
		after, _ := p.rehear(before)
		at := int32(0)
		for _, k := range after {
			if k.Start < at || k.End <= k.Start || int(k.End) > len(text) {
				t.Fatalf("%q: token %d to %d behind %d", text, k.Start, k.End, at)
			}
			at = k.End
		}
		if got := covered(after); got != want {
			t.Fatalf("%q: tokens cover\n%s, covered\n%s", text, got, want)
		}
	})
}

// BenchmarkRehear hears a text written by ear again.
func BenchmarkRehear(b *testing.B) {
	var text []byte
	for len(text) < 20_000 {
		for _, c := range byEar {
			text = append(append(text, c.shown...), '\n')
		}
	}
	p := parser{x: Words(), text: text}
	tokens := p.x.Scan(nil, text)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		p.rehear(tokens)
	}
}

// TestHalfIsKept: "half an hour" has the sounds of "seven hour" in it; what is a
// number as it stands is not heard again.
func TestHalfIsKept(t *testing.T) {
	d := find(t, byEarText()+"we ran it for half an hour with no more")
	if !d.ByEar {
		t.Fatal("not written by ear")
	}
	m := &d.Mentions[len(d.Mentions)-1]
	if got := d.Words(m.First, m.Last); got != "half an hour" || m.Quantity().String() != "0.5 h" {
		t.Errorf("got %q, %s", got, m.Quantity())
	}
}
