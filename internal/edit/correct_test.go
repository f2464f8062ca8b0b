package edit

import (
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

var (
	inDigits = manner{digits: true}
	inWords  = manner{}
	symbols  = Style{Units: UnitsSymbols}
	names    = Style{Units: UnitsWords}
)

// scan cuts words as those of a file are.
func scan(text string) []word { return wordsOf([]byte(text), 0) }

func TestCorrected(t *testing.T) {
	for _, c := range []struct {
		heard, reading string
		style          Style
		manner         manner
		want           string // "" where the words stay
	}{
		// The number was garbled, the unit stays as spoken.
		{"325 amps", "3.25 A", Style{}, inDigits, "3.25 amps"},
		{"27 6 millimetres", "27.6 mm", Style{}, inDigits, "27.6 millimetres"},
		{"917%", "91.7 %", Style{}, inDigits, "91.7%"},
		{"92 .2%", "92.2 %", Style{}, inDigits, "92.2%"},
		{"3. 62 volts", "3.62 V", Style{}, inDigits, "3.62 volts"},
		{"33 micro Henry", "3.3 uH", Style{}, inDigits, "3.3 micro Henry"},
		{"to amps", "2 A", Style{}, inDigits, "2 amps"},
		{"to amps", "2 A", Style{}, inWords, "two amps"},
		{"sixteen watts", "60 W", Style{}, inDigits, "sixty watts"}, // the words decide before the file
		{"86 pouring 4 percent", "86.4 %", Style{}, inDigits, "86.4 percent"},
		{"eighty six pouring four percent", "86.4 %", Style{}, inWords, "eighty six point four percent"},
		{"one hundred thirty four by eight watt hours", "134.8 W.h", Style{}, manner{and: true}, "one hundred and thirty four point eight watt hours"},
		// The unit was garbled, the number stays as spoken.
		{"15 bolts", "15 V", Style{}, inDigits, "15 volts"},
		{"150 million", "150 mOhm", Style{}, inDigits, "150 milliohms"},
		{"one point one million", "1.1 mOhm", Style{}, inWords, "one point one milliohms"},
		{"5,000 million per hours", "5000 mA.h", Style{}, inDigits, "5,000 milliamp hours"},
		{"six thousand million hours", "6000 mA.h", Style{}, inWords, "six thousand milliamp hours"},
		{"3am", "3 A", Style{}, inDigits, "3 amps"},
		{"one lamp", "1 A", Style{}, inWords, "one amp"},
		{"15 bolts", "15 V", Style{}, manner{digits: true, symbols: true}, "15 V"},
		{"15 miller meters", "15 mm", Style{}, manner{digits: true, meter: true}, "15 millimeters"},
		{"50 to 60 hurts", "50..60 Hz", Style{}, inDigits, "50 to 60 hertz"},
		{"20 V", "20 W", Style{}, inDigits, "20 watts"},
		// Both.
		{"52 Miller homes", "5.2 mOhm", Style{}, inDigits, "5.2 milliohms"},
		{"plenty bolts", "20 V", Style{}, inWords, "twenty volts"},
		{"300 amps", "0.3 mA", Style{}, inDigits, "0.3 milliamps"},
		// Ranges.
		{"3.3 221 volts", "3.3..21 V", Style{}, inDigits, "3.3 to 21 volts"},
		{"5060 hertz", "50..60 Hz", Style{}, inDigits, "50/60 hertz"},
		{"three point three to sixty volts", "3.3..16 V", Style{}, inWords, "three point three to sixteen volts"},
		// No unit was said, none is written.
		{"225", "2.25 A", Style{}, inDigits, "2.25"},
		{"8 point 94", "8.94 V", Style{}, inDigits, "8.94"},
		{"2 22", "2.22 A", symbols, inDigits, "2.22"},
		{"25", "25 V", Style{}, inDigits, ""},
		{"25", "25 V", names, inDigits, ""},
		// What spells the quantity stays, whatever the style.
		{"3.25 amps", "3.25 A", symbols, inDigits, ""},
		{"3.25 A", "3.25 A", names, inDigits, ""},
		{"three and a quarter amps", "3.25 A", symbols, inDigits, ""},
		{"5 milliohms", "5 mOhm", symbols, inDigits, ""},
		{"21 degrees", "21 Cel", symbols, inDigits, ""},
		// House styles.
		{"325 amps", "3.25 A", symbols, inDigits, "3.25 A"},
		{"15 bolts", "15 V", symbols, inDigits, "15 V"},
		{"917%", "91.7 %", symbols, inDigits, "91.7 %"},
		{"917%", "91.7 %", names, inDigits, "91.7 percent"},
		{"665 degrees", "66.5 Cel", symbols, inDigits, "66.5 °C"},
		{"sixteen watts", "60 W", names, inWords, "60 watts"},
		{"3.3 221 volts", "3.3..21 V", symbols, inDigits, "3.3 to 21 V"},
		{"5060 hertz", "50..60 Hz", symbols, inDigits, "50/60 Hz"},
		{"20,000 million hours", "20000 mA.h", symbols, inDigits, "20000 mAh"},
		{"20,000 million hours", "20000 mA.h", Style{Units: UnitsSymbols, Thousands: ThousandsComma}, inDigits, "20,000 mAh"},
		{"5000 million hours", "5000 mA.h", Style{Units: UnitsSymbols, Thousands: ThousandsComma}, inDigits, "5,000 mAh"},
		{"20000 million hours", "20000 mA.h", Style{Units: UnitsSymbols, Thousands: ThousandsSpace}, inDigits, "20\u00a0000 mAh"},
		{"325 amps", "3.25 A", Style{Units: UnitsSymbols, Decimal: DecimalComma}, inDigits, "3,25 A"},
		{"325 amps", "3.25 A", Style{Decimal: DecimalComma}, inDigits, "3,25 amps"},
	} {
		q := schema.MustQuantity(c.reading)
		after, ok := corrected(scan(c.heard), &q, c.style, c.manner)
		got := ""
		if ok {
			got = join(after)
		}
		if got != c.want {
			t.Errorf("%q as %s, %+v: %q, want %q", c.heard, c.reading, c.style, got, c.want)
		}
	}
}

// Several quantities in the same words each get their unit.
func TestApart(t *testing.T) {
	shared := []schema.Said{{Quantity: schema.MustQuantity("20 V")}, {Quantity: schema.MustQuantity("5 A")}}
	for _, c := range []struct {
		style  Style
		heard  string
		manner manner
		want   string
	}{
		{Style{}, "25 amps", inDigits, "20 volts 5 amps"},
		{Style{}, "twenty five amps", inWords, "twenty volts five amps"},
		{symbols, "25 amps", inDigits, "20 V 5 A"},
	} {
		if got := join(apart(scan(c.heard), shared, c.style, c.manner)); got != c.want {
			t.Errorf("%q: %q, want %q", c.heard, got, c.want)
		}
	}
}

func TestStyleContradiction(t *testing.T) {
	if err := (Style{Decimal: DecimalComma, Thousands: ThousandsComma}).Check(); err == nil {
		t.Error("a comma may not be both")
	}
	if err := (Style{Decimal: DecimalComma, Thousands: ThousandsSpace}).Check(); err != nil {
		t.Error(err)
	}
}

func TestSpell(t *testing.T) {
	for _, c := range []struct {
		number string
		and    bool
		want   string
	}{
		{"0", false, "zero"},
		{"13", false, "thirteen"},
		{"40", false, "forty"},
		{"86.4", false, "eighty six point four"},
		{"230.05", true, "two hundred and thirty point zero five"},
		{"230", false, "two hundred thirty"},
		{"100", true, "one hundred"},
		{"27000", false, "twenty seven thousand"},
		{"1000000", false, "one million"},
		{"1001", true, "one thousand one"},
		{"-5", false, "minus five"},
		{"0.33", false, "zero point three three"},
		{"1234567890123", false, "1234567890123"},
	} {
		if got := spell(schema.MustDecimal(c.number), c.and); got != c.want {
			t.Errorf("spell(%s) = %q, want %q", c.number, got, c.want)
		}
	}
}

// The scanner of the program reads what spell writes.
func TestSpellReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := schema.NewDecimal(rapid.Int64Range(0, 99_999_999).Draw(t, "coefficient"),
			-int32(rapid.IntRange(0, 4).Draw(t, "decimals")))
		and := rapid.Bool().Draw(t, "and")
		q := schema.One(d, "")
		if words := spell(d, and); !saysNumber(words, &q) {
			t.Fatalf("%s spelt %q does not read back", d, words)
		}
	})
}

