package normalize

import (
	"errors"
	"math"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/schema"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// find returns the quantity whose heard words are these.
func find(t testing.TB, said []schema.Said, heard string) *schema.Said {
	t.Helper()
	for i := range said {
		if said[i].Heard == heard {
			return &said[i]
		}
	}
	t.Fatalf("nothing was heard as %q", heard)
	return nil
}

func answer(s *schema.Said, quantity string) Answer {
	a := Answer{Span: s.Span}
	if quantity != "" {
		q := schema.MustQuantity(quantity)
		a.Quantity = &q
	}
	return a
}

// A decision stands whatever the engine thinks of it, and what hangs on it
// moves: the neighbour's doubt goes the way the decided value speaks.
func TestAnswers(t *testing.T) {
	for _, c := range []struct {
		name, text, heard, decided string
		neighbour, moves           string // its words, and the reading that gains
	}{
		{"the voltage decides the current", "On the output side it says 20 volts at 325 amps, 65 watts max.", "325 amps", "3.25 A", "65 watts", "65 W"},
		{"the energy decides the voltage", "The cell is 4500 milliamp hours at 36 volts, so 162 watt hours.", "162 watt hours", "16.2 W.h", "36 volts", "3.6 V"},
		{"the volume decides the edge", "It measures 66.2 by 38.5 by 301 millimetres, so 767 cubic centimetres.", "767 cubic centimetres", "76.7 cm3", "301 millimetres", "30.1 mm"},
	} {
		doc := read(t, c.text)
		before := Ranker{}
		a, _ := before.Rank(doc)
		after := Ranker{Answers: []Answer{answer(find(t, a, c.heard), c.decided)}}
		b, _ := after.Rank(doc)
		s := find(t, b, c.heard)
		if s.Status != schema.StatusSettled || s.Confidence != 1 || !s.Quantity.Same(schema.MustQuantity(c.decided)) ||
			len(s.Readings) != 1 {
			t.Errorf("%s: %s stands as %s, %s with %v", c.name, c.decided, s.Quantity, s.Status, s.Confidence)
		}
		old, now := confidence(find(t, a, c.neighbour), c.moves), confidence(find(t, b, c.neighbour), c.moves)
		if now <= old && old < 0.99 { // what is as good as sure has nothing to gain
			t.Errorf("%s: %s had %v, has %v", c.name, c.moves, old, now)
		}
	}
}

// confidence of a reading of a quantity, 0 where it is not among the first.
func confidence(s *schema.Said, reading string) float64 {
	for _, r := range s.Readings {
		if r.Quantity.Same(schema.MustQuantity(reading)) {
			return r.Confidence
		}
	}
	return 0
}

// Whatever is answered to whatever is said, it stands, no other quantity
// vanishes for it, and the same answers give the same record.
func TestAnswersStand(t *testing.T) {
	var docs []*extract.Document
	var first [][]schema.Said
	for _, c := range sentences {
		doc := read(t, c.text)
		r := Ranker{}
		said, _ := r.Rank(doc)
		if len(said) > 0 {
			docs, first = append(docs, doc), append(first, said)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.IntRange(0, len(docs)-1).Draw(t, "sentence")
		doc, said := docs[d], first[d]
		i := rapid.IntRange(0, len(said)-1).Draw(t, "quantity")
		value := rapid.SampledFrom([]string{"", "3.25 A", "20 V", "3.3..21 V", "1000000 mOhm", "-5 Cel", "0 W",
			"12345678901234567890.5 mA.h"}).Draw(t, "answer")
		a := answer(&said[i], value)
		r := Ranker{Answers: []Answer{a}}
		got, _ := r.Rank(doc)
		settled := 0
		for k := range got {
			s := &got[k]
			if math.IsNaN(s.Confidence) {
				t.Fatalf("%v: %s has no probability", a.Span, s.Quantity)
			}
			if s.Status != schema.StatusSettled {
				continue
			}
			settled++
			if a.Quantity == nil || !s.Quantity.Same(*a.Quantity) || s.Confidence != 1 || s.Span != a.Span {
				t.Fatalf("%q at %v answered %q stands as %s with %v at %v", said[i].Heard, a.Span, value, s.Quantity,
					s.Confidence, s.Span)
			}
		}
		want := 1
		if a.Quantity == nil {
			want = 0
			for k := range got {
				if got[k].Span == a.Span {
					t.Fatalf("%q is no quantity, and stands as %s", said[i].Heard, got[k].Quantity)
				}
			}
		}
		if settled != want && !fused(said, a.Span) {
			t.Fatalf("%q answered %q settled %d", said[i].Heard, value, settled)
		}
		again, _ := r.Rank(doc)
		for k := range got {
			if !got[k].Quantity.Same(again[k].Quantity) || got[k].Confidence != again[k].Confidence {
				t.Fatalf("two runs differ: %s %v, %s %v", got[k].Quantity, got[k].Confidence, again[k].Quantity,
					again[k].Confidence)
			}
		}
	})
}

// fused reports whether two quantities stand at one place.
func fused(said []schema.Said, span schema.Span) bool {
	n := 0
	for i := range said {
		if said[i].Span == span {
			n++
		}
	}
	return n > 1
}

// Each half of two numbers run together takes the answer of its own kind.
func TestAnswersToFusedNumbers(t *testing.T) {
	doc := read(t, "The output: 15 volts 3 amps, 25 amps, 100 watts in all.")
	r := Ranker{}
	said, _ := r.Rank(doc)
	if len(said) != 5 || said[2].Span != said[3].Span || said[2].Kind != schema.KindVoltage ||
		said[3].Kind != schema.KindCurrent {
		t.Fatalf("25 amps were not read as 20 V, 5 A: %v", said)
	}
	r.Answers = []Answer{answer(&said[2], "20 V"), answer(&said[3], "4.5 A")}
	said, _ = r.Rank(doc)
	for i, want := range map[int]string{2: "20 V", 3: "4.5 A"} {
		if !said[i].Quantity.Same(schema.MustQuantity(want)) || said[i].Status != schema.StatusSettled {
			t.Errorf("half %d stands as %s, %s; want %s", i-1, said[i].Quantity, said[i].Status, want)
		}
	}
}

// An open quantity says what an answer would be worth: nothing more is open
// that says nothing, nothing settled says anything.
func TestInformation(t *testing.T) {
	open := 0
	for _, c := range sentences {
		r := Ranker{Threshold: 0.999}
		said, _ := r.Rank(read(t, c.text))
		for i := range said {
			s := &said[i]
			switch {
			case fused(said, s.Span): // their doubt is where to cut, which is not counted yet
			case s.Status == schema.StatusOpen && s.Confidence < 0.99:
				open++
				if !(s.Information > 0) {
					t.Errorf("%s: %s is open at %v and gives %v bits", c.name, s.Quantity, s.Confidence, s.Information)
				}
			case s.Status != schema.StatusOpen && s.Information != 0:
				t.Errorf("%s: %s is %s and gives %v bits", c.name, s.Quantity, s.Status, s.Information)
			}
		}
	}
	if open < 10 {
		t.Errorf("only %d were open", open)
	}
	// of two doubtful ones, the one that others hang on says more
	doc := read(t, "The output is 20 volts at 225 amps, 17 watts. Open it. Copper sheet 03 millimetres.")
	r := Ranker{Threshold: 0.9999}
	said, _ := r.Rank(doc)
	tied, alone := find(t, said, "225 amps"), find(t, said, "03 millimetres")
	if e := entropyOf(tied); tied.Status == schema.StatusOpen && tied.Information <= e-0.01 {
		t.Errorf("a tied one of %v bits gives %v", e, tied.Information)
	}
	if e := entropyOf(alone); math.Abs(alone.Information-e) > 0.1 {
		t.Errorf("one alone, of %v bits, gives %v", e, alone.Information)
	}
}

// entropyOf is the entropy of the readings shown among themselves, in bits: a
// little less than that of all.
func entropyOf(s *schema.Said) float64 {
	sum := 0.0
	for _, r := range s.Readings {
		sum += r.Confidence
	}
	h := 0.0
	for _, r := range s.Readings {
		if p := r.Confidence / sum; p > 0 {
			h -= p * math.Log2(p)
		}
	}
	return h
}

func TestReadAnswers(t *testing.T) {
	got, err := ReadAnswers(strings.NewReader(`{"span":[715,723],"quantity":{"value":3.25,"unit":"A"}}

  {"span":[40,44],"nothing":true,"note":"a price"}
{"span":[50,60],"quantity":{"low":3.3,"high":21,"unit":"V"},"note":"heard it twice"}`), "answers.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		span     schema.Span
		quantity string
	}{{schema.Span{Start: 715, End: 723}, "3.25 A"}, {schema.Span{Start: 40, End: 44}, ""},
		{schema.Span{Start: 50, End: 60}, "3.3..21 V"}} {
		if i >= len(got) {
			t.Fatalf("%d answers", len(got))
		}
		if a := got[i]; a.Span != want.span || (a.Quantity == nil) != (want.quantity == "") ||
			a.Quantity != nil && !a.Quantity.Same(schema.MustQuantity(want.quantity)) {
			t.Errorf("answer %d: %v %v, want %v %s", i+1, a.Span, a.Quantity, want.span, want.quantity)
		}
	}
	const right = `{"span":[1,2],"nothing":true}` + "\n"
	for _, c := range []struct {
		name, text, where string
		cause             error
	}{
		{"decides nothing", right + `{"span":[1,2]}`, "a.jsonl:2:", ErrAnswer},
		{"decides both ways", `{"span":[1,2],"nothing":true,"quantity":{"value":1,"unit":"A"}}`, "a.jsonl:1:", ErrAnswer},
		{"a range upside down", right + `{"span":[1,2],"quantity":{"low":21,"high":3,"unit":"g"}}`, "a.jsonl:2:", ErrFalls},
		{"no place", right + right + `{"nothing":true}`, "a.jsonl:3:", ErrAnswer},
		{"another key", `{"span":[1,2],"nothing":true,"why":"x"}`, "a.jsonl:1:", nil},
		{"no JSON", right + "\n20 volts", "a.jsonl:3:", nil},
		{"no unit of ours", `{"span":[1,2],"quantity":{"value":1,"unit":"bolts"}}`, "a.jsonl:1:", nil},
		{"more behind it", `{"span":[1,2],"nothing":true} {"span":[3,4],"nothing":true}`, "a.jsonl:1:", schema.ErrTrailing},
		{"a place said and not", `{"span":[1,2],"place":{"to":"power"},"place_unclear":true}`, "a.jsonl:1:", ErrAnswer},
		{"nothing, of a place", `{"span":[1,2],"nothing":true,"place_unclear":true}`, "a.jsonl:1:", ErrAnswer},
		{"a span that falls", `{"span":[5,2],"nothing":true}`, "a.jsonl:1:", nil},
	} {
		got, err := ReadAnswers(strings.NewReader(c.text), "a.jsonl")
		if err == nil {
			t.Errorf("%s: no error, %d answers", c.name, len(got))
			continue
		}
		if !strings.HasPrefix(err.Error(), c.where) || c.cause != nil && !errors.Is(err, c.cause) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// That nobody could tell answers nothing; beside it a value or a place counts.
func TestReadUnclear(t *testing.T) {
	for text, want := range map[string]struct{ quantity, place bool }{
		`{"span":[1,2],"unclear":true}`:                                                  {},
		`{"span":[1,2],"place_unclear":true}`:                                            {},
		`{"span":[1,2],"unclear":true,"place_unclear":true}`:                             {},
		`{"span":[1,2],"unclear":true,"place":{"to":"power"}}`:                           {place: true},
		`{"span":[1,2],"quantity":{"value":1,"unit":"A"},"place_unclear":true}`:          {quantity: true},
		`{"span":[1,2],"quantity":{"value":1,"unit":"A"},"place":{"to":"meas.current"}}`: {true, true},
	} {
		got, err := ReadAnswers(strings.NewReader(text), "a.jsonl")
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		var is struct{ quantity, place bool }
		for _, a := range got {
			is.quantity, is.place = a.Quantity != nil, a.Place != nil
		}
		if is != want {
			t.Errorf("%s answers %+v, want %+v", text, is, want)
		}
	}
}

func FuzzReadAnswers(f *testing.F) {
	for _, s := range []string{"", "{}", `{"span":[715,723],"quantity":{"value":3.25,"unit":"A"}}`, `{"span":[40,44],"nothing":true,"note":"x"}`,
		`{"span":[0,1],"quantity":{"low":1e9,"high":-1,"unit":""}}`, "null\n[]\n0"} {
		f.Add([]byte(s))
	}
	text := "The output is 20 volts at 325 amps, 65 watts."
	doc := read(f, text)
	f.Fuzz(func(t *testing.T, b []byte) {
		answers, err := ReadAnswers(strings.NewReader(string(b)), "fuzz.jsonl")
		if err != nil {
			if !strings.HasPrefix(err.Error(), "fuzz.jsonl:") {
				t.Fatalf("the error names no place: %v", err)
			}
			return
		}
		r := Ranker{Answers: answers}
		said, _ := r.Rank(doc)
		for i := range said {
			if p := said[i].Confidence; math.IsNaN(p) || p < 0 || p > 1 {
				t.Fatalf("%s has %v", said[i].Quantity, p)
			}
		}
	})
}

// An answer that no quantity takes is refused with its line, the cause, and
// the places near it; what the same words take by Rank stays as it was.
func TestStrayAnswers(t *testing.T) {
	const text = "The output is 20 volts at 325 amps, 65 watts. It weighs 120 grams."
	volt, amp := schema.MustQuantity("20 V"), schema.MustQuantity("3.25 A")
	for _, c := range []struct {
		name   string
		answer Answer
		cause  error
		want   string
	}{
		{"its place", Answer{Span: schema.Span{Start: 26, End: 34}, Quantity: &amp}, nil, ""},
		{"its words", Answer{Span: schema.Span{Start: 26, End: 34}, Quantity: &amp, Heard: "325\n amps", For: "/a/b/talk"}, nil, ""},
		{"it is nothing", Answer{Span: schema.Span{Start: 26, End: 34}}, nil, ""},
		{"no place", Answer{Span: schema.Span{Start: 1, End: 2}, From: "a.jsonl:7"}, ErrNoQuantity,
			`a.jsonl:7: [1,2] of talk: no quantity was said there; near it are [14,22] "20 volts", [26,34] "325 amps", [36,44] "65 watts"`},
		{"half of a place", Answer{Span: schema.Span{Start: 26, End: 29}, Quantity: &amp}, ErrNoQuantity,
			`[26,29] of talk: no quantity was said there; near it are [14,22] "20 volts", [26,34] "325 amps", [36,44] "65 watts"`},
		{"behind the end", Answer{Span: schema.Span{Start: 900, End: 950}}, ErrNoQuantity,
			`[900,950] of talk: no quantity was said there; near it are [26,34] "325 amps", [36,44] "65 watts", [56,65] "120 grams"`},
		{"other words", Answer{Span: schema.Span{Start: 14, End: 22}, Quantity: &volt, Heard: "20 bolts"}, ErrOtherWords,
			`[14,22] of talk: other words were heard there; near it are [14,22] "20 volts", [26,34] "325 amps", [36,44] "65 watts"`},
		{"another file", Answer{Span: schema.Span{Start: 14, End: 22}, Quantity: &volt, For: "walk"}, ErrOtherFile,
			`[14,22] of talk: the answer is for another file, walk`},
	} {
		doc := read(t, text)
		doc.Transcript.Name = "talk"
		r := Ranker{Answers: []Answer{c.answer}}
		said, _, err := r.Decide(doc)
		if c.cause == nil {
			if err != nil || len(said) == 0 {
				t.Errorf("%s: %d quantities, %v", c.name, len(said), err)
			}
			continue
		}
		if !errors.Is(err, c.cause) || err.Error() != c.want {
			t.Errorf("%s: printed %q, want %q", c.name, err, c.want)
		}
		plain := Ranker{}
		want, _ := plain.Rank(doc)
		if got, _ := r.Rank(doc); !cmp.Equal(got, want) {
			t.Errorf("%s: a stray answer moved something: %s", c.name, cmp.Diff(want, got))
		}
	}
}

// Two numbers run together take answers of their own kinds and no other.
func TestAnswerOfAnotherKind(t *testing.T) {
	doc := read(t, "The output: 15 volts 3 amps, 25 amps, 100 watts in all.")
	r := Ranker{}
	said, _ := r.Rank(doc)
	r.Answers = []Answer{answer(&said[2], "12 g")}
	if _, _, err := r.Decide(doc); !errors.Is(err, ErrOtherKind) {
		t.Errorf("a mass for a voltage and a current: %v", err)
	}
}
