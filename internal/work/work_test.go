package work

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"saywatt/internal/archive"
)

func TestSameBytes(t *testing.T) {
	dir := narrated(t, 12)
	want := joined(alone(t, dir))
	for _, reference := range []bool{false, true} {
		j := openTest(t, Layout{})
		s := &Sender{Job: j, ByReference: reference}
		if n := send(t, s, dir); n != 12 {
			t.Fatalf("sent %d of 12", n)
		}
		if n := send(t, s, dir); n != 0 {
			t.Errorf("sent %d twice", n)
		}
		w := &Worker{Job: j, Jobs: 2}
		drain(t, w)
		if got := gathered(t, j); got != want {
			t.Errorf("by reference %v: not what one process reads", reference)
		}
		// Sent again, and taken in: the records are as they were.
		s.Again = true
		send(t, s, dir)
		w = &Worker{Job: j, Jobs: 2}
		drain(t, w)
		if got := gathered(t, j); got != want {
			t.Errorf("by reference %v: not the same when sent again", reference)
		}
		st, err := j.Status(t.Context(), 5)
		if err != nil {
			t.Fatal(err)
		}
		if st.Results != 12 || st.Waiting != 0 || st.InHands != 0 || st.Dead != 0 {
			t.Errorf("status %+v", st)
		}
	}
}

// Captions that there is a record of are not read again, though the broker no
// longer knows that it had them; changed ones are.
func TestSentLater(t *testing.T) {
	dir := narrated(t, 6)
	write(t, filepath.Join(dir, "esk", "station.vtt"), station)
	j := openTest(t, Layout{Duplicates: 100 * time.Millisecond})
	for round, want := range []struct {
		sent       int
		read, same int64
	}{{7, 7, 0}, {0, 0, 7}, {1, 1, 6}, {7, 7, 0}} {
		time.Sleep(300 * time.Millisecond)
		if round == 2 {
			write(t, filepath.Join(dir, "esk", "station.vtt"), strings.Replace(station, "20 volts", "15 volts", 1))
		}
		if n := send(t, &Sender{Job: j, Again: round == 3}, dir); n != want.sent {
			t.Errorf("round %d: %d sent, want %d", round, n, want.sent)
		}
		w := &Worker{Job: j}
		drain(t, w)
		if w.Counts.Read.Load() != want.read || w.Counts.Same.Load() != want.same {
			t.Errorf("round %d: %d read, %d were there; want %+v", round, w.Counts.Read.Load(), w.Counts.Same.Load(),
				want)
		}
		if got := gathered(t, j); got != joined(alone(t, dir)) {
			t.Errorf("round %d: not what one process reads", round)
		}
	}
}

func TestDeadLetters(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "good.vtt"), "WEBVTT\n\n00:01.000 --> 00:02.000\nthe port gives 20 volts at 3 amps\n")
	write(t, filepath.Join(dir, "sub", "empty.vtt"), "WEBVTT\n\n00:01.000 --> 00:02.000\n \n")
	j := openTest(t, Layout{})
	send(t, &Sender{Job: j}, dir)
	w := &Worker{Job: j, Tries: 2}
	drain(t, w)
	letters, err := j.deadLetters(t.Context(), 10)
	if err != nil || len(letters) != 1 {
		t.Fatalf("%v, %v", letters, err)
	}
	d := letters[0]
	if d.File != "sub/empty.vtt" || d.Review != "sub-empty" || d.Tries != 2 ||
		!strings.Contains(d.Reason, "no words") && !strings.Contains(d.Reason, "empty") {
		t.Errorf("letter %+v", d)
	}
	if w.Counts.Failed.Load() != 2 || w.Counts.Dead.Load() != 1 || w.Counts.Read.Load() != 1 {
		t.Errorf("failed %d, dead %d, read %d", w.Counts.Failed.Load(), w.Counts.Dead.Load(), w.Counts.Read.Load())
	}
}

const station = `WEBVTT

00:01.000 --> 00:04.000
without a load it draws 8 watts from the mains

00:05.000 --> 00:08.000
the port gives 20 volts at 3 amps
`

