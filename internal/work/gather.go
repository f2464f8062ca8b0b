package work

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// A Gatherer takes the records out of the results stream.
type Gatherer struct {
	Job    *Job
	Wait   bool // go on until nothing is left to read
	Follow bool // go on until ctx ends
	Log    *slog.Logger
}

// A result is a review's record as a sink gets it.
type result struct {
	Review string
	Line   []byte    // of the feed
	Stored time.Time // when the broker took it in
	Seq    uint64    // in the stream; a later record has a higher one
}

// A sink takes results. Put may come twice with the same result. What was put
// is safe when Commit returns; upTo is the sequence up to which there is
// nothing more.
type sink interface {
	subjects(n names) []string
	from() uint64 // sequence of the first result wanted
	put(result) error
	commit(upTo uint64) error
}

// batchMost bounds what is put before it is committed.
const batchMost = 500

// run hands results to a sink until there are no more, or ctx ends. What was
// put by then is committed.
func (g *Gatherer) run(ctx context.Context, to sink) error {
	for {
		before, err := g.Job.left(ctx)
		if err != nil && !isTrouble(err) {
			return err
		}
		idle := err == nil && before == 0
		if err := g.once(ctx, to); err != nil {
			return err
		}
		// Whatever was stored before nothing was left is in by now.
		if ctx.Err() != nil || !g.Follow && (!g.Wait || idle) {
			return nil
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(takeOverEvery):
		}
	}
}

// once takes what is there now.
func (g *Gatherer) once(ctx context.Context, to sink) error {
	var info *jetstream.StreamInfo
	err := g.Job.patiently(ctx, func() (err error) {
		info, err = g.Job.results.Info(ctx)
		return err
	})
	if err != nil {
		return unlessEnded(ctx, err)
	}
	last, first := info.State.LastSeq, to.from()
	if first > last {
		return nil
	}
	c, err := g.Job.results.OrderedConsumer(ctx, jetstream.OrderedConsumerConfig{
		FilterSubjects: to.subjects(g.Job.names), DeliverPolicy: jetstream.DeliverByStartSequencePolicy,
		OptStartSeq: first})
	if err != nil {
		return unlessEnded(ctx, err)
	}
	for at := first - 1; at < last && ctx.Err() == nil; {
		n, next, err := g.batch(ctx, c, to, at)
		if err != nil {
			return err
		}
		if n == 0 {
			if info := c.CachedInfo(); info != nil && info.NumPending == 0 {
				return to.commit(last) // nothing of ours is left below it
			}
			select {
			case <-ctx.Done():
			case <-time.After(firstWait):
			}
			continue
		}
		if err := to.commit(next); err != nil {
			return err
		}
		at = next
	}
	return nil
}

func unlessEnded(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// batch puts some results, and says how many and up to which sequence.
func (g *Gatherer) batch(ctx context.Context, c jetstream.Consumer, to sink, at uint64) (n int, upTo uint64,
	err error) {
	batch, err := c.FetchNoWait(batchMost)
	if err != nil {
		if isTrouble(err) {
			g.Log.Warn("no pull", "error", err)
			return 0, at, nil
		}
		return 0, at, err
	}
	upTo = at
	for m := range batch.Messages() {
		if ctx.Err() != nil {
			break
		}
		meta, err := m.Metadata()
		if err != nil {
			return n, upTo, err
		}
		line, err := g.Job.body(ctx, m.Headers(), m.Data())
		if err != nil {
			return n, upTo, err
		}
		r := result{Review: reviewOf(m.Subject()), Line: line, Stored: meta.Timestamp, Seq: meta.Sequence.Stream}
		if err := to.put(r); err != nil {
			return n, upTo, err
		}
		n, upTo = n+1, r.Seq
	}
	if err := batch.Error(); err != nil && !isTrouble(err) && !errors.Is(err, jetstream.ErrMsgIteratorClosed) {
		g.Log.Warn("a pull ended early", "error", err)
	}
	return n, upTo, nil
}
