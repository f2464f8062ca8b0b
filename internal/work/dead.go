package work

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// A deadLetter is a message of the dead-letter stream: what could not be done,
// and why.
type deadLetter struct {
	Review string `json:"review"`
	File   string `json:"file"`
	Reason string `json:"reason"`
	Tries  int    `json:"tries"`
	Worker string `json:"worker"` // the last one to try
	Task   *task  `json:"task,omitempty"`
}

// bury puts a letter into the dead-letter stream. The same one, by id, is
// there once.
func (j *Job) bury(ctx context.Context, d *deadLetter, id string) error {
	b, err := json.Marshal(d)
	if err != nil {
		return err
	}
	review := d.Review
	if review == "" {
		review = "unknown"
	}
	_, err = j.publish(ctx, j.subject(kindDead, review), nats.Header{}, b, id)
	return err
}

// deadLetters lists the last letters, the newest first, at most so many.
func (j *Job) deadLetters(ctx context.Context, most int) ([]deadLetter, error) {
	info, err := j.dead.Info(ctx)
	if err != nil {
		return nil, err
	}
	var all []deadLetter
	for seq := info.State.LastSeq; seq >= info.State.FirstSeq && seq > 0 && len(all) < most; seq-- {
		m, err := j.dead.GetMsg(ctx, seq)
		if err != nil {
			if isMissing(err) {
				continue
			}
			return all, err
		}
		var d deadLetter
		if err := json.Unmarshal(m.Data, &d); err != nil {
			return all, fmt.Errorf("%s, message %d: %w", j.names.dead(), seq, err)
		}
		all = append(all, d)
	}
	return all, nil
}

func isMissing(err error) bool {
	return errors.Is(err, jetstream.ErrMsgNotFound)
}
