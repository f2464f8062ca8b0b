package work

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"saywatt/extract/transcript"
	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// A Worker pulls tasks and answers, reads, and stores what came of it. The
// fields are not to be changed once Run was called.
type Worker struct {
	Job      *Job
	Name     string // among all workers
	Jobs     int    // captions read at a time; 0 means 1
	Tries    int    // after so many, captions go to the dead-letter stream; 0 means 3
	Drain    bool   // end when nothing is left to read
	MaxBytes int64  // of one file; as in pipeline.Read
	Options  pipeline.Options
	Log      *slog.Logger // nil: none

	Counts Counts

	begun time.Time
	end   context.CancelCauseFunc // stops the worker with an error
}

// Counts are what a worker did.
type Counts struct {
	Read   atomic.Int64 // records stored
	Same   atomic.Int64 // tasks whose record was there already
	Failed atomic.Int64 // tries that failed
	Dead   atomic.Int64 // letters to the dead-letter stream
	Again  atomic.Int64 // records stored because of an answer
	Bytes  atomic.Int64 // of captions read
	Nanos  atomic.Int64 // spent in reading
	Busy   atomic.Int64 // captions in hand
}

const (
	defaultTries = 3
	// extraDeliveries is how many more times than tries a task is handed out:
	// it comes back too when a worker dies, which may be no fault of its.
	extraDeliveries = 20
	// pullWait is how long one pull waits for a task, and so the longest that a
	// worker without one takes to stop.
	pullWait = time.Second
	// tryAgain is the wait behind a try that failed.
	tryAgain = 500 * time.Millisecond
)

// Run works until ctx ends; what was begun then is ended, and what is in no
// worker's hands stays in the stream.
func (w *Worker) Run(ctx context.Context) error {
	if w.Jobs == 0 {
		w.Jobs = 1
	}
	if w.Tries == 0 {
		w.Tries = defaultTries
	}
	if w.Log == nil {
		w.Log = slog.New(slog.DiscardHandler)
	}
	w.begun = time.Now()
	w.Log.Info("working", "worker", w.Name, "job", w.Job.job, "jobs", w.Jobs)
	pulling, end := context.WithCancelCause(ctx)
	stop := func() { end(nil) }
	defer stop()
	w.end = end
	beating := make(chan struct{})
	go func() {
		defer close(beating)
		w.beat(pulling)
	}()
	var all sync.WaitGroup
	for range w.Jobs {
		all.Go(func() { w.pull(pulling, w.Job.tasks, w.task) })
	}
	all.Go(func() { w.pull(pulling, w.Job.reread, w.answer) })
	if w.Drain {
		w.waitDrained(pulling)
		stop()
	}
	all.Wait()
	stop()
	<-beating
	w.Log.Info("stopped", "worker", w.Name, "read", w.Counts.Read.Load(), "dead", w.Counts.Dead.Load())
	if cause := context.Cause(pulling); errors.Is(cause, nats.ErrPermissionViolation) {
		return fmt.Errorf("broker: %w", cause)
	}
	return nil
}

// stopRefused stops the worker where the broker does not permit what it does:
// waiting would not help.
func (w *Worker) stopRefused(err error) {
	if errors.Is(err, nats.ErrPermissionViolation) {
		w.end(err)
	}
}

// waitDrained returns when nothing is left to do, or ctx ended.
func (w *Worker) waitDrained(ctx context.Context) {
	for ctx.Err() == nil {
		left, err := w.Job.left(ctx)
		if err == nil && left == 0 {
			return
		}
		select {
		case <-ctx.Done():
		case <-time.After(pullWait / 5):
		}
	}
}

// left is how many tasks and answers are not done.
func (j *Job) left(ctx context.Context) (int, error) {
	info, err := j.work.Info(ctx)
	if err != nil {
		return 0, err
	}
	answers, err := j.reread.Info(ctx)
	if err != nil {
		return 0, err
	}
	return int(info.State.Msgs) + int(answers.NumPending) + answers.NumAckPending, nil
}

