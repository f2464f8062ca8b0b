package work

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"saywatt/extract/transcript"
	"saywatt/internal/export/feed"
	"saywatt/internal/export/table"
	"saywatt/schema"
)

// A stored record is the newest one of a review, as the results stream has it.
type stored struct {
	id      string // in the feed
	task    *task
	stamp   int64  // of the task; a later task has a higher one
	answers uint64 // sequence of the last answer it knows
	seq     uint64 // of the message
	line    []byte // of the feed
}

// newest gets the newest record of a review, nil where there is none.
func (j *Job) newest(ctx context.Context, review string) (*stored, error) {
	var m *jetstream.RawStreamMsg
	err := j.patiently(ctx, func() (err error) {
		m, err = j.results.GetLastMsgForSubject(ctx, j.subject(kindRecord, review))
		return err
	})
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return j.storedAs(ctx, m.Header, m.Data, m.Sequence)
}

// storedAs reads a message of a record.
func (j *Job) storedAs(ctx context.Context, head nats.Header, data []byte, seq uint64) (s *stored, err error) {
	s = &stored{id: head.Get(headID), seq: seq}
	if s.task, err = parseTask([]byte(head.Get(headTask))); err != nil {
		return nil, err
	}
	if s.stamp, err = strconv.ParseInt(head.Get(headStamp), 10, 64); err != nil {
		return nil, err
	}
	if s.answers, err = strconv.ParseUint(head.Get(headAnswers), 10, 64); err != nil {
		return nil, err
	}
	s.line, err = j.body(ctx, head, data)
	return s, err
}

// record reads the record in the line.
func (s *stored) record() (*schema.Record, error) {
	return schema.ReadRecord(bytes.NewReader(feed.RecordOf(s.line)))
}

// errOvertaken says that the newest record is another one by now.
var errOvertaken = errors.New("another worker has stored a newer record")

// put stores a record in place of the one that was looked at, before, which is
// nil for none; errOvertaken where that is no longer the newest.
func (j *Job) put(ctx context.Context, s, before *stored) error {
	var last uint64
	if before != nil {
		last = before.seq
	}
	task, err := json.Marshal(s.task)
	if err != nil {
		return err
	}
	head := nats.Header{}
	head.Set(headID, s.id)
	head.Set(headTask, string(task))
	head.Set(headStamp, strconv.FormatInt(s.stamp, 10))
	head.Set(headAnswers, strconv.FormatUint(s.answers, 10))
	// The same record may come back, when a decision is taken back, and is then
	// no message sent twice: so the id has what it replaces.
	ack, err := j.publish(ctx, j.subject(kindRecord, s.task.Review), head, s.line,
		fmt.Sprintf("%s/%d/%d/%d", s.id, s.stamp, s.answers, last),
		jetstream.WithExpectLastSequencePerSubject(last))
	if err != nil {
		return err
	}
	s.seq = ack.Sequence
	return nil
}

// putRest stores the findings and the tables of the newest record. Where a
// newer one came in between, that has its own.
func (j *Job) putRest(ctx context.Context, s *stored, r *schema.Record) error {
	if r == nil {
		var err error
		if r, err = s.record(); err != nil {
			return err
		}
	}
	var findings, tables bytes.Buffer
	for _, table := range table.All(r, nil) {
		into := &tables
		if table.Name == "findings" {
			into = &findings
		}
		if err := feed.WriteRowsOf(into, s.id, r, table); err != nil {
			return err
		}
	}
	record := j.subject(kindRecord, s.task.Review)
	for _, part := range []struct {
		kind string
		text []byte
	}{{kindFindings, findings.Bytes()}, {kindTables, tables.Bytes()}} {
		head := nats.Header{}
		head.Set(headID, s.id)
		_, err := j.publish(ctx, j.subject(part.kind, s.task.Review), head, part.text,
			fmt.Sprintf("%s/%s/%d", s.id, part.kind, s.seq),
			jetstream.WithExpectLastSequenceForSubject(s.seq, record))
		if errors.Is(err, errOvertaken) {
			return nil
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// publish stores a message; what is too large for one goes into the object
// store. A condition that does not hold is errOvertaken.
func (j *Job) publish(ctx context.Context, subject string, head nats.Header, data []byte, id string,
	o ...jetstream.PublishOpt) (*jetstream.PubAck, error) {
	const room = 16 << 10 // for headers
	if most := j.conn.MaxPayload(); most > 0 && int64(len(data)) > most-room {
		object := "message/" + transcript.HashOf(data)
		if err := j.keep(ctx, object, data); err != nil {
			return nil, err
		}
		head.Set(headObject, object)
		data = nil
	}
	var ack *jetstream.PubAck
	err := j.patiently(ctx, func() (err error) {
		m := &nats.Msg{Subject: subject, Header: cloned(head), Data: data}
		ack, err = j.js.PublishMsg(ctx, m, append([]jetstream.PublishOpt{jetstream.WithMsgID(id)}, o...)...)
		return err
	})
	var api *jetstream.APIError
	if errors.As(err, &api) && (api.ErrorCode == jetstream.JSErrCodeStreamWrongLastSequence ||
		api.ErrorCode == jetstream.JSErrCodeStreamWrongLastSequenceConstant) {
		return nil, errOvertaken
	}
	return ack, err
}

// cloned copies headers: publishing adds to them.
func cloned(h nats.Header) nats.Header {
	c := nats.Header{}
	for k, v := range h {
		c[k] = append([]string(nil), v...)
	}
	return c
}

// body is the text of a message, wherever it is.
func (j *Job) body(ctx context.Context, head nats.Header, data []byte) ([]byte, error) {
	if object := head.Get(headObject); object != "" {
		return j.kept(ctx, object)
	}
	return data, nil
}
