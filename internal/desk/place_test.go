package desk

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"saywatt/normalize"
	"saywatt/schema"
)

// What a value belongs to is a decision like what it is: the candidates come
// first, what moves is shown, and it is taken back without the value.
func TestBelongs(t *testing.T) {
	v := visit(t, Config{})
	text, err := os.ReadFile("../demo/narrations/atrium-station.vtt")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := v.desk.Open(t.Context(), "atrium.vtt", bytes.NewReader(text)); err != nil {
		t.Fatal(err)
	}
	r := v.desk.find("atrium")
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
	v.post("/r/atrium/decide", "version", "0", "at", at, "back", "places", "place", placeJSON(other)).sees(200, "of: "+other.Words(), "Noted.")
	if v.field("at") == at {
		t.Error("the next place is the same")
	}
	now := quantityAt(r.state().record, at)
	if !now.BelongsSettled {
		t.Error("the place is not settled")
	}
	// A value decided then keeps the place, and the other way round.
	v.post("/r/atrium/decide", "version", "1", "at", at, "act", "typed", "typed", "7").sees(200)
	v.post("/r/atrium/decide", "version", "2", "at", at, "act", "place", "to", "none").sees(200, "7 A, of: nothing, or what no field has")
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
		if err := WriteLog(&b, s.entries); err != nil {
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
	v.post("/r/atrium/decide", "version", v.field("version"), "at", at, "place", "{").sees(422, "no kind of place was chosen")
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
	v.post("/r/demo/decide", "version", "0", "at", addressOf(r.state().record, q), "place", placeJSON(q.Belongs[0].Place)).sees(200, "of: "+q.Belongs[0].Words)
	all, err := r.log.entries()
	if err != nil || len(all) != 1 || all[0].Place == nil || *all[0].Place != q.Belongs[0].Place {
		t.Errorf("%+v, %v", all, err)
	}
}
