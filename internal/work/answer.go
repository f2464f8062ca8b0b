package work

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"saywatt/extract/transcript"
	"saywatt/normalize"
)

// SendAnswers puts decisions on a review into the answers stream: JSON Lines
// as normalize.ReadAnswers takes them. Some worker reads the review again with
// all its answers. It reports whether the broker had them already.
func (j *Job) SendAnswers(ctx context.Context, review, from string, lines []byte) (same bool, err error) {
	if review == "" || review != ReviewName(review) {
		return false, fmt.Errorf("%q: %w", review, errReview)
	}
	if _, err := normalize.ReadAnswers(bytes.NewReader(lines), from); err != nil {
		return false, err
	}
	if len(bytes.TrimSpace(lines)) == 0 {
		return true, nil
	}
	ack, err := j.publish(ctx, j.subject(kindAnswer, review), nats.Header{}, lines, review+"/"+transcript.HashOf(lines))
	if err != nil {
		return false, err
	}
	return ack.Duplicate, nil
}

// answered gets the answers on a review, and the sequence of the last, 0 for
// none.
func (j *Job) answered(ctx context.Context, review string) ([]normalize.Answer, uint64, error) {
	subject := j.subject(kindAnswer, review)
	var last *jetstream.RawStreamMsg
	err := j.patiently(ctx, func() (err error) {
		last, err = j.answers.GetLastMsgForSubject(ctx, subject)
		return err
	})
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return nil, 0, nil
	}
	if err != nil {
		return nil, 0, err
	}
	var text bytes.Buffer
	for at := uint64(1); at <= last.Sequence; {
		var m *jetstream.RawStreamMsg
		err := j.patiently(ctx, func() (err error) {
			m, err = j.answers.GetMsg(ctx, at, jetstream.WithGetMsgSubject(subject))
			return err
		})
		if err != nil {
			return nil, 0, err
		}
		b, err := j.body(ctx, m.Header, m.Data)
		if err != nil {
			return nil, 0, err
		}
		text.Write(bytes.TrimSpace(b))
		text.WriteByte('\n')
		at = m.Sequence + 1
	}
	answers, err := normalize.ReadAnswers(&text, "answers on "+review)
	return answers, last.Sequence, err
}