// pull hands messages of a consumer to do, one after another.
func (w *Worker) pull(ctx context.Context, c jetstream.Consumer, do func(context.Context, jetstream.Msg)) {
	for ctx.Err() == nil {
		before := w.Job.conn.LastError()
		batch, err := c.Fetch(1, jetstream.FetchMaxWait(pullWait))
		if err == nil {
			for m := range batch.Messages() {
				w.keeping(ctx, m, do)
			}
			err = batch.Error()
		}
		w.stopRefused(w.Job.refused(before))
		if err != nil && ctx.Err() == nil {
			w.Log.Warn("no pull", "error", err)
			select {
			case <-ctx.Done():
			case <-time.After(longWait):
			}
		}
	}
}

// keeping has the broker know that a message is worked on, until that is done.
// A stop does not reach what was begun.
func (w *Worker) keeping(ctx context.Context, m jetstream.Msg, do func(context.Context, jetstream.Msg)) {
	ctx, cancel := context.WithCancel(context.WithoutCancel(ctx))
	defer cancel()
	w.Counts.Busy.Add(1)
	defer w.Counts.Busy.Add(-1)
	if every := w.Job.ackWait / 3; every > 0 {
		tick := time.NewTicker(every)
		defer tick.Stop()
		go func() {
			for {
				select {
				case <-ctx.Done():
					return
				case <-tick.C:
					_ = m.InProgress() // the next one may get through
				}
			}
		}()
	}
	do(ctx, m)
}

// task does one task: read, store, acknowledge.
func (w *Worker) task(ctx context.Context, m jetstream.Msg) {
	meta, err := m.Metadata()
	if err != nil {
		w.Log.Error("a message without metadata", "error", err)
		return
	}
	deliveries := int(meta.NumDelivered)
	id := fmt.Sprintf("task/%d/%d", meta.Timestamp.UnixNano(), meta.Sequence.Stream)
	t, err := parseTask(m.Data())
	switch {
	case err != nil:
		t = nil
	case deliveries > w.Tries+extraDeliveries:
		err = fmt.Errorf("handed out %d times, and no worker came to an end with it", deliveries-1)
	default:
		err = w.settle(ctx, t.Review, t, meta.Timestamp.UnixNano())
	}
	switch {
	case err == nil:
		w.acknowledge(ctx, m)
	case brokerFailed(err):
		w.Log.Warn("the broker failed; the task stays", "error", err)
		w.stopRefused(err)
		_ = m.NakWithDelay(longWait)
	case t != nil && deliveries < w.Tries:
		w.Counts.Failed.Add(1)
		w.Log.Warn("not read; it is tried again", "review", t.Review, "file", t.File, "try", deliveries, "error", err)
		_ = m.NakWithDelay(tryAgain)
	default:
		w.Counts.Failed.Add(1)
		w.give(ctx, m, t, err, deliveries, id)
	}
}

// give puts what cannot be done into the dead-letter stream and takes it off
// the work stream.
func (w *Worker) give(ctx context.Context, m jetstream.Msg, t *task, err error, tries int, id string) {
	d := &deadLetter{Review: reviewOf(m.Subject()), Reason: err.Error(), Tries: tries, Worker: w.Name, Task: t}
	if t != nil {
		d.File = t.File
	}
	if err := w.Job.bury(ctx, d, id); err != nil {
		w.Log.Error("no dead letter", "review", d.Review, "error", err)
		_ = m.NakWithDelay(longWait)
		return
	}
	w.Counts.Dead.Add(1)
	w.Log.Error("given up", "review", d.Review, "file", d.File, "tries", tries, "reason", d.Reason)
	w.acknowledge(ctx, m)
}

// acknowledge says to the broker that a message is done with. Where that does
// not get through, the message comes again, and is found to be done.
func (w *Worker) acknowledge(ctx context.Context, m jetstream.Msg) {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	if err := m.DoubleAck(ctx); err != nil {
		w.Log.Warn("not acknowledged; it comes again", "error", err)
	}
}

// answer has a review read again with the answers there are.
func (w *Worker) answer(ctx context.Context, m jetstream.Msg) {
	meta, err := m.Metadata()
	if err != nil {
		w.Log.Error("a message without metadata", "error", err)
		return
	}
	review, tries := reviewOf(m.Subject()), int(meta.NumDelivered)
	err = w.settle(ctx, review, nil, 0)
	switch {
	case err == nil:
		w.acknowledge(ctx, m)
	case brokerFailed(err):
		w.stopRefused(err)
		_ = m.NakWithDelay(longWait)
	case tries < w.Tries+extraDeliveries:
		// Its captions may still wait to be read.
		_ = m.NakWithDelay(min(time.Duration(tries)*tryAgain, 10*time.Second))
	default:
		w.give(ctx, m, nil, err, tries, fmt.Sprintf("answer/%d/%d", meta.Timestamp.UnixNano(), meta.Sequence.Stream))
	}
}

