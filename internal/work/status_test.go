package work

import (
	"context"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
)

func TestStatusText(t *testing.T) {
	left, oldest := 90.0, 4.04
	s := &Status{Job: "tarn", Waiting: 7, InHands: 2, Redone: 1, Results: 30, Answers: 1, Dead: 1, Rate: 0.1,
		Left: &left, Oldest: &oldest,
		Workers: []workerStatus{{Name: "a-1", Seconds: 61.2, Busy: 2, Read: 30, Same: 1, Failed: 3, Dead: 1,
			Rate: 0.1}},
		Letters: []deadLetter{{Review: "esk", File: "esk.vtt", Reason: "esk.vtt: no words\x1b in it", Tries: 3}}}
	const want = `job tarn: 30 read, 7 wait, 2 in hands
  1 of those in hands came back before
  the first of them came 4s ago
  0.1 a second; 1m30s left at that
  1 decisions are not read with yet
workers: 1
  a-1: 0.1 a second, 30 read, 1 were there, 2 in hand; 3 tries failed, 1 given up; for 1m1s
dead letters: 1
  esk.vtt (esk), 3 tries: esk.vtt: no words`
	var b strings.Builder
	if err := s.WriteText(&b); err != nil || !strings.HasPrefix(b.String(), want) ||
		strings.Contains(b.String(), "\x1b") {
		t.Errorf("%v\n%s", err, b.String())
	}
}

// Metrics are those that a worker counted and the broker knows.
func TestMetrics(t *testing.T) {
	dir := narrated(t, 3)
	j := openTest(t, Layout{})
	send(t, &Sender{Job: j}, dir)
	w := &Worker{Job: j, Name: "one"}
	drain(t, w)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- w.ServeMetrics(ctx, l) }()
	res, err := http.Get("http://" + l.Addr().String() + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(res.Body)
	res.Body.Close()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`saywatt_records_total{job="saywatt",worker="one"} 3`, `saywatt_failed_total{job="saywatt",worker="one"} 0`,
		`saywatt_job_waiting{job="saywatt"} 0`, `saywatt_job_results{job="saywatt"} 3`, `saywatt_job_dead_letters{job="saywatt"} 0`,
	} {
		if !strings.Contains(string(b), want+"\n") {
			t.Errorf("no %s in\n%s", want, b)
		}
	}
	stop()
	if err := <-done; err != nil {
		t.Error(err)
	}
}
