package work

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// workerStatus is what a worker says it does.
type workerStatus struct {
	Name    string  `json:"name"`
	Seconds float64 `json:"seconds"` // since it began
	Jobs    int     `json:"jobs"`
	Busy    int64   `json:"busy"`
	Read    int64   `json:"read"`
	Same    int64   `json:"same"`
	Failed  int64   `json:"failed"`
	Dead    int64   `json:"dead"`
	Again   int64   `json:"again"` // read because of an answer
	Bytes   int64   `json:"bytes"`
	Rate    float64 `json:"rate"` // captions a second, over the last half minute
}

// Status is the state of a job.
type Status struct {
	Job     string         `json:"job"`
	Waiting int            `json:"waiting"`  // tasks that nobody has
	InHands int            `json:"in_hands"` // tasks that workers have
	Redone  int            `json:"redone"`   // tasks in hands that came back before
	Results int            `json:"results"`  // reviews with a record
	Answers int            `json:"answers"`  // decisions not yet read with
	Dead    int            `json:"dead"`     // letters
	Rate    float64        `json:"rate"`     // captions a second, of all workers
	Left    *float64       `json:"left"`     // seconds until all is read, at that rate; null where there is none
	Oldest  *float64       `json:"oldest"`   // seconds that the first task waits; null where none does
	Workers []workerStatus `json:"workers"`
	Letters []deadLetter   `json:"letters"` // the last ones
}

// perReview is how many messages the results stream has of a review.
const perReview = 3

// Status asks the broker for the state of a job.
func (j *Job) Status(ctx context.Context, letters int) (*Status, error) {
	s := &Status{Job: j.job, Workers: []workerStatus{}, Letters: []deadLetter{}}
	work, err := j.work.Info(ctx)
	if err != nil {
		return nil, err
	}
	tasks, err := j.tasks.Info(ctx)
	if err != nil {
		return nil, err
	}
	results, err := j.results.Info(ctx)
	if err != nil {
		return nil, err
	}
	reread, err := j.reread.Info(ctx)
	if err != nil {
		return nil, err
	}
	dead, err := j.dead.Info(ctx)
	if err != nil {
		return nil, err
	}
	s.Waiting, s.InHands, s.Redone = int(tasks.NumPending), tasks.NumAckPending, tasks.NumRedelivered
	s.Results = int(results.State.Msgs+perReview-1) / perReview
	s.Answers = int(reread.NumPending) + reread.NumAckPending
	s.Dead = int(dead.State.Msgs)
	if work.State.Msgs > 0 {
		age := work.TimeStamp.Sub(work.State.FirstTime).Seconds()
		s.Oldest = &age
	}
	if s.Workers, err = j.saidByWorkers(ctx); err != nil {
		return nil, err
	}
	for _, w := range s.Workers {
		s.Rate += w.Rate
	}
	if left := s.Waiting + s.InHands; s.Rate > 0 && left > 0 {
		seconds := float64(left) / s.Rate
		s.Left = &seconds
	}
	if letters > 0 {
		found, err := j.deadLetters(ctx, letters)
		if err != nil {
			return nil, err
		}
		s.Letters = append(s.Letters, found...)
	}
	return s, nil
}

// saidByWorkers is what the workers said last, by name.
func (j *Job) saidByWorkers(ctx context.Context) ([]workerStatus, error) {
	all := []workerStatus{}
	keys, err := j.workers.Keys(ctx)
	if errors.Is(err, jetstream.ErrNoKeysFound) {
		return all, nil
	}
	if err != nil {
		return nil, err
	}
	for _, key := range keys {
		entry, err := j.workers.Get(ctx, key)
		if err != nil {
			continue // gone in between
		}
		var w workerStatus
		if json.Unmarshal(entry.Value(), &w) == nil {
			all = append(all, w)
		}
	}
	slices.SortStableFunc(all, func(a, b workerStatus) int {
		return cmp.Or(strings.Compare(a.Name, b.Name), cmp.Compare(b.Seconds, a.Seconds))
	})
	return all, nil
}

// Status is what the worker says of itself. Its rate is not known here.
func (w *Worker) Status() workerStatus {
	c := &w.Counts
	return workerStatus{Name: w.Name, Seconds: time.Since(w.begun).Seconds(), Jobs: w.Jobs, Busy: c.Busy.Load(),
		Read: c.Read.Load(), Same: c.Same.Load(),
		Failed: c.Failed.Load(), Dead: c.Dead.Load(), Again: c.Again.Load(), Bytes: c.Bytes.Load()}
}

// rateOver is the time that a rate is taken over.
const rateOver = 30 * time.Second

// beat says every few seconds what the worker does, until ctx ends, and then
// that it is gone.
func (w *Worker) beat(ctx context.Context) {
	type sample struct {
		at   time.Time
		read int64
	}
	past := []sample{{time.Now(), 0}}
	tick := time.NewTicker(heartbeat)
	defer tick.Stop()
	key := keyOf(w.Name) + "-" + rand.Text() // another worker may have the name
	for {
		s := w.Status()
		now := sample{time.Now(), s.Read + s.Same}
		if span := now.at.Sub(past[0].at).Seconds(); span > 0 {
			s.Rate = float64(now.read-past[0].read) / span
		}
		past = append(past, now)
		for len(past) > 1 && now.at.Sub(past[1].at) > rateOver {
			past = past[1:]
		}
		if b, err := json.Marshal(s); err == nil {
			if _, err := w.Job.workers.Put(ctx, key, b); err != nil && ctx.Err() == nil {
				w.Log.Debug("no heartbeat", "error", err)
			}
		}
		select {
		case <-ctx.Done():
			gone, cancel := context.WithTimeout(context.WithoutCancel(ctx), heartbeat)
			defer cancel()
			_ = w.Job.workers.Delete(gone, key) // else it goes by its age
			return
		case <-tick.C:
		}
	}
}

// keyOf spells a worker's name as a key of the bucket.
func keyOf(name string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '_'
	}, name)
}
