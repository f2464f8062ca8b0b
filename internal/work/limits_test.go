package work

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// served is a job on a server in this process with a configuration of its own.
func served(t *testing.T, config string, l Layout) *Job {
	t.Helper()
	dir := t.TempDir()
	name := filepath.Join(dir, "server.conf")
	write(t, name, fmt.Sprintf("port: -1\njetstream { store_dir: %q }\nlog_file: %q\n%s", filepath.Join(dir, "store"),
		filepath.Join(dir, "log"), config))
	s, err := serveFile(name)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.stop)
	return connect(t, Broker{URL: s.address()}, l)
}

// What is too large for a message is in the object store, and comes back.
func TestLargeMessages(t *testing.T) {
	dir := narrated(t, 4)
	j := served(t, "max_payload: 20000\n", Layout{})
	send(t, &Sender{Job: j}, dir)
	drain(t, &Worker{Job: j})
	if got, want := gathered(t, j), alone(t, dir); got != joined(want) {
		t.Error("not what one process reads")
	} else {
		checkTables(t, j, want)
	}
	list, err := j.objects.List(t.Context())
	if err != nil || len(list) <= 4 {
		t.Errorf("%d objects, more than the captions wanted (%v)", len(list), err)
	}
}

// Where the stream is full the sender waits for workers.
func TestSenderWaits(t *testing.T) {
	const count, most = 8, 2
	dir := narrated(t, count)
	j := openTest(t, Layout{MaxWaiting: most})
	var sending sync.WaitGroup
	sending.Go(func() {
		if n := send(t, &Sender{Job: j}, dir); n != count {
			t.Errorf("sent %d", n)
		}
	})
	for left := 0; left < most; time.Sleep(10 * time.Millisecond) {
		left, _ = j.left(t.Context())
	}
	time.Sleep(100 * time.Millisecond)
	if info, err := j.work.Info(t.Context()); err != nil || info.State.Msgs != most {
		t.Errorf("%d tasks in the stream, want %d (%v)", info.State.Msgs, most, err)
	}
	working, stop := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- (&Worker{Job: j, Name: "test"}).Run(working) }()
	sending.Wait()
	for left := 1; left > 0; time.Sleep(10 * time.Millisecond) {
		left, _ = j.left(t.Context())
	}
	stop()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if got := gathered(t, j); got != joined(alone(t, dir)) {
		t.Error("not what one process reads")
	}
}

// No more captions are in workers' hands than the job allows.
func TestMostPending(t *testing.T) {
	j := openTest(t, Layout{MaxPending: 3})
	send(t, &Sender{Job: j}, narrated(t, 6))
	batch, err := j.tasks.Fetch(6, jetstream.FetchMaxWait(time.Second))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for range batch.Messages() {
		n++
	}
	if n != 3 {
		t.Errorf("%d handed out, want 3", n)
	}
}

// A task that no worker comes to an end with is given up, though none of them
// lives to say so.
func TestGivenUp(t *testing.T) {
	j := openTest(t, Layout{})
	send(t, &Sender{Job: j}, narrated(t, 1))
	for range defaultTries + extraDeliveries {
		batch, err := j.tasks.Fetch(1, jetstream.FetchMaxWait(5*time.Second))
		if err != nil {
			t.Fatal(err)
		}
		for m := range batch.Messages() {
			if err := m.Nak(); err != nil {
				t.Fatal(err)
			}
		}
	}
	w := &Worker{Job: j}
	drain(t, w)
	letters, err := j.deadLetters(t.Context(), 2)
	if err != nil || len(letters) != 1 ||
		letters[0].Reason != "handed out 23 times, and no worker came to an end with it" {
		t.Errorf("%+v, %v", letters, err)
	}
}

// A file by reference that is another one by now is not read for the first.
func TestChangedFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "esk", "station.vtt")
	write(t, name, station)
	j := openTest(t, Layout{})
	send(t, &Sender{Job: j, ByReference: true}, dir)
	write(t, name, station+"\n")
	drain(t, &Worker{Job: j, Tries: 1})
	letters, err := j.deadLetters(t.Context(), 2)
	if err != nil || len(letters) != 1 || letters[0].Reason != name+": "+errContent.Error() {
		t.Errorf("%+v, %v", letters, err)
	}
}

// Two files whose reviews would have one name are not both sent.
func TestSameName(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "a-b", "c.vtt"), station)
	write(t, filepath.Join(dir, "a", "b-c.vtt"), station)
	j := openTest(t, Layout{})
	files, err := Sources([]string{dir})
	if err != nil || len(files) != 2 {
		t.Fatal(err, files)
	}
	var problems []error
	s := &Sender{Job: j}
	for _, f := range files {
		if _, err := s.Send(t.Context(), f); err != nil {
			problems = append(problems, err)
		}
	}
	if len(problems) != 1 {
		t.Fatal(problems)
	}
	want := filepath.Join(dir, "a-b", "c.vtt") + ": its review would be called a-b-c, as that of " +
		filepath.Join(dir, "a", "b-c.vtt") + " is"
	if problems[0].Error() != want {
		t.Errorf("%v\nwant %s", problems[0], want)
	}
}
