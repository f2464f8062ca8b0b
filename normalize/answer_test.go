package normalize

import (
	"errors"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

func TestReadAnswers(t *testing.T) {
	got, err := ReadAnswers(strings.NewReader(`{"span":[7,15],"quantity":{"value":3.25,"unit":"A"}}

{"span":[20,24],"nothing":true,"note":"a price"}
`), "a.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 2 || got[0].Span != (schema.Span{Start: 7, End: 15}) || got[0].Quantity.String() != "3.25 A" || got[1].Quantity != nil {
		t.Errorf("got %+v", got)
	}
	for _, c := range []struct{ name, in, want string }{
		{"no JSON", "{\"span\":[1,2],\"nothing\":true}\nnonsense\n", "a.jsonl:2: "},
		{"neither", `{"span":[1,2]}`, "a.jsonl:1: " + ErrAnswer.Error()},
		{"both", `{"span":[1,2],"nothing":true,"quantity":{"value":1,"unit":"V"}}`, ErrAnswer.Error()},
		{"no span", `{"nothing":true}`, ErrAnswer.Error()},
		{"unknown field", `{"span":[1,2],"nothing":true,"volts":3}`, `unknown field "volts"`},
		{"unknown unit", `{"span":[1,2],"quantity":{"value":1,"unit":"watts"}}`, "unknown unit"},
		{"reversed span", `{"span":[9,2],"nothing":true}`, "a.jsonl:1: "},
	} {
		if _, err := ReadAnswers(strings.NewReader(c.in), "a.jsonl"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q in it", c.name, err, c.want)
		}
	}
	if _, err := ReadAnswers(strings.NewReader(`{"span":[1,2]}`), "a"); !errors.Is(err, ErrAnswer) {
		t.Errorf("cause lost: %v", err)
	}
}

// said reads a text and returns its quantities by heard words.
func said(t *testing.T, text string, answers ...Answer) map[string]schema.Said {
	t.Helper()
	tr, err := transcript.Parse("review.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	r := Ranker{Answers: answers}
	all, _ := r.Rank(extract.Find(tr))
	m := map[string]schema.Said{}
	for _, s := range all {
		m[s.Heard] = s
	}
	return m
}

// An answer stands, and what hangs on it moves: three cans of 27 or 2.7 µF,
// 81 or 8.1 µF together.
func TestAnswersMoveNeighbours(t *testing.T) {
	const text = "Teardown. Bulk capacitors, three of them, 400 volts, 27 microfarads each, 81 microfarads together. The fuse is 3.15 amps."
	before := said(t, text)
	heard := before["27 microfarads"]
	if heard.Quantity.String() != "27 µF" {
		t.Fatalf("before any answer: %s", heard.Quantity)
	}
	small := schema.MustQuantity("2.7 uF")
	after := said(t, text, Answer{Span: heard.Span, Quantity: &small})
	got := after["27 microfarads"]
	if got.Status != schema.StatusSettled || !got.Quantity.Same(small) || got.Confidence != 1 {
		t.Errorf("answered: %s %s %v", got.Quantity, got.Status, got.Confidence)
	}
	sum := func(m map[string]schema.Said) float64 {
		for _, r := range m["81 microfarads"].Readings {
			if r.Quantity.Same(schema.MustQuantity("8.1 uF")) {
				return r.Confidence
			}
		}
		return 0
	}
	if a, b := sum(before), sum(after); b <= a {
		t.Errorf("8.1 µF for the three had %v, and %v after 2.7 µF was settled; it should rise", a, b)
	}
}

func TestAnswerNothing(t *testing.T) {
	const text = "It takes 20 volts at 3 amps."
	before := said(t, text)
	after := said(t, text, Answer{Span: before["3 amps"].Span})
	if _, there := after["3 amps"]; there || len(after) != len(before)-1 {
		t.Errorf("still said: %v", after)
	}
}

func TestInformation(t *testing.T) {
	for heard, s := range said(t, "Size 66.2 by 38.5 by 301 millimetres. Copper sheet 03 millimetres. It weighs 100 grams.") {
		if open := s.Status == schema.StatusOpen; open != (s.Information > 0) {
			t.Errorf("%q is %s and has %v bits", heard, s.Status, s.Information)
		}
	}
}