// errOtherFile says that captions are of a name that other captions have.
var errOtherFile = errors.New("the review of this name is of another file")

// errNotRead says that answers are on a review of which there is no record.
var errNotRead = errors.New("there are answers on it, and no record")

// A brokerError is trouble with the broker and no failure of captions.
type brokerError struct{ error }

func (e brokerError) Unwrap() error { return e.error }

func ofBroker(err error) error {
	if err == nil {
		return nil
	}
	return brokerError{err}
}

func brokerFailed(err error) bool {
	var b brokerError
	return errors.As(err, &b)
}

// settle sees to it that the newest record of a review is of its newest task
// and knows all its answers, and that its tables are there. Without a task, it
// is the task of the record that is there.
func (w *Worker) settle(ctx context.Context, review string, task *task, stamp int64) error {
	j := w.Job
	for {
		last, err := j.newest(ctx, review)
		if err != nil {
			return ofBroker(err)
		}
		answer := task == nil
		if last != nil && task != nil && task.File != last.task.File {
			return fmt.Errorf("%s: %w, %s", review, errOtherFile, last.task.File)
		}
		if last != nil && (task == nil || last.stamp > stamp) {
			task, stamp = last.task, last.stamp
		}
		if task == nil {
			return fmt.Errorf("%s: %w", review, errNotRead)
		}
		answers, known, err := j.answered(ctx, review)
		if err != nil {
			return ofBroker(err)
		}
		done := last != nil && (last.stamp == stamp || !task.Again && last.task.sameAs(task))
		if done && last.answers >= known {
			w.Counts.Same.Add(1)
			return ofBroker(j.putRest(ctx, last, nil))
		}
		next, r, err := w.read(ctx, task, answers)
		if err != nil {
			return err
		}
		next.stamp, next.answers = stamp, known
		err = j.put(ctx, next, last)
		if errors.Is(err, errOvertaken) {
			continue
		}
		if err != nil {
			return ofBroker(err)
		}
		if err := j.putRest(ctx, next, r); err != nil {
			return ofBroker(err)
		}
		w.Counts.Read.Add(1)
		if answer {
			w.Counts.Again.Add(1)
		}
		w.Log.Debug("read", "review", review, "file", task.File, "id", next.id, "answers", known)
		return nil
	}
}

// read makes the record of a task. A panic is an error of these captions.
func (w *Worker) read(ctx context.Context, t *task, answers []normalize.Answer) (s *stored, r *schema.Record,
	err error) {
	text, err := w.Job.fetch(ctx, t)
	if err != nil {
		if isTrouble(err) {
			err = ofBroker(err)
		}
		return nil, nil, err
	}
	begun := time.Now()
	defer func() {
		if p := recover(); p != nil {
			w.Log.Error("panic", "file", t.File, "panic", p, "stack", string(debug.Stack()))
			err = fmt.Errorf("%s: the program failed on it: %v", t.File, p)
		}
		w.Counts.Bytes.Add(int64(len(text)))
		w.Counts.Nanos.Add(int64(time.Since(begun)))
	}()
	o := w.Options
	o.Answers = answers
	o.Odd = func(a *normalize.OddAnswer) {
		w.Log.Warn("a decision may be a slip", "review", t.Review, "file", t.File, "reason", a.Error())
	}
	r, stray, err := read(t.Review, t.File, text, w.MaxBytes, o)
	if err != nil {
		return nil, nil, err
	}
	for _, a := range stray {
		d := &deadLetter{Review: t.Review, File: t.File, Reason: a.Error(), Tries: 1, Worker: w.Name}
		if err := w.Job.bury(ctx, d, "stray/"+transcript.HashOf([]byte(t.Review+a.Error()))); err != nil {
			return nil, nil, ofBroker(err)
		}
		w.Counts.Dead.Add(1)
		w.Log.Error("a decision fits nothing", "review", t.Review, "file", t.File, "reason", a.Error())
	}
	s = &stored{task: t}
	s.id, s.line, err = feedLine(r)
	return s, r, err
}
