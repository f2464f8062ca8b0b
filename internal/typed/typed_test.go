package typed

import (
	"errors"
	"fmt"
	"testing"

	"saywatt/schema"
)

// Spellings of units name the unit that the table says.
func TestUnits(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/units.tsv").Rows {
		code := schema.Unit(r.Get("code"))
		if _, err := schema.ParseUnit(string(code)); err != nil {
			t.Errorf("line %d: %v", r.Line, err)
		}
		if got, ok := Unit(r.Get("typed")); !ok || got != code {
			t.Errorf("line %d: %q is %q, want %q", r.Line, r.Get("typed"), got, code)
		}
		if r.Get("source") == "" {
			t.Errorf("line %d: no source", r.Line)
		}
	}
	for _, u := range schema.Units() {
		if u.Unit == "1" {
			continue
		}
		if got, ok := Unit(Spell(u.Unit)); !ok || got != u.Unit {
			t.Errorf("%s is written %q, which reads as %q", u.Unit, Spell(u.Unit), got)
		}
	}
}

func TestQuantity(t *testing.T) {
	tests := []struct{ in, want string }{
		{"20V", "20 V"}, {"3.25 A", "3.25 A"}, {"10000 mAh", "10000 mAh"}, {"3.3-21V", "3.3–21 V"}, {"3.3..21 V", "3.3–21 V"},
		{"100–240 V", "100–240 V"}, {"0.33uF", "0.33 µF"}, {"4.7 µH", "4.7 µH"}, {"150mohm", "150 mΩ"}, {"10 mΩ", "10 mΩ"},
		{"85%", "85 %"}, {"25 °C", "25 °C"}, {"-10 Cel", "-10 °C"}, {"22 AWG", "22 AWG"}, {"3 hours", "3 h"}, {"4", "4"},
		{"1.2 Wh", "1.2 Wh"}, {"65 watts", "65 W"}, {"1.1 W/cm3", "1.1 W/cm³"}, {"1 Ohm/m", "1 Ohm/m"},
		{"20,000 mAh", "20000 mAh"}, {"-1,000..2,500 V", "-1000–2500 V"}, {"2.5a", "2.5 A"}, {"+5V", "5 V"}, {"1 Mohm", "1 MΩ"}, {"1 mohm", "1 mΩ"},
		{"3 Nm", "3 N·m"}, {"3 nm", "3 nm"},
	}
	for _, tt := range tests {
		q, err := Quantity(tt.in)
		if err != nil || q.String() != tt.want {
			t.Errorf("Quantity(%q) = %s, %v, want %s", tt.in, q, err, tt.want)
		}
	}
	for in, want := range map[string]error{"20,00 mAh": schema.ErrNotDecimal, "V": schema.ErrNotDecimal,
		"":           schema.ErrNotDecimal,
		"3 volt-ish": schema.ErrUnknownUnit, "1..2..3 V": schema.ErrNotDecimal, "five V": schema.ErrNotDecimal} {
		var s *Error
		if _, err := Quantity(in); !errors.Is(err, want) || !errors.As(err, &s) {
			t.Errorf("Quantity(%q): %v, want %v", in, err, want)
		}
	}
	for in, want := range map[string]string{
		"twenty":    `"twenty": not a decimal number: a value begins with a number in digits, such as 20V`,
		"NaN":       `"NaN": not a decimal number: a value begins with a number in digits, such as 20V`,
		"20 000 mV": `"20 000 mV": not a decimal number: write the number without blanks, such as 20000mV`,
		"20,5V":     `"20,5V": not a decimal number: a comma stands between thousands only; write the decimal sign as a point`,
		"1e999V":    `"1e999V": not a decimal number: powers of ten are not read; write the number out or take a larger unit, such as kV`,
		"20 smoots": `"20 smoots": unknown unit: no unit is written "smoots"`,
		"20 -":      `"20 -": unknown unit: no unit is written "-"`,
		"1.2.3 V":   `"1.2.3 V": not a decimal number: write it as 20, 3.25 or 3.3-21, then the unit`,
		"":          `"": not a decimal number: a value is a number and a unit, such as 20V`,
	} {
		if _, err := Quantity(in); fmt.Sprint(err) != want {
			t.Errorf("Quantity(%q):\n got %v\nwant %s", in, err, want)
		}
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		text, want string
		size       int
	}{
		{"20", "20", 2}, {"20V", "20", 2}, {"-1.5 A", "-1.5", 4}, {"+3", "3", 2}, {"20,000 mAh", "20000", 6}, {"3,25", "3", 1}, {"20,0000", "20", 2},
		{"1.2.3", "1.2", 3}, {"5.", "5", 1}, {".5", "0.5", 2}, {"..5", "0", 0}, {"-", "0", 0}, {"", "0", 0}, {"volts", "0", 0}, {"3..5", "3", 1},
	} {
		if d, size := Number(c.text); size != c.size || d.String() != c.want {
			t.Errorf("%q: %s in %d bytes, want %s in %d", c.text, d, size, c.want, c.size)
		}
	}
}

func FuzzQuantity(f *testing.F) {
	for _, s := range []string{"20V", "3.3-21 V", "85%", "-10 °C", "1e3 A", "..V", "µ", "20,000 mAh"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := Quantity(s)
		if err != nil {
			return
		}
		again, err := Quantity(q.Low.String() + " " + string(q.Unit))
		if err != nil || !again.Low.Equal(q.Low) || again.Unit != q.Unit {
			t.Errorf("%q: %s read again is %s, %v", s, q, again, err)
		}
	})
}
