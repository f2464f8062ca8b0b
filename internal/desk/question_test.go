package desk

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"saywatt/schema"
)

func TestHome(t *testing.T) {
	v := visit(t, Config{Who: "Ines Varga"})
	v.get("/").sees(200, "Orrindale Jetty Duo",
		"60 quantities said = 45 as heard + 12 repaired + 2 for your ear + 1 in no field; "+
			"among them 1 withdrawn by the speaker; in all 3 for your ear, 1 name among them",
		"not saved", "? 8 questions 2 for your ear + 6 “belongs to”", "Take care", "You decide as Ines Varga")
	v.post("/who", "who", "Tam <Orde>").sees(200, "You decide as Tam <Orde>",
		"Your name goes with what you decide from now on")
	v.get("/nowhere").sees(404, "There is no such page here")
	v.get("/r/nobody/question").sees(404, "No review of this name is open")
}

// The question that answers most comes first, with what speaks for each reading.
func TestQuestion(t *testing.T) {
	v := visit(t, Config{})
	r := v.desk.find("demo")
	asked := r.agenda(r.state()).asking().All()
	v.get("/r/demo").sees(200, "1:39 heard as power of a test for: measured no-load power",
		fmt.Sprintf("1 of %d", asked), "8 watts?", "n Leave it", "about 2 minutes left")
	if !strings.HasSuffix(v.at.Path, "/question/"+noLoad) {
		t.Errorf("the first question is %s", v.at.Path)
	}
	v.get("/r/demo/question/"+resistance).sees(200, "1:21 heard as on resistance of the sync rectifier MOSFET",
		"29 Miller homes?", "1 2.9 mΩ "+v.chance("demo", resistance, 0),
		"2 29 mΩ as heard "+v.chance("demo", resistance, 1),
		"speaks for it the decimal point was lost; the unit was shown as another word: captions often do that", "Factors shift the odds between it and 29 mΩ", "x No quantity <1 %", "3 % for another value")
	v.get("/r/demo/question/"+noLoad).sees(200, "1 8 W as heard "+v.chance("demo", noLoad, 0),
		"2 0.08 W "+v.chance("demo", noLoad, 1), "h As heard")
	// A reason names other moments, which are links.
	v.get("/r/demo/question/715-723").sees(200, "volts times amperes give the power stated for it: 20 V at 0:33")
	if !strings.Contains(v.body, `volts times amperes give the power stated for it: <a class="mark heard" href="/r/demo/question/`) {
		t.Error("the moments of a reason are no links")
	}
	v.get("/r/demo/question/1-2").sees(404, "No quantity is read at this place")
	v.get("/r/demo/question/1-").sees(404)
	v.get("/r/demo/evidence/" + resistance + ".svg").sees(200)
	if !strings.HasPrefix(v.body, "<?xml") {
		t.Error("the evidence is no picture")
	}
}

func TestChooseAndUndo(t *testing.T) {
	v := visit(t, Config{Who: "Ines Varga"})
	v.get("/r/demo").post("/r/demo/decide", "version", "0", "at", resistance, "reading", v.field("at")).sees(422,
		"this reading could not be read back")
	v.post("/r/demo/decide", "version", "0", "at", resistance, "reading", `{"value":29,"unit":"mOhm"}`, "note", "heard it twice").
		sees(200, "Noted.", "What that did Noted. “29 Miller homes”: 29 mΩ.")
	if at := v.field("at"); !strings.HasSuffix(v.first("demo"), "/"+at) {
		t.Errorf("the next question is %s", at)
	}
	v.get("/r/demo/question/"+resistance).sees(200,
		"Decided: 29 mΩ by Ines Varga, 1 March 2026, 14:30 UTC (reading): heard it twice")
	s := v.desk.find("demo").state()
	said := quantityAt(s.record, resistance)
	if said.Status != schema.StatusSettled || said.Quantity.String() != "29 mΩ" {
		t.Errorf("%v, %s", said.Status, said.Quantity)
	}
	v.get("/r/demo/decisions").sees(200,
		"1 March 2026, 14:30 UTC, Ines Varga, reading: heard it twice “29 Miller homes”: 29 mΩ")
	v.post("/r/demo/undo", "version", "1", "act", "1").sees(200, "Taken back.",
		"“29 Miller homes”: as before anybody decided")
	if said := quantityAt(v.desk.find("demo").state().record, resistance); said.Status != schema.StatusOpen {
		t.Errorf("after taking back it is %v", said.Status)
	}
	// Taking back can be taken back.
	v.post("/r/demo/undo", "version", "2", "act", "2").sees(200)
	if said := quantityAt(v.desk.find("demo").state().record, resistance); said.Quantity.String() != "29 mΩ" {
		t.Errorf("after taking back twice it is %s", said.Quantity)
	}
	// What was decided anew is not taken back by taking back what was before.
	v.post("/r/demo/undo", "version", "3", "act", "1").sees(422, "Nothing was chosen, so nothing was changed")
	v.post("/r/demo/undo", "version", "3", "act", "one").sees(400)
}