// Once corrected, words are right in the eyes of the program that corrected
// them, in every style it can read.
func TestCorrectedIsRight(t *testing.T) {
	units := []schema.Unit{"V", "A", "W", "mA.h", "W.h", "mOhm", "uF", "%", "mm", "kHz", "Cel", "g"}
	rapid.Check(t, func(t *rapid.T) {
		q := schema.One(schema.NewDecimal(rapid.Int64Range(1, 99_999).Draw(t, "coefficient"),
			-int32(rapid.IntRange(0, 3).Draw(t, "decimals"))), rapid.SampledFrom(units).Draw(t, "unit"))
		if rapid.Bool().Draw(t, "range") {
			q.High, q.Range = q.Low.Add(schema.NewDecimal(rapid.Int64Range(1, 500).Draw(t, "width"), 0)), true
		}
		heard := scan(rapid.SampledFrom([]string{"325 amps", "15 bolts", "150 million", "3.3 221 volts",
			"86 pouring 4 percent", "plenty walked", "to amps", "3am"}).Draw(t, "heard"))
		s := Style{Units: Units(rapid.IntRange(0, 2).Draw(t, "units")),
			Thousands: rapid.SampledFrom([]Thousands{ThousandsOwn, ThousandsNone, ThousandsComma}).Draw(t, "thousands")}
		after, ok := corrected(heard, &q, s, manner{digits: rapid.Bool().Draw(t, "digits")})
		if !ok {
			return
		}
		if again, ok := corrected(scan(join(after)), &q, s, inDigits); ok {
			t.Fatalf("%q for %s became %q, then %q", join(heard), q, join(after), join(again))
		}
	})
}
