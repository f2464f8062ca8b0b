package byear

import (
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestDigits(t *testing.T) {
	for _, c := range []struct{ words, want string }{
		{"twenty volts three point two five amps", "20 volts 3.25 amps"},
		{"one hundred and five", "105"},
		{"one hundred and blue", "100 and blue"},
		{"two hundred thirty", "230"},
		{"two thirty", "2 30"},
		{"two five", "2 5"},
		{"twenty five", "25"},
		{"twenty fifteen", "20 15"},
		{"ten thousand", "10000"},
		{"twenty seven thousand six hundred fifty", "27650"},
		{"one thousand and five", "1005"},
		{"one hundred twenty thousand", "120000"},
		{"zero point zero five", "0.05"},
		{"two point oh five", "2.05"},
		{"four point for", "4 point for"},
		{"point five", "point 5"},
		{"oh five", "oh 5"},
		{"nineteen hundred", "19 hundred"},
		{"zero hundred", "0 hundred"},
		{"hundred volts", "hundred volts"},
		{"to apply and five and press", "to apply and 5 and press"},
		{"a good one", "a good 1"},
		{"", ""},
	} {
		if got := strings.Join(inDigits(strings.Fields(c.words)), " "); got != c.want {
			t.Errorf("%q: %q, want %q", c.words, got, c.want)
		}
	}
}

// inDigits undoes what number says below a million.
func TestDigitsOfNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := plain()
		m.and, m.oh = rapid.Bool().Draw(t, "and"), rapid.Bool().Draw(t, "oh")
		text := strconv.Itoa(rapid.IntRange(0, 999_999).Draw(t, "whole"))
		if rapid.Bool().Draw(t, "point") {
			text += "." + rapid.StringMatching(`[0-9]{1,4}`).Draw(t, "fraction")
		}
		words := append(m.number(nil, text), "volts")
		if got := strings.Join(inDigits(words), " "); got != text+" volts" {
			t.Fatalf("%s is said %q, written %q", text, words, got)
		}
	})
}

func TestNumeral(t *testing.T) {
	for _, w := range strings.Fields("zero nineteen ninety hundred thousand million point oh half " +
		"quarter dozen 5 3.25") {
		if !loadTables().numeral(w) {
			t.Errorf("%s is no numeral", w)
		}
	}
	for _, w := range strings.Fields("and volts to for ate") {
		if loadTables().numeral(w) {
			t.Errorf("%s is a numeral", w)
		}
	}
}

// The same name draws the same manner; of many names each voice, speed and way of
// writing comes up about as often as it should.
func TestManner(t *testing.T) {
	seen := map[string]int{}
	const names = 4000
	for i := range names {
		name := "review-" + strconv.Itoa(i)
		m, n := newManner(name), newManner(name)
		if m.voice != n.voice || m.stretch != n.stretch || m.digits != n.digits || m.and != n.and || m.oh != n.oh {
			t.Fatalf("%s: two manners", name)
		}
		seen["voice "+m.voice]++
		seen["stretch "+m.stretch]++
		seen["digits "+strconv.FormatBool(m.digits)]++
		seen["and "+strconv.FormatBool(m.and)]++
		seen["oh "+strconv.FormatBool(m.oh)]++
	}
	for what, share := range map[string]float64{"voice slt": 4. / 11, "voice rms": 4. / 11, "voice awb": 2. / 11,
		"voice kal16": 1. / 11, "stretch 1.0": .5, "stretch 1.08": .25, "stretch 0.95": .25,
		"digits true": .4, "and true": .6, "oh true": .4} {
		if got := float64(seen[what]) / names; got < share-.03 || got > share+.03 {
			t.Errorf("%s: %.3f of all, want %.3f", what, got, share)
		}
	}
}
