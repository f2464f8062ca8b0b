package query

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

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
		if got := strings.Join(Words(c.text), "|"); got != c.want {
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
		for _, tok := range Tokens(text) {
			if tok.start < end || tok.end > len(text) || fold(text[tok.start:tok.end]) != tok.text {
				t.Fatalf("%q: token %+v", text, tok)
			}
			end = tok.end
		}
	})
}
