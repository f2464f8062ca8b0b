package desk

import (
	"strings"
	"testing"
	"time"

	"saywatt/schema"
)

// A long review is read behind the pages: a decision is put down and shown at
// once, other pages wait for nothing, and what hangs on it follows.
func TestReadBehind(t *testing.T) {
	v := visit(t, Config{Who: "Ines Varga"})
	r := v.desk.find("demo")
	r.options.patience = 0 // every reading is too long
	before := quantityAt(r.state().record, "1487-1502")
	v.post("/r/demo/decide", "version", "0", "at", "1487-1502", "act", "typed", "typed", "4.7").sees(200,
		"“47 micro farads”: 4.7 µF")
	s, err := r.readWhole(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if q := quantityAt(s.record, "1487-1502"); q.Status != schema.StatusSettled || q.Quantity.String() != "4.7 uF" &&
		q.Quantity.String() != "4.7 µF" {
		t.Errorf("decided, it is %v %s", q.Status, q.Quantity)
	}
	if len(s.last) != 1 || s.last[0].After.Quantity.Same(s.last[0].Before.Quantity) {
		t.Errorf("what moved: %+v", s.last)
	}
	// The readings of what was decided are those of before.
	if was := r.undecided(s, quantityAt(s.record, "1487-1502")); !was.Quantity.Same(before.Quantity) ||
		len(was.Readings) != len(before.Readings) {
		t.Errorf("before it was decided it was %+v", was)
	}
	v.get("/r/demo/question?done=answered&v=1").sees(200, "Besides it, 1 other value moved")
	// A place that nothing of the kind has is refused at once.
	v.post("/r/demo/decide", "version", "1", "at", resistance, "act", "place", "to", "nowhere").sees(422)
	// Faster than it reads: all of it is there in the end.
	for i, typed := range []string{"6.9", "7", "7.1", "7.2"} {
		v.post("/r/demo/decide", "version", string(rune('1'+i)), "at", resistance, "act", "typed", "typed",
			typed).sees(200)
	}
	v.post("/r/demo/decide", "version", "5", "at", noLoad, "act", "nothing").sees(200, "“8 watts”: no quantity")
	if s, err = r.readWhole(t.Context()); err != nil || s.version() != 6 {
		t.Fatalf("%v, %v", s, err)
	}
	plain, err := v.desk.run(r.transcript)
	if err != nil {
		t.Fatal(err)
	}
	if got := quantityAt(s.record, resistance).Quantity.String(); got != "7.2 mΩ" ||
		len(s.record.Quantities) != len(plain.Quantities)-1 {
		t.Errorf("%s, %d quantities of %d", got, len(s.record.Quantities), len(plain.Quantities))
	}
	// Taken back, it is as it was; what is taken away waits until it was read whole.
	v.post("/r/demo/undo", "version", "6", "act", "6").sees(200, "Taken back.")
	v.get("/r/demo/out/readings.jsonl").sees(200)
	if n := strings.Count(v.body, "\n"); n != len(plain.Quantities) {
		t.Errorf("%d readings, want %d", n, len(plain.Quantities))
	}
	// Let go of, it is read again behind a page that says so.
	r.park()
	v.get("/r/demo/question").sees(503, "Being read", "reading it takes about 1 second")
	if _, err := r.readWhole(t.Context()); err != nil {
		t.Fatal(err)
	}
	v.get("/r/demo/sheet").sees(200, "7.2 mΩ")
}

// What is shown before the captions were read anew: the decision at its place,
// counts that add up, and the plain word that more is to come.
func TestShownMeanwhile(t *testing.T) {
	v := visit(t, Config{})
	r := v.desk.find("demo")
	s := r.state()
	q := quantityAt(s.record, noLoad)
	e := entryOn("demo.vtt", s.record, q)
	value := schema.MustQuantity("0.08 W")
	e.Quantity, e.How, e.Act = &value, howTyped, 1
	next := s.with([]entry{e})
	if now := quantityAt(next.record, noLoad); now.Status != schema.StatusSettled || now.Quantity.String() != "0.08 W" {
		t.Errorf("%v %s", now.Status, now.Quantity)
	}
	if quantityAt(s.record, noLoad).Status != schema.StatusOpen {
		t.Error("the state before was changed")
	}
	c := next.record.Counts
	if c.Heard+c.Repaired+c.Open+c.Settled+c.Unplaced != c.Said || c.Open != s.record.Counts.Open-1 || c.Settled != 1 {
		t.Errorf("%+v after %+v", c, s.record.Counts)
	}
	back := next.with([]entry{{Span: e.Span, Heard: e.Heard, Reopened: true, How: howUndo, Act: 2}})
	if now := quantityAt(back.record, noLoad); now.Status != schema.StatusOpen ||
		back.record.Counts != s.record.Counts {
		t.Errorf("taken back: %v, %+v", now.Status, back.record.Counts)
	}
	h := head(r, next)
	if h.Behind < 1 || head(r, s).Behind != 0 {
		t.Errorf("behind %d and %d", h.Behind, head(r, s).Behind)
	}
	if time.Duration(h.Behind)*time.Second > time.Minute {
		t.Errorf("it takes %d s", h.Behind)
	}
}