func TestAnswers(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "esk", "station.vtt"), station)
	j := openTest(t, Layout{})
	s := &Sender{Job: j}
	send(t, s, dir)
	drain(t, &Worker{Job: j})
	at := strings.Index(station, "8 watts")
	answer := `{"span":[` + itoa(at) + `,` + itoa(at+7) + `],"quantity":{"value":0.08,"unit":"W"}}` + "\n"
	shards := &Shards{Dir: t.TempDir(), Count: 1}
	gather := func() {
		t.Helper()
		if err := (&Gatherer{Job: j, Log: quiet()}).Archives(t.Context(), shards); err != nil {
			t.Fatal(err)
		}
	}
	gather()
	if _, err := j.SendAnswers(t.Context(), "esk-station", "test", []byte(answer)); err != nil {
		t.Fatal(err)
	}
	w := &Worker{Job: j}
	drain(t, w)
	if w.Counts.Again.Load() != 1 {
		t.Errorf("read again %d times", w.Counts.Again.Load())
	}
	gather()
	a, err := archive.Open(shards.Dir)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	rv, r, _, err := a.Record("esk-station")
	if err != nil {
		t.Fatal(err)
	}
	if rv.Version != 2 {
		t.Errorf("version %d, want 2", rv.Version)
	}
	settled := 0
	for _, q := range r.Quantities {
		if q.Status.String() == "settled" && q.Heard == "8 watts" {
			settled++
		}
	}
	if settled != 1 {
		t.Errorf("%d quantities settled", settled)
	}
	// The captions come again: the answer holds. One that fits nothing is
	// reported, and the record stays.
	s.Again = true
	send(t, s, dir)
	stray := `{"span":[1,2],"quantity":{"value":1,"unit":"W"}}`
	if _, err := j.SendAnswers(t.Context(), "esk-station", "test", []byte(stray)); err != nil {
		t.Fatal(err)
	}
	before := gathered(t, j)
	drain(t, &Worker{Job: j})
	if got := gathered(t, j); got != before {
		t.Error("the record changed")
	}
	letters, err := j.deadLetters(t.Context(), 5)
	if err != nil || len(letters) != 1 || !strings.Contains(letters[0].Reason, "no quantity was said there") {
		t.Errorf("letters %+v, %v", letters, err)
	}
}

// Answers that come before the captions wait for them.
func TestAnswersFirst(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "esk", "station.vtt"), station)
	at := strings.Index(station, "8 watts")
	j := openTest(t, Layout{})
	answer := `{"span":[` + itoa(at) + `,` + itoa(at+7) + `],"nothing":true}` + "\n"
	if _, err := j.SendAnswers(t.Context(), "esk-station", "test", []byte(answer)); err != nil {
		t.Fatal(err)
	}
	send(t, &Sender{Job: j}, dir)
	drain(t, &Worker{Job: j})
	if got := gathered(t, j); strings.Contains(got, `"8 watts"`) && !strings.Contains(got, `settled`) {
		t.Error("the decision is not in the record")
	}
}

// A worker that is asked to stop ends what it has and no more; the rest stays
// for others.
func TestGracefulStop(t *testing.T) {
	dir := narrated(t, 40)
	j := openTest(t, Layout{})
	send(t, &Sender{Job: j}, dir)
	ctx, stop := context.WithCancel(t.Context())
	w := &Worker{Job: j, Name: "first", Jobs: 2}
	done := make(chan error)
	go func() { done <- w.Run(ctx) }()
	for w.Counts.Read.Load() < 3 {
		time.Sleep(time.Millisecond)
	}
	stop()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	st, err := j.Status(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	if st.InHands != 0 || int64(st.Results) != w.Counts.Read.Load() || st.Waiting+st.Results != 40 {
		t.Errorf("%d in hands, %d results of %d read, %d waiting", st.InHands, st.Results, w.Counts.Read.Load(),
			st.Waiting)
	}
	if len(st.Workers) != 0 {
		t.Errorf("a worker that ended is listed: %+v", st.Workers)
	}
	drain(t, &Worker{Job: j, Jobs: 2})
	if got := gathered(t, j); got != joined(alone(t, dir)) {
		t.Error("not what one process reads")
	}
}
