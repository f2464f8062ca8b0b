package normalize

import (
	"strings"
	"testing"

	"saywatt/schema"
)

// TestCutsHold: the cut of numbers side by side that an answer names is the one
// that is read, whichever reads better without it.
func TestCutsHold(t *testing.T) {
	for _, text := range []string{
		"The output voltage is 27 86 volts with no load.",
		"It weighs 1 250 grams and it is 28 5 millimeters thick.",
		"At 20 volts it measured 19 85 volts.",
	} {
		for _, heard := range []string{"27 86 volts", "86 volts", "1 250 grams", "250 grams", "28 5 millimeters",
			"5 millimeters", "19 85 volts", "85 volts"} {
			at := strings.Index(text, heard)
			if at < 0 {
				continue
			}
			span := schema.Span{Start: at, End: at + len(heard)}
			_, word, _ := strings.Cut(heard[strings.LastIndexByte(heard, ' '):], " ")
			unit := map[byte]schema.Unit{'v': "V", 'g': "g", 'm': "mm"}[word[0]]
			q := schema.MustQuantity("7 " + string(unit))
			for name, a := range map[string]Answer{
				"a value":     {Span: span, Quantity: &q},
				"no quantity": {Span: span},
				"a place":     {Span: span, Place: &schema.BelongsTo{To: "aside.other"}},
			} {
				said, _, err := placed(t, text, a)
				if err != nil {
					t.Errorf("%q answered with %s: %v", heard, name, err)
					continue
				}
				seen := false
				for i := range said {
					switch s := said[i].Span; {
					case s == span:
						seen = true
					case s.Start < span.End && s.End > span.Start:
						t.Errorf("%q answered with %s: %q stands", heard, name, said[i].Heard)
					}
				}
				if seen == (name == "no quantity") {
					t.Errorf("%q answered with %s: said %v", heard, name, seen)
				}
			}
		}
	}
}

// TestPortNotSpokenOf: captions may have lost a port; a person can name it.
func TestPortNotSpokenOf(t *testing.T) {
	const text = "The output is 12 volts at 5 amps, 60 watts."
	at := strings.Index(text, "12 volts")
	_, where, err := placed(t, text, Answer{Span: schema.Span{Start: at, End: at + len("12 volts")},
		Place: &schema.BelongsTo{To: "level.output", Port: "DC"}})
	if err != nil {
		t.Fatal(err)
	}
	if got := where[0].Context.Port; got != "DC" {
		t.Errorf("the level is of %q, want DC", got)
	}
}
