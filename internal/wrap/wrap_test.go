package wrap

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestLines(t *testing.T) {
	for _, c := range []struct {
		text string
		room int
		want string // a bar between lines
	}{
		{"", 10, ""},
		{" \n ", 10, ""},
		{"one two  three", 7, "one two|three"},
		{"one two three", 6, "one|two|three"},
		{"one two three", 100, "one two three"},
		{"a capacitance b", 6, "a|capacitance|b"}, // a long word is left whole
		{"µΩ µΩ µΩ", 5, "µΩ µΩ|µΩ"},
	} {
		if got := strings.Join(Lines(c.text, c.room, utf8.RuneCountInString), "|"); got != c.want {
			t.Errorf("%q in %d: %q, want %q", c.text, c.room, got, c.want)
		}
	}
	// Widths may be other than counts: here every letter is half a point wide.
	half := func(s string) float64 { return float64(len(s)) / 2 }
	if got := strings.Join(Lines("one two three", 3.5, half), "|"); got != "one two|three" {
		t.Errorf("in points: %q", got)
	}
}

func TestCut(t *testing.T) {
	for _, c := range []struct {
		text string
		n    int
		want string
	}{
		{"", 3, ""}, {"abc", 3, "abc"}, {"abcd", 3, "abc d"}, {"abcdefg hi", 3, "abc def g hi"}, {"µΩµΩ", 3, "µΩµ Ω"},
	} {
		if got := Cut(c.text, c.n); got != c.want {
			t.Errorf("%q by %d: %q, want %q", c.text, c.n, got, c.want)
		}
	}
}

// No word is lost, none changes its place, and no line of more than one word is
// wider than there is room; what was cut has no wider line at all.
func TestNothingIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zµ ]{0,60}`).Draw(t, "text")
		room := rapid.IntRange(1, 20).Draw(t, "room")
		lines := Lines(text, room, utf8.RuneCountInString)
		if got, want := strings.Fields(strings.Join(lines, " ")), strings.Fields(text); !equal(got, want) {
			t.Fatalf("%q became %q", want, got)
		}
		for _, l := range lines {
			if strings.Contains(l, " ") && utf8.RuneCountInString(l) > room {
				t.Fatalf("%q is wider than %d", l, room)
			}
		}
		for _, l := range Lines(Cut(text, room), room, utf8.RuneCountInString) {
			if utf8.RuneCountInString(l) > room {
				t.Fatalf("cut, %q is wider than %d", l, room)
			}
		}
	})
}

func equal(a, b []string) bool { return strings.Join(a, " ") == strings.Join(b, " ") }
