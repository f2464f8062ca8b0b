package work

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// A Sender fills the work stream.
type Sender struct {
	Job *Job
	// ByReference has workers read the files where they are, rather than from
	// the object store: every machine must see them under the same path.
	ByReference bool
	// Again has the broker take in what it has had within the last hour: its
	// reviews are read once more.
	Again    bool
	MaxBytes int64 // a larger file is not sent; 0 means any

	sent map[string]string // file by review
}

// Sent tells what became of a file.
type Sent struct {
	Review, File string
	Same         bool // the broker had it already
	Answers      bool // these are decisions on the review, and no captions
}

// decisionsEnding ends the name of a file of decisions: those on x.vtt are in
// x.vtt.decisions.jsonl or x.decisions.jsonl.
const decisionsEnding = ".decisions.jsonl"

// Files sends a file, or all files of a folder and below it, in order of their
// names; hidden ones are passed over. A file is called by its path from the
// folder. done is called for each; an error that it returns ends the sending.
// An error of one file is handed to it too, and does not stop the others.
func (s *Sender) Files(ctx context.Context, root string, done func(Sent, error) error) error {
	info, err := os.Stat(root)
	if err != nil {
		return err
	}
	if !info.IsDir() {
		return s.file(ctx, root, filepath.Base(root), done)
	}
	return filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case strings.HasPrefix(d.Name(), ".") && path != root:
			if d.IsDir() {
				return filepath.SkipDir
			}
			return nil
		case !d.Type().IsRegular():
			return nil
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		return s.file(ctx, path, filepath.ToSlash(name), done)
	})
}

func (s *Sender) file(ctx context.Context, path, name string, done func(Sent, error) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	sent, err := s.one(ctx, path, name)
	if err != nil {
		err = fmt.Errorf("%s: %w", path, err)
	}
	return done(sent, err)
}

func (s *Sender) one(ctx context.Context, path, name string) (Sent, error) {
	of, answers := strings.CutSuffix(name, decisionsEnding)
	sent := Sent{Review: ReviewName(of), File: name, Answers: answers}
	if sent.Review == "" {
		return sent, ErrReview
	}
	if info, err := os.Stat(path); err != nil {
		return sent, withoutPath(err)
	} else if s.MaxBytes > 0 && info.Size() > s.MaxBytes {
		return sent, fmt.Errorf("%d bytes, more than the %d allowed", info.Size(), s.MaxBytes)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return sent, withoutPath(err)
	}
	if answers {
		sent.Same, err = s.Job.SendAnswers(ctx, sent.Review, path, b)
		return sent, err
	}
	if other, ok := s.sent[sent.Review]; ok && other != name {
		return sent, fmt.Errorf("its review would be called %s, as that of %s is", sent.Review, other)
	}
	if s.sent == nil {
		s.sent = map[string]string{}
	}
	s.sent[sent.Review] = name
	t := &Task{Version: taskVersion, Review: sent.Review, File: name, SHA256: hashOf(b), Size: int64(len(b))}
	if s.ByReference {
		if t.Path, err = filepath.Abs(path); err != nil {
			return sent, err
		}
	} else if err := s.Job.keep(ctx, t.SHA256, b); err != nil {
		return sent, err
	}
	sent.Same, err = s.send(ctx, t)
	return sent, err
}

// withoutPath drops the path from an error that is told with it.
func withoutPath(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// send puts a task into the stream, and waits where that is full.
func (s *Sender) send(ctx context.Context, t *Task) (same bool, err error) {
	b, err := json.Marshal(t)
	if err != nil {
		return false, err
	}
	id := t.SHA256 + "/" + t.Review
	if s.Again {
		id += fmt.Sprintf("/%d", time.Now().UnixNano())
	}
	for {
		ack, err := s.Job.publish(ctx, s.Job.subject(kindWork, t.Review), nats.Header{}, b, id)
		if err == nil {
			return ack.Duplicate, nil
		}
		if !isFull(err) {
			return false, err
		}
		select {
		case <-ctx.Done():
			return false, ctx.Err()
		case <-time.After(longWait):
		}
	}
}

// codeStoreFailed is the code of an error of the stream's store, and fullText
// how that of a full one begins: there is no code for it alone.
const (
	codeStoreFailed = 10077
	fullText        = "maximum messages exceeded"
)

// isFull reports whether the stream has as many messages as it takes.
func isFull(err error) bool {
	var api *jetstream.APIError
	return errors.As(err, &api) && api.ErrorCode == codeStoreFailed && strings.Contains(api.Description, fullText)
}
