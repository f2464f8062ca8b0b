package desk

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"saywatt/normalize"
	"saywatt/schema"
)

// atrium opens a review of many ports, whose places are in doubt.
func (v *visitor) atrium() *review {
	v.Helper()
	text, err := os.ReadFile("../demo/narrations/atrium-station.vtt")
	if err != nil {
		v.Fatal(err)
	}
	if _, err := v.desk.Open(v.Context(), "atrium.vtt", bytes.NewReader(text)); err != nil {
		v.Fatal(err)
	}
	return v.desk.find("atrium")
}

// What a value belongs to is a decision like what it is: the candidates come
// first, what moves is shown, and it is taken back without the value.
func TestBelongs(t *testing.T) {
	v := visit(t, Config{})
	r := v.atrium()
	doubts := r.placeDoubts(r.state())
	if len(doubts) < 3 {
		t.Fatalf("%d places are in doubt", len(doubts))
	}
	said := doubts[0]
	at, first := addressOf(r.state().record, said), said.Belongs[0]
	v.get("/r/atrium/places").sees(200, "What it belongs to", "1 "+first.Words, elsewhere[0].Words(), "In no field")
	if v.field("ask") != "place" {
		t.Error("the page does not ask for the place")
	}
	other := said.Belongs[1].Place
	v.post("/r/atrium/decide", "version", "0", "at", at, "back", "places", "place", placeJSON(other)).sees(200,
		"of: "+other.Words(), "Noted.")
	if v.field("at") == at {
		t.Error("the next place is the same")
	}
	now := quantityAt(r.state().record, at)
	if !now.BelongsSettled {
		t.Error("the place is not settled")
	}
	// A value decided then keeps the place, and the other way round.
	v.post("/r/atrium/decide", "version", "1", "at", at, "act", "typed", "typed", "7").sees(200)
	v.post("/r/atrium/decide", "version", "2", "at", at, "act", "place", "to", "none").sees(200,
		"7 V, of: nothing, or what no field has")
	s := r.state()
	e := s.stands[spotOf(s.record, quantityAt(s.record, at))]
	if e.Place == nil || e.Place.To != "none" || e.Quantity == nil || quantityAt(s.record, at).Place != "" {
		t.Errorf("%+v stands, in %q", e, quantityAt(s.record, at).Place)
	}
	v.get("/r/atrium/sheet").sees(200, "heard “"+strings.Join(strings.Fields(said.Heard), " ")+"”")
	// Taken back one after another, and as an answer file says it.
	for _, want := range []string{other.To, other.To, ""} {
		done, _ := history(r.state().entries)
		v.post("/r/atrium/undo", "version", "99", "act", lastOf(done)) // a version that is not there
		v.get("/r/atrium/decisions")
		v.post("/r/atrium/undo", "version", v.field("version"), "act", lastOf(done)).sees(200, "Taken back.")
		s := r.state()
		var b bytes.Buffer
		if err := writeLog(&b, s.entries); err != nil {
			t.Fatal(err)
		}
		read, err := normalize.ReadAnswers(&b, "log")
		if err != nil {
			t.Fatal(err)
		}
		to := ""
		for _, a := range read {
			if a.Place != nil {
				to = a.Place.To
			}
		}
		e := s.stands[spot{span: said.Span}]
		switch {
		case to != want:
			t.Errorf("an answer file says %q, want %q", to, want)
		case want != "" && (e == nil || e.Place == nil || e.Place.To != want):
			t.Errorf("%+v stands, want %q", e, want)
		case want == "" && e != nil:
			t.Errorf("%+v stands", e)
		}
	}
	if q := quantityAt(r.state().record, at); q.BelongsSettled || q.Status == schema.StatusSettled {
		t.Error("all taken back, something is settled")
	}
	v.post("/r/atrium/decide", "version", v.field("version"), "at", at, "place", "{").sees(422,
		"no kind of place was chosen")
	v.post("/r/atrium/decide", "version", v.field("version"), "at", at, "act", "place", "to", "nowhere").sees(422)
	v.post("/r/atrium/later", "at", at, "ask", "place", "back", "places")
	if v.field("at") == at {
		t.Error("a place put off is asked first")
	}
}

// The archive keeps places too.
func TestBelongsInArchive(t *testing.T) {
	v := visit(t, Config{Archive: newArchive(t)})
	r := v.desk.find("demo")
	q := r.placeDoubts(r.state())[0]
	v.post("/r/demo/decide", "version", "0", "at", addressOf(r.state().record, q), "place",
		placeJSON(q.Belongs[0].Place)).sees(200, "of: "+q.Belongs[0].Words)
	all, err := r.log.entries()
	if err != nil || len(all) != 1 || all[0].Place == nil || *all[0].Place != q.Belongs[0].Place {
		t.Errorf("%+v, %v", all, err)
	}
}

