package work

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Layout says how a job's streams are made. It matters once, when the first
// process makes them; later ones take them as they are. The zero value is what
// one machine wants.
type Layout struct {
	Replicas   int           // servers that have every message; 0 means 1
	MaxWaiting int64         // tasks in the work stream before send waits; 0 means 1,000,000
	MaxPending int           // tasks in all workers' hands; 0 means 1000
	AckWait    time.Duration // after that a silent worker's task is another's; 0 means 30 s
	Duplicates time.Duration // how long the broker knows a message again; 0 means an hour
}

func (l Layout) filled() Layout {
	if l.Replicas == 0 {
		l.Replicas = 1
	}
	if l.MaxWaiting == 0 {
		l.MaxWaiting = 1_000_000
	}
	if l.MaxPending == 0 {
		l.MaxPending = 1000
	}
	if l.AckWait == 0 {
		l.AckWait = 30 * time.Second
	}
	if l.Duplicates == 0 {
		l.Duplicates = time.Hour
	}
	return l
}

// A Job is a set of streams on a broker, and the connection to it.
type Job struct {
	names
	conn    *nats.Conn
	js      jetstream.JetStream
	work    jetstream.Stream
	results jetstream.Stream
	answers jetstream.Stream
	dead    jetstream.Stream
	tasks   jetstream.Consumer
	reread  jetstream.Consumer
	objects jetstream.ObjectStore
	workers jetstream.KeyValue
	ackWait time.Duration
}

// heartbeat is how often a worker says what it does; silence is how long its
// word holds.
const (
	heartbeat = 2 * time.Second
	silence   = 30 * time.Second
)

// OpenJob finds the streams of a job, and makes those that are not there.
func OpenJob(ctx context.Context, conn *nats.Conn, name string, layout Layout) (*Job, error) {
	if err := CheckJob(name); err != nil {
		return nil, err
	}
	js, err := jetstream.New(conn)
	if err != nil {
		return nil, err
	}
	j := &Job{names: names{name}, conn: conn, js: js}
	err = j.within(ctx, openWaits, func() error { return j.open(ctx, layout.filled()) })
	switch {
	case errors.Is(err, nats.ErrNoResponders), errors.Is(err, jetstream.ErrNoStreamResponse),
		errors.Is(err, jetstream.ErrJetStreamNotEnabled), errors.Is(err, jetstream.ErrJetStreamNotEnabledForAccount):
		return nil, fmt.Errorf("job %s: %w: %w", name, errNoJetStream, err)
	case err != nil:
		return nil, fmt.Errorf("job %s: %w", name, err)
	}
	return j, nil
}

// errNoJetStream says that a server keeps no streams.
var errNoJetStream = errors.New("this broker has no JetStream that answers; its configuration switches it on " +
	"(jetstream {})")

func (j *Job) open(ctx context.Context, l Layout) error {
	n := j.names
	all := []struct {
		to     *jetstream.Stream
		config jetstream.StreamConfig
	}{
		{&j.work, jetstream.StreamConfig{Name: n.work(), Description: "reviews to read",
			Subjects:  []string{n.all(kindWork)},
			Retention: jetstream.WorkQueuePolicy, Discard: jetstream.DiscardNew, MaxMsgs: l.MaxWaiting,
			Duplicates: l.Duplicates}},
		{&j.results, jetstream.StreamConfig{Name: n.results(), Description: "the newest record of each review",
			Subjects:          []string{n.all(kindRecord), n.all(kindFindings), n.all(kindTables)},
			MaxMsgsPerSubject: 1, Duplicates: l.Duplicates}},
		{&j.answers, jetstream.StreamConfig{Name: n.answers(), Description: "what people decided",
			Subjects: []string{n.all(kindAnswer)}, Duplicates: l.Duplicates}},
		{&j.dead, jetstream.StreamConfig{Name: n.dead(), Description: "what could not be read",
			Subjects: []string{n.all(kindDead)}, Duplicates: l.Duplicates}},
	}
	for _, s := range all {
		s.config.Storage, s.config.Replicas, s.config.Compression = jetstream.FileStorage, l.Replicas,
			jetstream.S2Compression
		var err error
		if *s.to, err = j.stream(ctx, s.config); err != nil {
			return fmt.Errorf("stream %s: %w", s.config.Name, err)
		}
	}
	var err error
	j.tasks, err = j.consumer(ctx, j.work,
		jetstream.ConsumerConfig{Durable: "workers", AckPolicy: jetstream.AckExplicitPolicy,
			AckWait: l.AckWait, MaxAckPending: l.MaxPending, MaxDeliver: -1})
	if err != nil {
		return err
	}
	j.reread, err = j.consumer(ctx, j.answers,
		jetstream.ConsumerConfig{Durable: "workers", AckPolicy: jetstream.AckExplicitPolicy,
			AckWait: l.AckWait, MaxAckPending: l.MaxPending, MaxDeliver: -1})
	if err != nil {
		return err
	}
	if info := j.tasks.CachedInfo(); info != nil {
		j.ackWait = info.Config.AckWait
	}
	return j.stores(ctx, l)
}

