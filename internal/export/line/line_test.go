package line

import (
	"strings"
	"testing"

	"saywatt/internal/export/word"
)

func TestFlow(t *testing.T) {
	for _, c := range []struct {
		name string
		runs []Run
		want string
	}{
		{"fits", []Run{Styled("5 V 3 A", 0)}, "> 5 V 3 A\n"},
		{"wraps under its start", []Run{Styled("one two three four five six", 0)}, "> one two three\n  four five six\n"},
		{"no-break spaces hold", []Run{Styled("12345678901234 5"+word.NBSP+"V", 0)}, "> 12345678901234\n  5 V\n"},
		{"runs without a blank are one word", []Run{Styled("1234567890123 3.2", 0), Styled("5 A", 0)}, "> 1234567890123\n  3.25 A\n"},
		{"long words are cut", []Run{Styled("12345678901234567890", 0)}, "> 1234567890123456\n  7890\n"},
		{"wide characters count twice", []Run{Styled("世世世世世世世世世", 0)}, "> 世世世世世世世世\n  世\n"},
		{"nothing", nil, ">\n"},
	} {
		var b strings.Builder
		l := Writer{w: &b, Width: 18}
		l.Flow("> ", 2, c.runs)
		if b.String() != c.want {
			t.Errorf("%s: %q, want %q", c.name, b.String(), c.want)
		}
	}
}