// That nobody can tell what a value belongs to is kept beside the value, asked no
// more, listed, and taken back; an answer file says nothing of it to the engine.
func TestPlaceUnclear(t *testing.T) {
	for _, c := range []Config{{}, {Archive: newArchive(t)}} {
		v := visit(t, c)
		r := v.desk.find("demo")
		q := r.placeDoubts(r.state())[0]
		at, n := addressOf(r.state().record, q), r.agenda(r.state()).asking()
		v.get("/r/demo/place/"+at).sees(200, "where does "+q.Quantity.String()+" belong?", "x In no field",
			"c Cannot tell", "b What was said")
		v.post("/r/demo/decide", "version", "0", "at", at, "act", "place-unclear", "ask", "place").sees(200,
			"what it belongs to cannot be known")
		if now := r.agenda(r.state()).asking(); now.Places != n.Places-1 || now.Lost != 1 || now.Values != n.Values {
			t.Errorf("%+v were asked, now %+v", n, now)
		}
		v.post("/r/demo/decide", "version", "1", "at", at, "act", "typed", "typed", "7").sees(200,
			", what it belongs to cannot be known")
		s := r.state()
		if e := s.stands[spotOf(s.record, quantityAt(s.record, at))]; e == nil || !e.PlaceUnclear || e.Quantity == nil {
			t.Errorf("%+v stands", e)
		}
		if all, err := r.log.entries(); err != nil || !all[len(all)-1].PlaceUnclear {
			t.Errorf("%+v, %v", all, err)
		}
		var b bytes.Buffer
		if err := writeLog(&b, s.entries); err != nil {
			t.Fatal(err)
		}
		if read, err := normalize.ReadAnswers(&b, "log"); err != nil || len(read) != 1 || read[0].Place != nil ||
			read[0].Quantity == nil {
			t.Errorf("%+v, %v", read, err)
		}
		v.get("/r/demo/place/"+at).sees(200, "nobody could tell")
		for range 2 {
			done, _ := history(r.state().entries)
			v.get("/r/demo/decisions")
			v.post("/r/demo/undo", "version", v.field("version"), "act", lastOf(done)).sees(200, "Taken back.")
		}
		if now := r.agenda(r.state()).asking(); now != n {
			t.Errorf("taken back, %+v are asked, before %+v", now, n)
		}
	}
}

// A value that nobody can tell keeps what it belongs to, and a value that is said
// to be unclear after it was decided is decided no more, in an answer file too.
func TestUnclearKeepsThePlace(t *testing.T) {
	v := visit(t, Config{})
	r := v.desk.find("demo")
	answers := func() []normalize.Answer {
		t.Helper()
		var b bytes.Buffer
		if err := writeLog(&b, r.state().entries); err != nil {
			t.Fatal(err)
		}
		all, err := normalize.ReadAnswers(&b, "log")
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	place := schema.BelongsTo{To: "meas.input_power"}
	v.post("/r/demo/decide", "version", "0", "at", noLoad, "place", placeJSON(place), "ask", "place").sees(200, "of: ")
	v.post("/r/demo/decide", "version", "1", "at", noLoad, "act", "typed", "typed", "8").sees(200)
	v.post("/r/demo/decide", "version", v.field("version"), "at", noLoad, "act", "unclear").sees(200,
		"cannot be made out by ear, of: ")
	if all := answers(); len(all) != 1 || all[0].Place == nil || *all[0].Place != place || all[0].Quantity != nil {
		t.Errorf("an answer file says %+v", all)
	}
}

// Places are asked among the values, by what an answer is worth, but never before it
// is decided what was said; those that stand and fall together count for each other.
func TestPlacesAmongValues(t *testing.T) {
	v := visit(t, Config{Threshold: 0.99}) // so that more is in doubt
	r := v.atrium()
	s := r.state()
	a := r.agenda(s)
	bits := placeBits(s.record.Quantities)
	last, turns := 10.0, 0
	for i, ask := range a.order {
		now := worth(ask.said)
		if ask.place {
			now = placeWorth(ask.said, bits[ask.said.Number-1])
			if ask.said.Status == schema.StatusOpen { // it comes after what was said
				now = min(now, worth(ask.said))
				if !slices.Contains(a.order[:i], question{ask.said, false}) {
					t.Errorf("where %q belongs is asked before what was said", ask.said.Heard)
				}
			}
		}
		if now > last {
			t.Errorf("question %d is worth %v, the one before it %v", i, now, last)
		}
		last = now
		if i > 0 && ask.place != a.order[i-1].place {
			turns++
		}
	}
	if turns < 4 {
		t.Errorf("values and places take turns %d times among %d", turns, len(a.order))
	}
	if n := a.asking(); len(a.order) != n.All() || n.Values == 0 || n.Places == 0 {
		t.Errorf("%d are asked, %+v", len(a.order), n)
	}
	// After what was said, what it belongs to is asked at once.
	for _, q := range a.places {
		if q.Status != schema.StatusOpen {
			continue
		}
		at := addressOf(s.record, q)
		v.post("/r/atrium/decide", "version", fmt.Sprint(r.state().version()), "at", at, "reading",
			asJSON(&q.Readings[0].Quantity)).sees(200)
		now := quantityAt(r.state().record, at)
		if now == nil || !placeInDoubt(now) {
			continue // the number settled the place
		}
		if v.at.Path != "/r/atrium/place/"+at {
			t.Errorf("after what was said at %s comes %s", at, v.at.Path)
		}
		return
	}
	t.Error("no quantity is in doubt both ways")
}

func TestPlaceBits(t *testing.T) {
	here, there := schema.BelongsTo{To: "level.output"}, schema.BelongsTo{To: "power"}
	doubt := func(to schema.BelongsTo) schema.Said {
		return schema.Said{Belongs: []schema.Belonging{{Place: to, Confidence: 0.5},
			{Place: schema.BelongsTo{To: "none"}, Confidence: 0.5}}}
	}
	sure := schema.Said{}
	for _, tt := range []struct {
		what string
		all  []schema.Said
		want []float64
	}{
		{"alone", []schema.Said{doubt(here)}, []float64{1}},
		{"two of one list", []schema.Said{doubt(here), sure, doubt(here)}, []float64{1.5, 0, 1.5}},
		{"two places", []schema.Said{doubt(here), doubt(there)}, []float64{1, 1}},
		{"far apart", []schema.Said{doubt(here), sure, sure, sure, doubt(here)}, []float64{1, 0, 0, 0, 1}},
	} {
		if got := placeBits(tt.all); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.what, got, tt.want)
		}
	}
}

