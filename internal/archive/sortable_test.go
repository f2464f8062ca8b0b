package archive

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

func TestSortable(t *testing.T) {
	for _, c := range []struct{ number, want string }{
		{"0", "5"},
		{"0.000", "5"},
		{"12.5", "6501125"},
		{"1", "65001"},
		{"100", "65021"},
		{"0.0047", "649747"},
		{"0.5", "64995"},
		{"-12.5", "4498874~"},
	} {
		if got := sortable(schema.MustDecimal(c.number)); got != c.want {
			t.Errorf("%s is spelled %s, want %s", c.number, got, c.want)
		}
	}
}

// Spellings sort as numbers do, and read back as the number.
func TestSortableKeepsTheOrder(t *testing.T) {
	number := rapid.Custom(func(t *rapid.T) schema.Decimal {
		return schema.NewDecimal(rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "digits"),
			rapid.Int32Range(-18, 12).Draw(t, "exponent"))
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := number.Draw(t, "a"), number.Draw(t, "b")
		if got, want := strings.Compare(sortable(a), sortable(b)), a.Cmp(b); got != want {
			t.Fatalf("%s %s and %s %s compare %d, want %d", a, sortable(a), b, sortable(b), got, want)
		}
		if back, ok := unsortable(sortable(a)); !ok || !back.Equal(a) {
			t.Fatalf("%s is spelled %s, read as %s", a, sortable(a), back)
		}
	})
}

func TestWords(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"20 volts at 3.25 A.", "20|volts|at|3.25|a"},
		{"USB-C1 PD3.1", "usb|c1|pd3.1"},
		{"47 µF, 5 Ω", "47|uf|5|ω"},
		{"…5.", "5"},
		{"größe", "größe"},
		{"a\xffb", "a|b"},
		{"", ""},
		{"1..2", "1|2"},
	} {
		if got := strings.Join(words(c.text), "|"); got != c.want {
			t.Errorf("%q has the words %q, want %q", c.text, got, c.want)
		}
	}
}

// The places of tokens are inside the text and hold the word.
func TestTokensAreWhereTheySay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := string(rapid.SliceOf(rapid.Byte()).Draw(t, "text"))
		if rapid.Bool().Draw(t, "valid") {
			text = rapid.String().Draw(t, "utf8")
		}
		end := 0
		for _, tok := range tokens(text) {
			if tok.start < end || tok.end > len(text) || fold(text[tok.start:tok.end]) != tok.text {
				t.Fatalf("%q: token %+v", text, tok)
			}
			end = tok.end
		}
	})
}
