package extract

import (
	"strings"
	"testing"
)

// notation prints what was found as "[words]=value unit" for short rows.
func notation(text string) string {
	var b []string
	for _, f := range ParseQuantities(text) {
		s := f.Quantity.Low.String()
		if f.Quantity.Range {
			s += ".." + f.Quantity.High.String()
		}
		if f.HasUnit {
			s += " " + string(f.Quantity.Unit)
		}
		if f.Not != NotNothing {
			s += " !" + f.Not.String()
		}
		b = append(b, s)
	}
	return strings.Join(b, "; ")
}

func TestParseQuantities(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"20 volts at 3.25 amps", "20 V; 3.25 A"},
		{"three point two five amps", "3.25 A"},
		{"3 point 7 volts", "3.7 V"},
		{"8 point 9 6", "8.96"},
		{"20V3A", "20 V; 3 A"},
		{"5.2mΩ", "5.2 mOhm"},
		{"10000mAh", "10000 mA.h"},
		{"10,000. Milliamp hours", "10000 mA.h"},
		{"3.3 to 21 volts", "3.3..21 V"},
		{"eighty five to two hundred sixty four volt zero point nine amp", "85..264 V; 0.9 A"},
		{"part forty five eight hundred volts", "45; 800 V"},
		{"forty five eight hundred milliamp hours", "45800 mA.h"},
		{"seven volts zero three and falling", "7.03 V"},
		{"7 volts 03", "7.03 V"},
		{"seven volts oh three five", "7.035 V"},
		{"seven volts zero three amps", "7 V; 3 A"},
		{"seven volts zero", "7 V; 0"},
		{"between 5 and 9 volts", "5..9 V"},
		{"9–15 V", "9..15 V"},
		{"5, 9, 12, 15 and 20 volts", "5 V; 9 V; 12 V; 15 V; 20 V"},
		{"66.2 by 38.5 by 30.1 millimetres", "66.2 mm; 38.5 mm; 30.1 mm"},
		{"three and a quarter amps", "3.25 A"},
		{"half an amp", "0.5 A"},
		{"1/2 inch", "0.5 [in_i]"},
		{"twenty two and a half watts", "22.5 W"},
		{"one twenty volts", "120 V"},
		{"one oh five grams", "105 g"},
		{"eight hundred and twenty microfarads", "820 uF"},
		{"twenty seven thousand milliamp hours", "27000 mA.h"},
		{"20 thousand milliamp hours", "20000 mA.h"},
		{"1.5 k ohms", "1.5 kOhm"},
		{"420 volt, 33 microfarad", "420 V; 33 uF"},
		{"20, sorry, 12 volts", "20 V; 12 V"},
		{"0.85 watts per cubic centimetre", "0.85 W/cm3"},
		{"480 megabits per second", "480 Mbit/s"},
		{"50/60 Hz", "50..60 Hz"},
		{"18,000 million per hours", "18000 mA.h"},
		{"37 what hours", "37 W.h"},
		{"DFN 5 by 6", "5 !code; 6"},
		{"March 2024, paid $29.99", "2024 !year; 29.99 !price"},
		{"14 of 20", "14 !score; 20 !score"},
		{"it won 3-2", "3 !score; 2 !score"},
		{"5-3 volts", "5; 3 V"},
		{"USB 2.0 cable", "2.0 !code"},
		{"minus 5 degrees celsius", "-5 Cel"},
		{"± 5 %", "5 %"},
		{"10 kilohms ± 1 %", "10 kOhm"},
		{"zero point zero zero five ohms", "0.005 Ohm"},
		{"point four seven microhenries", "0.47 uH"},
		{"seven hundred and fifty thousand", "750000"},
		{"3 a at 5 v", "3 A; 5 V"},
		{"30. volts, 8 milliohms", "30 V; 8 mOhm"},
		{"the big one on the table", ""},
	} {
		if got := notation(c.text); got != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.text, got, c.want)
		}
	}
}