// What a decision settles besides is shown: where one of a list is placed, the
// others of it are no question any more.
func TestPlacesSettledBesides(t *testing.T) {
	v := visit(t, Config{})
	r := v.atrium()
	for range 40 {
		s := r.state()
		all := r.placeDoubts(s)
		if len(all) == 0 {
			break
		}
		q := all[0]
		v.post("/r/atrium/decide", "version", fmt.Sprint(s.version()), "at", addressOf(s.record, q), "ask", "place",
			"place", placeJSON(q.Belongs[0].Place)).sees(200)
		besides := len(all) - 1 - len(r.placeDoubts(r.state()))
		if besides > 0 {
			v.sees(200, "what it belongs to is no question any more")
			return
		}
	}
	t.Error("no place settled that of another")
}

// The candidates stand in the order of their probabilities, that of no field among
// them; one of no port is offered with each port of the review; the page says how
// sure it is of the place that stands.
func TestChoicesOfPlaces(t *testing.T) {
	said := &schema.Said{Number: 1, Quantity: schema.MustQuantity("2 A"), Kind: schema.KindCurrent,
		Place: "levels[0].current", Belongs: []schema.Belonging{
			{Place: nowhere, Confidence: 0.65},
			{Place: schema.BelongsTo{To: "level.input", Port: schema.NoPort}, Confidence: 0.21},
			{Place: schema.BelongsTo{To: "level.output", Port: schema.NoPort}, Confidence: 0.14, Taken: true}}}
	rec := &schema.Record{Ports: []schema.Port{{Name: "USB-C"}}, Levels: []schema.Level{{}},
		Quantities: []schema.Said{*said}}
	v := belongsOf(&state{record: rec}, said)
	var got []string
	for _, c := range v.Choices {
		got = append(got, c.Key+" "+strings.TrimSpace(c.Words+" "+strings.ReplaceAll(c.Percent, "\u00a0", " ")))
	}
	want := []string{"x in no field 65 %", "1 input, of no port 21 %", "2 output level, of no port 14 %",
		"3 input, USB-C", "4 output level, USB-C", "5 another product"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if v.Numbers() != 5 || v.Nowhere.Value != "" || strings.ReplaceAll(v.Sure, "\u00a0", " ") != "14 %" {
		t.Errorf("%d numbers, no field also %q, %s sure", v.Numbers(), v.Nowhere.Value, v.Sure)
	}
	said.Belongs = nil
	v = belongsOf(&state{record: rec}, said)
	if len(v.Choices) != 1 || v.Nowhere.Key != "x" || v.Sure != "" {
		t.Errorf("in no doubt: %+v, no field %+v, %q", v.Choices, v.Nowhere, v.Sure)
	}
}
