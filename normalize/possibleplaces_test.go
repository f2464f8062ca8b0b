package normalize

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/assemble"
	"saywatt/schema"
)

// placed reads a text with answers on places.
func placed(t *testing.T, text string, answers ...Answer) ([]schema.Said, []assemble.Placed, error) {
	t.Helper()
	tr, err := transcript.Parse("talk.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	r := Ranker{Answers: answers}
	return r.Decide(extract.FindGiven(tr, extract.Given{Conditions: Conditions(answers), Names: Names(answers)}))
}

// An answer on a place stands, and what is said in one breath with it goes with
// it; its value is inferred in the new place.
func TestPlaceAnswers(t *testing.T) {
	const text = "USB C1 and USB C2. It gives 20 volts at 325 amps. It weighs 120 grams."
	at := func(heard string, to schema.BelongsTo) Answer {
		start := strings.Index(text, heard)
		return Answer{Span: schema.Span{Start: start, End: start + len(heard)}, Place: &to}
	}
	for _, c := range []struct {
		name, heard string
		to          schema.BelongsTo
		follows     string // the quantity that goes with it
		role        string // that the one answered is read for
		followsRole string
		mode        string
	}{
		{"a level", "20 volts", schema.BelongsTo{To: "level.output"}, "325 amps", "level.voltage", "level.current", "output"},
		{"a condition of a test", "20 volts", schema.BelongsTo{To: "cond.voltage"}, "325 amps", "condition.voltage", "condition.current", ""},
		{"the input", "20 volts", schema.BelongsTo{To: "level.input"}, "325 amps", "level.voltage", "level.current", "input"},
	} {
		said, where, err := placed(t, text, at(c.heard, c.to))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		s, f := find(t, said, c.heard), find(t, said, c.follows)
		if !s.BelongsSettled || f.BelongsSettled || s.Status == schema.StatusSettled {
			t.Errorf("%s: settled %v and %v, status %s", c.name, s.BelongsSettled, f.BelongsSettled, s.Status)
		}
		if mode := where[s.Number-1].Context.Mode; mode != c.mode {
			t.Errorf("%s: mode %s, want %s", c.name, mode, c.mode)
		}
		if s.Role != c.role || f.Role != c.followsRole {
			t.Errorf("%s: read for %s and %s, want %s and %s", c.name, s.Role, f.Role, c.role, c.followsRole)
		}
	}

	both := at("325 amps", schema.BelongsTo{To: "level.output", Port: "USB-C2"})
	q := schema.MustQuantity("3.25 A")
	both.Quantity = &q
	said, _, err := placed(t, text, both)
	if err != nil {
		t.Fatal(err)
	}
	if s := find(t, said, "325 amps"); !s.BelongsSettled || s.Status != schema.StatusSettled || !s.Quantity.Same(q) {
		t.Errorf("value and place stand as %s, %s", s.Quantity, s.Status)
	}
}

func TestStrayPlaces(t *testing.T) {
	const text = "USB C1. It gives 20 volts at 3 amps. Open it. On the board, the fuse is 2 amps, 250 volts."
	volts := schema.Span{Start: 17, End: 25}
	for _, c := range []struct {
		name  string
		span  schema.Span
		to    schema.BelongsTo
		cause error
		want  string
	}{
		{"fits", volts, schema.BelongsTo{To: "level.output", Port: "USB-C1"}, nil, ""},
		{"of no port", volts, schema.BelongsTo{To: "level.output", Port: "none"}, nil, ""},
		{"of nothing", volts, schema.BelongsTo{To: "aside.other"}, nil, ""},
		{"no such place", volts, schema.BelongsTo{To: "level.out"}, ErrNoPlace, `"level.out": nothing can belong there; there is level.input, level.output, level.shared`},
		{"of another kind", volts, schema.BelongsTo{To: "mass"}, ErrPlaceKind, "mass: a quantity of this kind cannot belong there; there is none, level.input"},
		{"no such port", volts, schema.BelongsTo{To: "level.output", Port: "USB-C7"}, ErrNoPort, "USB-C7: the review does not speak of this port; there is none, USB-C1, USB-C, AC"},
		{"a port of a part", volts, schema.BelongsTo{To: "part", Port: "USB-C1"}, ErrPortPlace, "USB-C1: only levels and powers have a port"},
		{"no such part", volts, schema.BelongsTo{To: "part", Part: "relay"}, ErrNoPart, "relay: the review does not speak of this part; there is fuse"},
		{"a part of a level", volts, schema.BelongsTo{To: "level.output", Part: "fuse"}, ErrPartPlace, "fuse: only ratings of parts have a part"},
		{"no quantity", schema.Span{Start: 0, End: 3}, schema.BelongsTo{To: "power"}, ErrNoQuantity, "no quantity was said there"},
	} {
		_, _, err := placed(t, text, Answer{Span: c.span, Place: &c.to, From: "a.jsonl:4"})
		if c.cause == nil {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		if !errors.Is(err, c.cause) || !strings.HasPrefix(err.Error(), "a.jsonl:4: ") ||
			!strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: printed %v", c.name, err)
		}
	}
}

func TestReadPlaceAnswers(t *testing.T) {
	place := schema.BelongsTo{To: "part", Part: "fuse"}
	b, err := json.Marshal(place)
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadAnswers(strings.NewReader(`{"span":[1,2],"quantity":{"value":1,"unit":"A"}}
{"span":[1,2],"place":`+string(b)+`}
{"span":[3,4],"place":{"to":"level.output","port":"USB-C1"},"quantity":{"value":1,"unit":"A"}}
{"span":[5,6],"place":{"to":"size"}}
{"span":[5,6],"reopened":true}`), "a.jsonl")
	if err != nil || len(got) != 3 {
		t.Fatalf("%d answers, %v", len(got), err)
	}
	if got[0].Place != nil || got[1].Quantity != nil || *got[1].Place != place || got[2].Place.Port != "USB-C1" ||
		got[2].Quantity == nil {
		t.Errorf("read as %v", got)
	}
	for text, want := range map[string]string{
		`{"span":[1,2],"place":{"to":"power"},"nothing":true}`:   `a.jsonl:1: want "span"`,
		`{"span":[1,2],"place":{"to":"power"},"reopened":true}`:  `a.jsonl:1: want "span"`,
		`{"place":{"to":"power"}}`:                               `a.jsonl:1: want "span"`,
		`{"span":[1,2],"place":{"to":"meas.riple"}}`:             `a.jsonl:1: "meas.riple": nothing can belong there; there is meas.voltage, meas.ripple`,
		`{"span":[1,2],"place":{}}`:                              `a.jsonl:1: "": nothing can belong there; there is none`,
		`{"span":[1,2],"place":{"to":"power","ports":"USB-C1"}}`: `a.jsonl:1: json: unknown field "ports"`,
		`{"span":[1,2],"place":{"to":"power"}} {"span":[1,2]}`:   `a.jsonl:1: `,
		"\n" + `{"span":[1,2],"place":"level.output"}`:           `a.jsonl:2: `,
	} {
		if _, err := ReadAnswers(strings.NewReader(text), "a.jsonl"); err == nil ||
			!strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// Every kind can be of nothing, of another product, of a part; and only a mass
// of a mass.
func TestPlacesFor(t *testing.T) {
	for kind, want := range map[schema.Kind]bool{schema.KindMass: true, schema.KindVoltage: false,
		schema.KindUnknown: true} {
		got := map[string]bool{}
		for _, p := range PlacesFor(kind) {
			got[p.To] = true
			if p.Words() == "" || strings.ContainsAny(p.Words(), "._") {
				t.Errorf("%s is put as %q", p.To, p.Words())
			}
		}
		if !got["none"] || !got["aside.other"] || !got["part"] || got["mass"] != want {
			t.Errorf("%s can be of %v", kind, got)
		}
	}
}

// Where it is in doubt what a quantity belongs to, the candidates say which of
// them was taken.
func TestTakenPlace(t *testing.T) {
	doubtful := 0
	for _, c := range []string{"The Pellucid Dot 20, a USB-C charger. Weight 38 grams, 28 by 28 by 30 mm. " +
		"standby 30 million watts.", "20 volts at 325 amps on the small one."} {
		said, _, err := placed(t, c)
		if err != nil {
			t.Fatal(err)
		}
		for i := range said {
			taken := 0
			for _, b := range said[i].Belongs {
				if b.Taken {
					taken++
				}
			}
			if len(said[i].Belongs) > 0 {
				doubtful++
				if taken != 1 {
					t.Errorf("%q: %d places taken of %v", said[i].Heard, taken, said[i].Belongs)
				}
			}
		}
	}
	if doubtful == 0 {
		t.Error("no place is in doubt here: the test says nothing")
	}
}
