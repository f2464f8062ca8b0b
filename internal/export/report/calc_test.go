package report

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"saywatt/internal/export/testdata/full"
	"saywatt/internal/export/word"
	"saywatt/internal/typed"
	"saywatt/schema"
	"saywatt/validate/calc"
)

func answersOf(t *testing.T, name string, inputs ...string) []*calc.Answer {
	t.Helper()
	c, ok := calc.Named(name)
	if !ok {
		t.Fatalf("no calculator %s", name)
	}
	var given []calc.Given
	for _, in := range inputs {
		n, v, _ := strings.Cut(in, "=")
		q, err := typed.Quantity(v)
		if err != nil {
			t.Fatal(err)
		}
		given = append(given, calc.Given{Input: n, Quantity: q})
	}
	a, err := c.Do(given)
	if err != nil {
		t.Fatal(err)
	}
	return []*calc.Answer{a}
}

// The numbers are those of handbook 8.2 (1 m of AWG 22 at 3 A) and 5.6.
func TestAnswerGoldens(t *testing.T) {
	var b bytes.Buffer
	if err := (Text{}).WriteAnswers(&b,
		answersOf(t, "cable-drop", "awg=22", "length=1 m", "current=3 A", "voltage=20 V")); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "calc.cable.txt", b.Bytes())
	b.Reset()
	if err := WriteAnswersJSON(&b,
		answersOf(t, "usable-energy", "capacity=10000 mAh", "voltage=3.7 V", "efficiency=80%")); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "calc.usable.json", b.Bytes())
	b.Reset()
	c, _ := calc.Named("recharge-time")
	if err := (Text{}).WriteCalculator(&b, c); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "calc.recharge.help.txt", b.Bytes())
}

func TestRoughly(t *testing.T) {
	for in, want := range map[string]string{
		"65 W": "65 W", "0.02500 A": "0.025 A", "2.102272727 h": "≈ 2.10227 h", "0.00123456789 W": "≈ 0.00123457 W",
		"1234567.8 W": "≈ 1 234 568 W", "3.3..21 V": "3.3–21 V", "-0.1234567 A": "≈ -0.123457 A", "0 V": "0 V",
	} {
		got := strings.ReplaceAll(roughly(schema.MustQuantity(in)), word.NBSP, " ")
		if got != want {
			t.Errorf("roughly(%s) = %q, want %q", in, got, want)
		}
	}
}

// JSON keeps every digit that text leaves out.
func TestAnswerJSONExact(t *testing.T) {
	var b bytes.Buffer
	if err := WriteAnswersJSON(&b, answersOf(t, "runtime", "energy=10 Wh", "load=3 W", "efficiency=100%")); err != nil {
		t.Fatal(err)
	}
	var got []answerJSON
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if s := got[0].Results[0].Quantity.Low.String(); s != "3."+strings.Repeat("3", 33) {
		t.Errorf("10 Wh / 3 W = %s h", s)
	}
}

// What a record says of itself cannot steer a terminal.
func TestAnswerLabelPrintable(t *testing.T) {
	a := answersOf(t, "level-power", "voltage=5 V", "current=3 A")
	a[0].Label = "USB-C1\x1b[31m"
	var b bytes.Buffer
	if err := (Text{}).WriteAnswers(&b, a); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "\x1b") {
		t.Errorf("escape in %q", b.String())
	}
}

// Times are written in hours and minutes; half a minute is no information.
func TestHours(t *testing.T) {
	for in, want := range map[string]string{
		"2.45113": "≈ 2 h 27 min", "0.470769": "≈ 28 min", "2.5": "2 h 30 min", "3": "3 h", "0.99999": "≈ 1 h", "0.005": "18 s",
		"0.001": "≈ 4 s", "120.0083333": "≈ 120 h", "0.75": "45 min",
	} {
		if got := strings.ReplaceAll(hours(schema.MustDecimal(in)), word.NBSP, " "); got != want {
			t.Errorf("hours(%s) = %q, want %q", in, got, want)
		}
	}
}

// No line is wider than asked for, and plain means plain.
func TestAnswersAreWrapped(t *testing.T) {
	for _, width := range []int{40, 60, 80, 100} {
		var b bytes.Buffer
		sheet := Text{Width: width, ASCII: true}
		for _, c := range calc.All() {
			if err := sheet.WriteCalculator(&b, c); err != nil {
				t.Fatal(err)
			}
		}
		if err := sheet.WriteAnswers(&b,
			answersOf(t, "cable-drop", "awg=22", "length=1 m", "current=3 A", "voltage=20 V")); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if word.Columns(line) > width {
				t.Errorf("%d columns asked for, %d written: %q", width, word.Columns(line), line)
			}
			for _, r := range line {
				if r > 0x7e {
					t.Errorf("%q holds %q", line, r)
				}
			}
		}
	}
}

// An input that a person has yet to confirm says so, as text and as JSON.
func TestOpenInput(t *testing.T) {
	a := answersOf(t, "runtime", "energy=10 Wh", "load=3 W")
	a[0].Given[1].From, a[0].Given[1].Open = "levels[0].power", true
	var text, data bytes.Buffer
	if err := (Text{}).WriteAnswers(&text, a); err != nil {
		t.Fatal(err)
	}
	if want := "3 W (level 1, power; open: not yet confirmed)"; !strings.Contains(text.String(), want) {
		t.Errorf("text has no %q:\n%s", want, text.String())
	}
	if err := WriteAnswersJSON(&data, a); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(data.String(), `"open": true`); n != 1 {
		t.Errorf("%d open inputs in JSON, want 1:\n%s", n, data.String())
	}
}
