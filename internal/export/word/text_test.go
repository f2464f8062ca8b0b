package word

import (
	"testing"
)

func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{
		"20 V":                  "20 V",
		"a\tb\r\nc":             "a b  c",
		"\x1b[2J":               `\x1b[2J`,
		"\x00\x7f":              `\x00\x7f`,
		"\u009b31m":             `\x9b31m`, // C1 control sequence introducer
		"\xff":                  `\xff`,
		"abc\u202edef":          `abc\u{202e}def`, // right-to-left override
		"zero\u200bwidth":       `zero\u{200b}width`,
		"no\u00a0break":         "no\u00a0break",
		"thin\u2009space":       "thin space",
		"line\u2028separator":   `line\u{2028}separator`,
		"µΩ°C 世界 e\u0301 · “x”": "µΩ°C 世界 e\u0301 · “x”",
	} {
		if got := Printable(in); got != want {
			t.Errorf("Printable(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestASCII(t *testing.T) {
	for in, want := range map[string]string{
		"5.2 mΩ × 2 · 47 µF": "5.2 mOhm x 2 . 47 uF",
		"–5 °C ± 1":          "-5 degC +/- 1",
		"Ω and Ω, μ and µ":   "Ohm and Ohm, u and u",
		"197.6 cm³":          "197.6 cm3",
		"“é”":                `"\xe9"`,
		"世":                  `\u{4e16}`,
	} {
		if got := ASCII(in); got != want {
			t.Errorf("ASCII(%q) = %q, want %q", in, got, want)
		}
	}
}

// Widths per Unicode Standard Annex 11: wide and fullwidth characters take
// two columns, combining marks none.
func TestColumns(t *testing.T) {
	for in, want := range map[string]int{
		"": 0, "20 V": 4, "µΩ": 2, "世界": 4, "ｅ": 2, "e\u0301": 1, "🔋": 2, "─": 1, "가": 2, "ﾊ": 1,
	} {
		if got := Columns(in); got != want {
			t.Errorf("columns(%q) = %d, want %d", in, got, want)
		}
	}
}

func TestClip(t *testing.T) {
	for _, c := range []struct {
		in   string
		n    int
		want string
	}{
		{"20 volts", 8, "20 volts"},
		{"20 volts at 3 amps", 17, "20 volts at 3…"},
		{"20 volts at 3 amps", 10, "20 volts…"},
		{"abcdefghij", 5, "abcd…"},
		{"世界世界", 5, "世界…"},
		{"世界世界", 4, "世…"},
		{"long", 1, "…"},
	} {
		if got := Cut(c.in, c.n); got != c.want {
			t.Errorf("clip(%q, %d) = %q, want %q", c.in, c.n, got, c.want)
		}
	}
}

func TestClipMiddle(t *testing.T) {
	for _, c := range []struct {
		in   string
		n    int
		want string
	}{
		{"short.vtt", 20, "short.vtt"},
		{"/home/ada/reviews/2026/jetty-duo/final/captions.vtt", 30, "/home/ada/…/final/captions.vtt"},
		{"日本語日本語日本語.vtt", 12, "日本…語.vtt"},
		{"", 5, ""},
	} {
		if got := CutMiddle(c.in, c.n); got != c.want || Columns(got) > c.n {
			t.Errorf("%q to %d: %q, want %q", c.in, c.n, got, c.want)
		}
	}
}
