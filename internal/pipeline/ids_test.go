package pipeline

import (
	"testing"

	"saywatt/extract/transcript"
	"saywatt/internal/demo"
	"saywatt/normalize"
	"saywatt/schema"
)

// idsOf lists what levels and parts are known by, with what they are.
func idsOf(r *schema.Record) map[string]string {
	all := map[string]string{}
	for i := range r.Levels {
		l := &r.Levels[i]
		all[l.ID] = l.Mode + " " + l.Port + " " + l.Protocol
	}
	for i := range r.Components {
		all[r.Components[i].ID] = r.Components[i].Kind
	}
	return all
}

// Levels and parts keep their ids when a person decides a value, whichever it
// is, and no two have the same.
func TestIDsSurviveAnswers(t *testing.T) {
	tr, err := transcript.Parse(demo.Name, []byte(demo.Captions()))
	if err != nil {
		t.Fatal(err)
	}
	before, err := Run(tr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := idsOf(before)
	if len(want) != len(before.Levels)+len(before.Components) || want[""] != "" {
		t.Fatalf("%d ids of %d levels and %d parts: %v", len(want), len(before.Levels), len(before.Components), want)
	}
	for _, s := range before.Quantities {
		if s.Status != schema.StatusOpen && s.Status != schema.StatusRepaired {
			continue
		}
		for _, r := range s.Readings {
			if r.Quantity.Unit.Kind() != s.Quantity.Unit.Kind() {
				continue // a voltage that was none is no level
			}
			after, err := Run(tr, Options{Answers: []normalize.Answer{{Span: s.Span, Quantity: &r.Quantity}}})
			if err != nil {
				t.Fatal(err)
			}
			got := idsOf(after)
			for id, what := range want {
				if got[id] != what {
					t.Errorf("with “%s” settled as %s, %s is %q and was %q", s.Heard, r.Quantity.String(), id, got[id],
						what)
				}
			}
		}
	}
}
