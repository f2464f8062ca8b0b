package extract

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// The speller says a decimal the ways that people say it. It is the inverse
// of the grammar, written from the rules of English and handbook 9.1 without
// a look at the parser, so that each checks the other.
//
// A form refuses a number that it would say ambiguously; the reason stands
// with the refusal.

// figure is a decimal as digits: whole without leading zeros ("0" for none),
// part the digits after the point, trailing zeros kept.
type figure struct{ whole, part string }

func (f figure) String() string {
	if f.part == "" {
		return f.whole
	}
	return f.whole + "." + f.part
}

// forms are the ways to say a figure; ok is false where a form has no way, or
// only an ambiguous one, to say it.
var forms = []struct {
	name string
	say  func(f figure) (said string, ok bool)
}{
	{"standard", func(f figure) (string, bool) { return sayCardinal(f.whole, "") + sayPart(f.part, "zero"), true }},
	{"british", func(f figure) (string, bool) { return sayCardinal(f.whole, "and ") + sayPart(f.part, "zero"), true }},
	{"hyphens", func(f figure) (string, bool) {
		said := sayCardinal(f.whole, "")
		for _, tens := range tensWords[2:] {
			for _, unit := range digitWords[1:] {
				said = strings.ReplaceAll(said, tens+" "+unit, tens+"-"+unit)
			}
		}
		return said + sayPart(f.part, "zero"), true
	}},
	{"oh", func(f figure) (string, bool) { return sayCardinal(f.whole, "") + sayPart(f.part, "oh"), true }},
	{"nought", func(f figure) (string, bool) {
		if f.whole != "0" {
			return "", false
		}
		return "nought" + sayPart(f.part, "nought"), true
	}},
	{"no leading zero", func(f figure) (string, bool) {
		if f.whole != "0" || f.part == "" {
			return "", false
		}
		return strings.TrimSpace(sayPart(f.part, "zero")), true
	}},
	{"digit by digit", func(f figure) (string, bool) {
		if len(f.whole) > 9 { // nobody does, and the grammar stops at twelve digits
			return "", false
		}
		return sayDigits(f.whole, "zero") + sayPart(f.part, "zero"), true
	}},
	{"pairs", func(f figure) (string, bool) { return sayPairs(f) }},
	{"tens after the point", func(f figure) (string, bool) {
		if len(f.part) != 2 || f.part[0] == '0' { // "point five" for .05 would be .5
			return "", false
		}
		return sayCardinal(f.whole, "") + " point " + sayCardinal(f.part, ""), true
	}},
	{"fraction", func(f figure) (string, bool) {
		fraction := map[string]string{"5": "a half", "25": "a quarter", "75": "three quarters"}[f.part]
		if fraction == "" || f.whole == "0" { // "zero and a half" is not said
			return "", false
		}
		return sayCardinal(f.whole, "") + " and " + fraction, true
	}},
	{"digits", func(f figure) (string, bool) { return f.String(), true }},
	{"thousands", func(f figure) (string, bool) {
		s := f.whole
		for i := len(s) - 3; i > 0; i -= 3 {
			s = s[:i] + "," + s[i:]
		}
		return figure{s, f.part}.String(), true
	}},
	{"the word point left", func(f figure) (string, bool) {
		if f.part == "" {
			return "", false
		}
		return f.whole + " point " + f.part, true
	}},
	{"digits and scale", func(f figure) (string, bool) {
		n := strings.TrimSuffix(f.whole, "000")
		if f.part != "" || n == f.whole || len(n) > 3 { // "1000 thousand" is not said
			return "", false
		}
		return n + " thousand", true
	}},
}

