package byear

import (
	"strings"
	"testing"

	"saywatt/internal/narration"
	"saywatt/schema"
)

// plain is a manner that says neither and nor oh, and draws by a fixed seed.
func plain() *manner {
	m := newManner("x")
	m.and, m.oh = false, false
	return m
}

func TestText(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"It gives 20 volts, 3.25 amps.", "it gives twenty volts , three point two five amps ."},
		{"20V 3.25A 65W", "twenty volts three point two five amps sixty five watts"},
		{"1 A and 1.5 A", "one amp and one point five amps"},
		{"20,000 mAh or 72 Wh", "twenty thousand milliamp hours or seventy two watt hours"},
		{"5,9,12 V", "five , nine , twelve volts"},
		{"1,250,000", "one million two hundred fifty thousand"},
		{"2,000,000", "two million"},
		{"1,002,000,007", "one zero zero two zero zero zero zero zero seven"},
		{"number 007", "number zero zero seven"},
		{"a drop of .5 V", "a drop of point five volts"},
		{"220 µF, 220 μF and 220 uF", "two hundred twenty microfarads , two hundred twenty microfarads and two hundred twenty microfarads"},
		{"4.7 kΩ, 4.7 k\u2126", "four point seven kiloohms , four point seven kiloohms"},
		{"16 mΩ at 25 °C", "sixteen milliohms at twenty five degrees celsius"},
		{"1.2 W/cm³", "one point two watts per cubic centimeter"},
		{"65 watts in a 30 mm cube", "sixty five watts in a thirty millimeters cube"},
		{"88 %", "eighty eight percent"},
		{"100-240 V", "one hundred to two hundred forty volts"},
		{"100 – 240 V", "one hundred to two hundred forty volts"},
		{"50 x 40 x 30 mm", "fifty by forty by thirty millimeters"},
		{"2-in-1", "two in one"},
		{"a 65-watt brick", "a sixty five watt brick"},
		{"at -10 °C", "at minus ten degrees celsius"},
		{"±5 %", "plus or minus five percent"},
		{"$30 or €1", "thirty dollars or one euro"},
		{"4K and 5G", "four k and five g"},
		{"the 90's", "the ninety s"},
		{"USB-C, USB A, usb", "u s b c , u s b ay , u s b"},
		{"the PD and HDMI pins", "the p d and h d m i pins"},
		{"It is NOT so.", "it is not so ."},
		{"an IGBT, MOSFETs, a GaN FET", "an i g b t , moss fets , a gan f e t"},
		{"DisplayPort", "display port"},
		{"it's 5 metres", "it's five meters"},
		{"café", "cafe"},
		{"wait — what?", "wait , what ."},
		{">> good", "good"},
		{"A charger", "a charger"},
		{"", ""},
	} {
		if got := strings.Join(plain().text(nil, c.text), " "); got != c.want {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
}

func TestNumberManners(t *testing.T) {
	m := plain()
	m.and, m.oh = true, true
	for text, want := range map[string]string{
		"105": "one hundred and five", "2.05": "two point oh five", "007": "oh oh seven",
		"100": "one hundred", "0": "zero", "0.5": "zero point five",
	} {
		if got := strings.Join(m.number(nil, text), " "); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

// Names that are said in more ways than one are said in each of them.
func TestNames(t *testing.T) {
	for _, c := range []struct{ typ, text, want string }{
		{"port", "USB-C1", "u s b c one|c one|type c one"},
		{"port", "USB-C", "u s b c|type c"},
		{"port", "USB-A", "u s b ay|type ay"},
		{"port", "USB-C1+USB-A", "u s b c one and u s b ay|u s b c one and type ay|c one and u s b ay|c one and type ay|type c one and u s b ay|type c one and type ay"},
		{"port", "car socket", "car socket"},
		{"port", "XT60", "x t sixty"},
		{"protocol", "PD 3.1", "p d three point one|power delivery three point one"},
		{"protocol", "QC 4+", "quick charge four plus|q c four plus"},
		{"protocol", "PPS", "p p s"},
		{"protocol", "Qi2", "chee two"},
		{"protocol", "Thunderbolt 4", "thunderbolt four"},
		{"package", "SOT-23", "s o t twenty three"},
		{"package", "DFN5x6", "d f n five x six"},
		{"package", "MOSFET", "moss fet"},
		{"package", "0805", "zero eight zero five"},
		{"package", "TO-220", "t o two two zero"},
		{"partno", "KX2514", "k x twenty five fourteen|k x two five one four"},
		{"partno", "AB", "ay b"},
		{"model", "Pier 11", "pier eleven"},
		{"maker", "Corvessa", "corvessa"},
		{"product", "Lodestrand Tri 65", "lodestrand tri sixty five"},
	} {
		want := map[string]bool{}
		for w := range strings.SplitSeq(c.want, "|") {
			want[w] = false
		}
		m := plain()
		for range 300 {
			got := strings.Join(m.mark(&narration.Mark{Kind: narration.MarkName, Slot: c.typ}, c.text), " ")
			if _, ok := want[got]; !ok {
				t.Fatalf("%s %s: %q, want %s", c.typ, c.text, got, c.want)
			}
			want[got] = true
		}
		for w, seen := range want {
			if !seen {
				t.Errorf("%s %s: never %q", c.typ, c.text, w)
			}
		}
	}
}

// Every row of spoken.tsv has a case in which its text is said by its words.
func TestSpokenTable(t *testing.T) {
	around := map[string]string{"sign": "x %s y", "between": "2 %s3", "before": "x %s3", "money": "%s2",
		"word": "x %s y", "unit": "2 %s", "spelling": "ba%sby", "letter": "X%s"}
	for _, r := range schema.MustReadTable(tableFiles, "tables/spoken.tsv").Rows {
		where, text, forms := r.Get("where"), r.Get("text"), r.List("words")
		if r.Get("source") == "" {
			t.Errorf("line %d: no source", r.Line)
		}
		var got string
		switch where {
		case "port", "protocol":
			name := strings.ReplaceAll(text, "#", "1")
			mark := narration.Mark{Kind: narration.MarkName, Slot: where}
			got = strings.TrimSuffix(strings.Join(plain().mark(&mark, name), " "), " one")
		case "letter":
			got = strings.Join(plain().text(nil, "X"+strings.ToUpper(text)), " ")
		default:
			got = strings.Join(plain().text(nil, strings.ReplaceAll(around[where], "%s", text)), " ")
		}
		ok := len(forms) == 0 && got == "two "+strings.ToLower(text)
		for i, f := range forms {
			switch {
			case (where == "unit" || where == "money") && i == 0: // behind one
			case where == "unit", where == "money":
				ok = ok || got == "two "+strings.ToLower(f)
			case where == "spelling":
				ok = ok || got == "ba"+f+"by"
			case where == "port", where == "protocol":
				ok = ok || got == f
			default:
				ok = ok || strings.Contains(got, f)
			}
		}
		if !ok {
			t.Errorf("line %d: %s %q is said %q", r.Line, where, text, got)
		}
	}
}

// The units that readings have most are said as people say them.
func TestUnits(t *testing.T) {
	for symbol, want := range map[string]string{"V": "volts", "A": "amps", "W": "watts", "mAh": "milliamp hours",
		"Wh": "watt hours", "µF": "microfarads", "mm": "millimeters", "g": "grams", "VA": "volt amperes", "MB/s": "megabytes per second",
		"in": "in", "°": "degrees"} {
		if got := strings.Join(plain().text(nil, "2 "+symbol), " "); got != "two "+want {
			t.Errorf("%s: %q", symbol, got)
		}
	}
}

func FuzzText(f *testing.F) {
	f.Add("20V 3.25A, 1,000 mAh — ±5 %, USB-C1 $3 '90s x5")
	f.Add("\xff°µ.5.,'")
	f.Fuzz(func(t *testing.T, text string) {
		for _, typ := range []string{"partno", "port", "protocol", "maker"} {
			for _, w := range plain().mark(&narration.Mark{Kind: narration.MarkName, Slot: typ}, text) {
				checkWord(t, w)
			}
		}
		for _, w := range plain().text(nil, text) {
			if !pause(w) {
				checkWord(t, w)
			}
		}
	})
}

// checkWord checks that a word said has small letters and apostrophes only.
func checkWord(t *testing.T, w string) {
	t.Helper()
	if w == "" || strings.Map(english, w) != w {
		t.Fatalf("said: %q", w)
	}
}