func TestTyped(t *testing.T) {
	v := visit(t, Config{})
	for _, tt := range []struct{ typed, want string }{
		{"", "no number is in what you typed"},
		{"about right", "no number is in what you typed"},
		{"2.9 milliohms and 3 A", "more than one quantity"},
		{"2.9 mOhm but not sure", "“2.9 mOhm but not sure” is not understood"},
		{strings.Repeat("9", 300), "a value of more than 200 bytes"},
	} {
		v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", tt.typed).sees(422, tt.want)
	}
	for i, tt := range []struct{ typed, want string }{
		{"7.5", "7.5 mΩ"},
		{"0.0075 ohms", "0.0075 Ω"},
		{"two point nine", "2.9 mΩ"},
		{"6 to 7", "6–7 mΩ"},
	} {
		v.post("/r/demo/decide", "version", string(rune('0'+i)), "at", resistance, "act", "typed", "typed",
			tt.typed).sees(200, "“29 Miller homes”: "+tt.want)
	}
	v.post("/r/demo/decide", "version", "99", "at", resistance, "act", "typed", "typed", "7").sees(422,
		"version 99 is not one of this log")
}

func TestAsHeardUnclearNothing(t *testing.T) {
	v := visit(t, Config{})
	v.post("/r/demo/decide", "version", "0", "at", "2268-2282", "act", "heard").sees(200, "“100 watt hours”: 100 Wh")
	v.post("/r/demo/decide", "version", "1", "at", noLoad, "act", "heard").sees(200, "“8 watts”: 8 W")
	v.post("/r/demo/decide", "version", "2", "at", resistance, "act", "unclear").
		sees(200, "“29 Miller homes”: cannot be made out by ear", "What it belongs to")
	v.settlePlaces("demo").sees(200, "Nothing waits for you here", "Somebody listened to these and could not tell")
	v.get("/").sees(200, "✓ no question not asked any more: 1 that nobody could tell")
	v.get("/r/demo/question/"+resistance).sees(200, "nobody could tell")
	version := v.desk.find("demo").state().version()
	v.post("/r/demo/decide", "version", strconv.Itoa(version), "at", resistance, "act", "nothing").sees(200,
		"“29 Miller homes”: no quantity")
	v.get("/r/demo/question/" + resistance).sees(404)
	v.post("/r/demo/undo", "version", strconv.Itoa(version+1), "act", strconv.Itoa(version+1)).sees(200,
		"cannot be made out by ear")

	// "165 million" of a transistor is milliohms, and nothing as it stands.
	const text = "We open it. The fuse is 2 amps. The MOSFET is 30 volts and 165 million."
	if _, err := v.desk.Open(t.Context(), "inside.txt", strings.NewReader(text)); err != nil {
		t.Fatal(err)
	}
	at := strings.Index(text, "165")
	v.post("/r/inside/decide", "version", "0", "at", fmt.Sprintf("%d-%d", at, len(text)-1), "act", "heard").
		sees(422, "the words as heard are no quantity")
}

// An answer moves what hangs on it, and the page says so: another capacitance
// makes the total of two another, a length of 315 mm makes the other edges
// doubtful, and one of 31.5 mm makes them sure again.
func TestEffects(t *testing.T) {
	v := visit(t, Config{})
	v.post("/r/demo/decide", "version", "0", "at", "1487-1502", "act", "typed", "typed", "4.7").
		sees(200, "“47 micro farads”: 4.7 µF", "“94 microfarads” 94 µF before, now 9.4 µF, repaired")
	v.post("/r/demo/decide", "version", "1", "at", "323-338", "act", "typed", "typed", "315").
		sees(200, "Besides it, 2 other values moved",
			"“64” 64 mm: as heard before, now needs your ear ? a question now", "10 questions")
	v.post("/r/demo/decide", "version", "2", "at", "323-338", "act", "typed", "typed", "31.5").
		sees(200, "“64” 64 mm: needs your ear before, now as heard ✓ no question any more", "8 questions")
	// Whoever comes later is not shown an act that was not theirs.
	v.get("/r/demo/question?done=answered&v=2").lacks("What that did", "moved")
}