var (
	digitWords = strings.Fields("zero one two three four five six seven eight nine")
	teenWords  = strings.Fields("ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	tensWords  = strings.Fields("- - twenty thirty forty fifty sixty seventy eighty ninety")
	scaleWords = []string{"", " thousand", " million", " billion", " trillion"}
)

// sayCardinal says a whole number by the rules of English; and is "and "
// where the speaker puts it behind hundred and before a last group below 100.
func sayCardinal(s, and string) string {
	if s == "0" {
		return "zero"
	}
	var said []string
	for len(s)%3 != 0 {
		s = "0" + s
	}
	for i := 0; i < len(s); i += 3 {
		scale := (len(s)-i)/3 - 1
		h, low := s[i]-'0', int(s[i+1]-'0')*10+int(s[i+2]-'0')
		var group string
		if h > 0 {
			group = digitWords[h] + " hundred"
			if low > 0 {
				group += " " + and
			}
		} else if low > 0 && scale == 0 && len(said) > 0 {
			group = and // "two thousand and ten"
		}
		if h > 0 && low > 0 && and == "" {
			group = strings.TrimSuffix(group, " ") + " "
		}
		group += sayTwo(low)
		if h > 0 || low > 0 {
			said = append(said, group+scaleWords[scale])
		}
	}
	return strings.Join(said, " ")
}

// sayTwo says a number below 100, nothing for 0.
func sayTwo(n int) string {
	switch {
	case n == 0:
		return ""
	case n < 10:
		return digitWords[n]
	case n < 20:
		return teenWords[n-10]
	case n%10 == 0:
		return tensWords[n/10]
	}
	return tensWords[n/10] + " " + digitWords[n%10]
}

func sayDigits(s, zero string) string {
	var said []string
	for _, d := range s {
		if d == '0' {
			said = append(said, zero)
			continue
		}
		said = append(said, digitWords[d-'0'])
	}
	return strings.Join(said, " ")
}

func sayPart(s, zero string) string {
	if s == "" {
		return ""
	}
	return " point " + sayDigits(s, zero)
}

// sayPairs says three and four digits in two halves: "one twenty", "fourteen
// fifty", "one oh five".
func sayPairs(f figure) (string, bool) {
	if len(f.whole) != 3 && len(f.whole) != 4 {
		return "", false
	}
	cut := len(f.whole) - 2
	high, low := f.whole[:cut], f.whole[cut:]
	h := int(high[0] - '0')
	if cut == 2 {
		h = h*10 + int(high[1]-'0')
	}
	l := int(low[0]-'0')*10 + int(low[1]-'0')
	switch {
	case l == 0: // "fourteen hundred" is another form, "fourteen" is 14
		return "", false
	case l < 10:
		return sayTwo(h) + " oh " + digitWords[l] + sayPart(f.part, "zero"), true
	}
	return sayTwo(h) + " " + sayTwo(l) + sayPart(f.part, "zero"), true
}

func TestSpeller(t *testing.T) {
	// wanted words: English, common knowledge, and handbook 9.1
	for _, c := range []struct{ form, figure, want string }{
		{"standard", "3.25", "three point two five"},
		{"standard", "27000", "twenty seven thousand"},
		{"standard", "820", "eight hundred twenty"},
		{"standard", "1234567", "one million two hundred thirty four thousand five hundred sixty seven"},
		{"british", "820", "eight hundred and twenty"},
		{"british", "2010", "two thousand and ten"},
		{"british", "105", "one hundred and five"},
		{"hyphens", "65", "sixty-five"},
		{"oh", "20.05", "twenty point oh five"},
		{"nought", "0.47", "nought point four seven"},
		{"no leading zero", "0.47", "point four seven"},
		{"digit by digit", "325", "three two five"},
		{"pairs", "1450", "fourteen fifty"},
		{"pairs", "105", "one oh five"},
		{"pairs", "470", "four seventy"},
		{"tens after the point", "3.25", "three point twenty five"},
		{"fraction", "3.25", "three and a quarter"},
		{"fraction", "22.5", "twenty two and a half"},
		{"thousands", "27000", "27,000"},
		{"the word point left", "3.7", "3 point 7"},
		{"digits and scale", "20000", "20 thousand"},
	} {
		for _, form := range forms {
			if form.name != c.form {
				continue
			}
			whole, part, _ := strings.Cut(c.figure, ".")
			if got, ok := form.say(figure{whole, part}); !ok || got != c.want {
				t.Errorf("%s of %s is %q, %t, want %q", c.form, c.figure, got, ok, c.want)
			}
		}
	}
}

// unspoken are units whose name in schema's table is not said for them, with
// the reason; the test says every other one.
var unspoken = map[schema.Unit]string{
	"1":       "a bare ratio has no name",
	"[mil_i]": "mil is a millimetre in this trade (handbook 1.3); the thousandth of an inch is said thou",
	"{pin}":   "pins are counted, and read with the package",
	"dB{A}":   "said as \"dBA\" or \"decibels\"; the printed name is not spoken",
	"Mbit":    "megabits said of a link are a rate (handbook 1.3); the printed Mbit stays apart",
	"Gbit":    "as megabits",
	"d":       "calendar time is no quantity of the trade (contract, section 2)",
	"wk":      "as days",
	"mo":      "as days",
	"a":       "as days",
}

// drawFigure draws a number as reviewers say them: mostly short, sometimes
// long, with round ones among them.
func drawFigure(t *rapid.T) figure {
	f := figure{whole: "0"}
	if n := rapid.IntRange(0, 13).Draw(t, "digits"); n > 0 {
		f.whole = rapid.StringMatching(`[1-9][0-9]{0,2}(000|[0-9]{0,3}){0,3}`).Draw(t, "whole")
		f.whole = f.whole[:min(n, len(f.whole))]
	}
	f.part = rapid.SampledFrom([]string{"", "5", "25", "75", "05", "0", "00"}).Draw(t, "part")
	if rapid.Bool().Draw(t, "any part") {
		f.part = rapid.StringMatching(`[0-9]{0,4}`).Draw(t, "part")
	}
	return f
}

// TestSaidIsRead: what the speller says of a quantity is read as itself, in
// every form and every unit, alone and among other words.
func TestSaidIsRead(t *testing.T) {
	var units []schema.UnitInfo
	for _, u := range schema.Units() {
		if unspoken[u.Unit] == "" {
			units = append(units, u)
		}
	}
	carriers := [][2]string{{"", ""}, {"rated ", " on the label"}, {"It shows ", "."},
		{"we measured\n", ", which is fine"}}
	rapid.Check(t, func(t *rapid.T) {
		f := drawFigure(t)
		u := rapid.SampledFrom(units).Draw(t, "unit")
		form := rapid.SampledFrom(forms).Draw(t, "form")
		said, ok := form.say(f)
		// captions show "million volts" for millivolts (shared garbles table, rows 4 and 6)
		if !ok || strings.HasSuffix(said, " million") {
			t.Skip()
		}
		name := u.Many
		if rapid.Bool().Draw(t, "singular") {
			name = u.One
		}
		carrier := rapid.SampledFrom(carriers).Draw(t, "carrier")
		text := carrier[0] + said + " " + name + carrier[1]
		want := schema.One(schema.MustDecimal(f.String()), u.Unit)
		// trailing zeros are the form's own
		if form.name == "no leading zero" || form.name == "fraction" || form.name == "digits and scale" {
			want.Low = want.Low.Trim()
			want.High = want.Low
		}
		checkOne(t, text, want, schema.Span{Start: len(carrier[0]), End: len(text) - len(carrier[1])})
	})
}

// TestPrintedIsRead: a number and the printed symbol of a unit, with and
// without a blank, is read as itself.
func TestPrintedIsRead(t *testing.T) {
	// symbols that are another unit, or none, in the trade
	unprinted := map[schema.Unit]string{
		"C": "C is degrees", "K": "K is kilohm (handbook 1.3)", "[mil_i]": "mil is a millimetre", "1": "no symbol", "{pin}": "pins are counted",
		"d": "calendar time", "wk": "calendar time", "mo": "calendar time", "a": "calendar time",
		"pm": "behind a number of 12 or less the time of day", "S": "S is cells in series",
	}
	var units []schema.UnitInfo
	for _, u := range schema.Units() {
		if unprinted[u.Unit] == "" {
			units = append(units, u)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		f := drawFigure(t)
		u := rapid.SampledFrom(units).Draw(t, "unit")
		blank := rapid.SampledFrom([]string{" ", "", "\u00a0", "\u2009"}).Draw(t, "blank")
		text := f.String() + blank + u.Symbol
		checkOne(t, text, schema.One(schema.MustDecimal(f.String()), u.Unit), schema.Span{End: len(text)})
	})
}

// checkOne fails unless exactly the wanted quantity is found in the text, at
// the wanted place.
func checkOne(t *rapid.T, text string, want schema.Quantity, span schema.Span) {
	found := ParseQuantities(text)
	if len(found) != 1 || !found[0].HasUnit || found[0].Not != NotNothing || !found[0].Quantity.Low.Equal(want.Low) ||
		found[0].Quantity.Range || found[0].Quantity.Unit != want.Unit {
		t.Fatalf("%q: found %v, want %s", text, found, want)
	}
	if found[0].Span != span {
		t.Fatalf("%q: found it at %v, want %v", text, found[0].Span, span)
	}
}