// stores opens the object store and the workers' bucket.
func (j *Job) stores(ctx context.Context, l Layout) (err error) {
	j.objects, err = j.js.ObjectStore(ctx, j.names.captions())
	if errors.Is(err, jetstream.ErrBucketNotFound) {
		j.objects, err = j.js.CreateObjectStore(ctx, jetstream.ObjectStoreConfig{Bucket: j.names.captions(),
			Description: "captions by their SHA-256", Storage: jetstream.FileStorage, Replicas: l.Replicas,
			Compression: true})
		if errors.Is(err, jetstream.ErrBucketExists) {
			j.objects, err = j.js.ObjectStore(ctx, j.names.captions())
		}
	}
	if err != nil {
		return fmt.Errorf("object store %s: %w", j.names.captions(), err)
	}
	j.workers, err = j.js.KeyValue(ctx, j.names.workers())
	if errors.Is(err, jetstream.ErrBucketNotFound) {
		j.workers, err = j.js.CreateKeyValue(ctx, jetstream.KeyValueConfig{Bucket: j.names.workers(),
			Description: "what workers do", TTL: silence, Storage: jetstream.MemoryStorage, Replicas: l.Replicas})
		if errors.Is(err, jetstream.ErrBucketExists) {
			j.workers, err = j.js.KeyValue(ctx, j.names.workers())
		}
	}
	if err != nil {
		return fmt.Errorf("bucket %s: %w", j.names.workers(), err)
	}
	return nil
}

func (j *Job) stream(ctx context.Context, c jetstream.StreamConfig) (jetstream.Stream, error) {
	s, err := j.js.Stream(ctx, c.Name)
	if !errors.Is(err, jetstream.ErrStreamNotFound) {
		return s, err
	}
	s, err = j.js.CreateStream(ctx, c)
	if errors.Is(err, jetstream.ErrStreamNameAlreadyInUse) {
		return j.js.Stream(ctx, c.Name)
	}
	return s, err
}

func (j *Job) consumer(ctx context.Context, s jetstream.Stream, c jetstream.ConsumerConfig) (jetstream.Consumer,
	error) {
	found, err := s.Consumer(ctx, c.Durable)
	if !errors.Is(err, jetstream.ErrConsumerNotFound) {
		return found, err
	}
	found, err = s.CreateConsumer(ctx, c)
	if errors.Is(err, jetstream.ErrConsumerExists) {
		return s.Consumer(ctx, c.Durable)
	}
	return found, err
}

// How long trouble with the broker is borne: a server that dies is followed by
// another after some seconds.
const (
	firstWait = 50 * time.Millisecond
	longWait  = 2 * time.Second
	allWaits  = 2 * time.Minute
	openWaits = 20 * time.Second // a cluster that starts has to agree first
)

// patiently does something on the broker again until it is done, ctx ends, the
// error is an answer and no trouble, or it took too long.
func (j *Job) patiently(ctx context.Context, do func() error) error {
	return j.within(ctx, allWaits, do)
}

func (j *Job) within(ctx context.Context, most time.Duration, do func() error) error {
	wait, begun := firstWait, time.Now()
	for {
		before := j.conn.LastError()
		err := do()
		if isNoRoom(err) {
			return fmt.Errorf("%w: %w", ErrNoRoom, err)
		}
		if err == nil || !isTrouble(err) || ctx.Err() != nil {
			return err
		}
		if time.Since(begun) > most {
			return fmt.Errorf("%w: %w", ErrNoAnswer, err)
		}
		if refused := j.refused(before); refused != nil {
			return refused
		}
		select {
		case <-ctx.Done():
			return err
		case <-time.After(wait):
		}
		wait = min(2*wait, longWait)
	}
}

// ErrNoAnswer says that a broker was waited for in vain. One whose disk was full
// may answer nothing until it is started again.
var ErrNoAnswer = errors.New("the broker does not answer, or stores nothing; its log may say why")

// ErrNotPermitted says that a broker does not let us do what was asked.
var ErrNotPermitted = nats.ErrPermissionViolation

// ErrNoRoom says that a broker cannot store more.
var ErrNoRoom = errors.New("the broker has no room left on its disk, or in what its configuration gives it")

// isNoRoom reports whether an error says so. The server shows a full disk by
// the text alone.
func isNoRoom(err error) bool {
	var api *jetstream.APIError
	if !errors.As(err, &api) {
		return false
	}
	switch api.ErrorCode {
	case codeNoResources, codeNoStorage:
		return true
	case codeStoreFailed:
		return strings.Contains(api.Description, "no space left")
	}
	return false
}

// Codes of the server's errors, as its list of them has them.
const (
	codeNoResources = 10023
	codeNoStorage   = 10047
	codeStoreFailed = 10077
)

// refused is what the broker said since of permissions, nil where it said
// nothing. It answers no request that it does not permit: it says so on the
// connection, and the request finds nobody.
func (j *Job) refused(before error) error {
	now := j.conn.LastError()
	if now == nil || now == before || !errors.Is(now, nats.ErrPermissionViolation) {
		return nil
	}
	return now
}

// isTrouble reports whether an error is of the broker's state at this moment.
func isTrouble(err error) bool {
	for _, of := range [...]error{nats.ErrTimeout, nats.ErrNoResponders, nats.ErrNoServers, nats.ErrDisconnected,
		nats.ErrReconnectBufExceeded,
		nats.ErrConnectionReconnecting, jetstream.ErrNoStreamResponse, jetstream.ErrNoHeartbeat,
		jetstream.ErrAsyncPublishTimeout, context.DeadlineExceeded} {
		if errors.Is(err, of) {
			return true
		}
	}
	// 503: no leader just now, not enough servers, the stream being made.
	var api *jetstream.APIError
	if errors.As(err, &api) {
		return api.Code == 503
	}
	var older *nats.APIError // the object store reads by the older interface
	return errors.As(err, &older) && older.Code == 503
}