func TestConflict(t *testing.T) {
	v := visit(t, Config{Who: "Ines Varga"})
	other := comer(t, v.desk)
	other.post("/who", "who", "Tam Orde")
	v.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "2.9").sees(200)
	other.post("/r/demo/decide", "version", "0", "at", resistance, "act", "typed", "typed", "29").
		sees(http.StatusConflict, "Nothing was changed", "Ines Varga, 1 March 2026, 14:30 UTC", "2.9 mΩ",
			"you, just now", "29 mΩ", "Decide mine all the same")
	if said := quantityAt(v.desk.find("demo").state().record, resistance); said.Quantity.String() != "2.9 mΩ" {
		t.Errorf("the conflict left %s", said.Quantity)
	}
	// Another place is no conflict.
	other.post("/r/demo/decide", "version", "0", "at", noLoad, "act", "heard").sees(200, "What it belongs to")
	// Made again against what is now, it holds.
	other.post("/r/demo/decide", "version", "2", "at", resistance, "act", "typed", "typed", "29").sees(200)
	other.get("/r/demo/decisions").sees(200, "Tam Orde, typed “29 Miller homes”: 29 mΩ")
}

// The same words at three places are decided at once, after they were shown,
// and taken back at once.
func TestEverywhere(t *testing.T) {
	v := visit(t, Config{})
	v.send(map[string]string{"tern.vtt": "WEBVTT\n\n00:01.000 --> 00:04.000\nThe Tern Two charger. Output 20 volts " +
		"325 amps, 65 watts.\n\n00:05.000 --> 00:08.000\nIn the test 20 volts 325 amps, fine.\n\n00:09.000 --> 00:12.000\nThe cable carries 325 amps.\n"}, nil).sees(200, "Reading files")
	v.desk.jobs.wait.Wait()
	r := v.desk.find("tern")
	if r == nil {
		t.Fatal("the review is not open")
	}
	var at []string
	for i := range r.state().record.Quantities {
		if q := &r.state().record.Quantities[i]; q.Heard == "325 amps" {
			at = append(at, addressOf(r.state().record, q))
		}
	}
	if len(at) != 3 {
		t.Fatalf("325 amps is read %d times", len(at))
	}
	v.get("/r/tern/question/"+at[0]).sees(200, "a the same everywhere: 2 other places were heard so")
	v.post("/r/tern/decide", "version", "0", "at", at[0], "act", "typed", "typed", "3.25", "everywhere", "yes").
		sees(200, "“325 amps” is to be 3.25 A, also where it was heard so besides", "0:05", "0:09", "now 3.25 A")
	if r.state().version() != 0 {
		t.Error("a preview changed something")
	}
	v.post("/r/tern/decide", "version", "0", "at", at[0], "act", "typed", "typed", "3.25", "everywhere", "yes",
		"confirmed", "yes", "also", at[1], "also", at[2], "also", "0-5").
		sees(200, "“325 amps” and 2 more places: 3.25 A")
	for _, a := range at {
		if q := quantityAt(r.state().record, a); q.Status != schema.StatusSettled || q.Quantity.String() != "3.25 A" {
			t.Errorf("%s: %v %s", a, q.Status, q.Quantity)
		}
	}
	v.post("/r/tern/undo", "version", "3", "act", "1").sees(200, "Taken back")
	for _, a := range at {
		if q := quantityAt(r.state().record, a); q.Status == schema.StatusSettled {
			t.Errorf("%s is still settled", a)
		}
	}
}

// "As heard is right" quiets the like of it: it stays open, is asked about by
// nobody, and is listed where nothing else waits. Taken back, it is asked again.
func TestAsHeardQuietsTheLike(t *testing.T) {
	v := visit(t, Config{Threshold: 0.98})
	const part = "The sync rectifier MOSFET is a Ulvendor UV 1068, 100 volts, 29 Miller homes.\n\n"
	id, err := v.desk.Open(t.Context(), "twins.txt", strings.NewReader("Inside the charger. "+part+part+part))
	if err != nil {
		t.Fatal(err)
	}
	r := v.desk.find(id)
	order := r.questions(r.state())
	if len(order) < 2 || likeOf(order[0]) != likeOf(order[1]) {
		t.Fatalf("%d questions, which are not alike", len(order))
	}
	n := len(order)
	v.post("/r/twins/decide", "version", "0", "at", addressOf(r.state().record, order[0]), "act", "heard").sees(200)
	s := r.state()
	left := r.questions(s)
	if len(left) == 0 {
		t.Fatal("the like of it is not open any more")
	}
	for _, o := range left {
		if s.later(o) != askedQuiet {
			t.Errorf("%q as %s of %d questions is asked about", o.Heard, o.Role, n)
		}
	}
	v.get("/r/twins/question").sees(200, "left alone since you found the like of them right as heard", "29 mΩ")
	v.post("/r/twins/undo", "version", "1", "act", "1").sees(200)
	if s := r.state(); s.later(r.questions(s)[0]) != askedNow {
		t.Error("taken back, it is not asked about")
	}
}
