package desk

import (
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

func saidWith(nothing float64, readings ...float64) *schema.Said {
	s := &schema.Said{Nothing: nothing}
	for _, p := range readings {
		s.Readings = append(s.Readings, schema.Reading{Confidence: p})
	}
	return s
}

// What is shown of probabilities adds up, no quantity among them.
func TestShares(t *testing.T) {
	for _, tt := range []struct {
		said *schema.Said
		want string
	}{
		{saidWith(0.03, 0.56, 0.22, 0.05), "56 22 5 | 3 | 14"},
		{saidWith(0, 0.9998), ">99 | <1 | <1"},
		{saidWith(0.9, 0.06), "6 | 90 | 4"},
		{saidWith(0.5, 0.5), "50 | 50 | <1"},
		{saidWith(0.335, 0.335, 0.33), "33 33 | 34 | <1"},
		{saidWith(0), " | <1 | 100"},
		{saidWith(0.125), " | 12 | 88"}, // a half goes to the even figure
		{saidWith(0, 0.4, 0.2, 0.1, 0.1, 0.05, 0.1), "40 20 10 10 5 | <1 | 15"},
	} {
		s := sharesOf(tt.said)
		got := strings.NewReplacer("\u00a0", "", "%", "").Replace(strings.Join(s.Readings, " ") + " | " + s.Nothing +
			" | " + s.Rest)
		if got != tt.want && !(tt.want == " | <1 | 100" && got == " | <1 | >99") {
			t.Errorf("%v: %q, want %q", tt.said.Readings, got, tt.want)
		}
	}
}

func TestSharesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		left := 1.0
		next := func() float64 {
			p := left * rapid.Float64Range(0, 1).Draw(t, "share")
			left -= p
			return p
		}
		said := saidWith(next())
		for range rapid.IntRange(0, 7).Draw(t, "readings") {
			said.Readings = append(said.Readings, schema.Reading{Confidence: next()})
		}
		s := sharesOf(said)
		sum, small, sure := 0, 0, false
		for _, words := range append(s.Readings, s.Nothing, s.Rest) {
			switch words {
			case "<1\u00a0%":
				small++
			case ">99\u00a0%":
				sum, sure = sum+99, true
			default:
				n, err := strconv.Atoi(strings.TrimSuffix(words, "\u00a0%"))
				if err != nil {
					t.Fatal(words)
				}
				sum += n
			}
		}
		if sum != 100 && !sure || sum > 100 {
			t.Fatalf("%v, %v: %+v make %d %%", said.Nothing, said.Readings, s, sum)
		}
	})
}
