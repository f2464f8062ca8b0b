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

	"saywatt/extract/transcript"
	"saywatt/internal/export/feed"
	"saywatt/internal/intake"
	"saywatt/internal/pipeline"
)

// A Sender fills the work stream.
type Sender struct {
	Job *Job
	// ByReference has workers read the files where they are, rather than from
	// the object store: every machine must see them under the same path.
	ByReference bool
	// Again has captions read once more that there is a record of.
	Again    bool
	Review   string // name of the review, of one file; "" for that of the file
	MaxBytes int64  // a larger file is not sent; 0 means any

	sent map[string]string // file by review
}

// Sent says what became of a file.
type Sent struct {
	Review, File string
	Same         bool // the broker had it already, to be read or read
	Answers      bool // these are decisions on the review, and no captions
}

// errRecord says that a file holds records: there is nothing to read in it.
var errRecord = errors.New("a record, not captions; \"saywatt add\" puts records into an archive")

// errStdin refuses standard input, which no other machine has.
var errStdin = errors.New("standard input is not sent; name files or folders")

// A Source is one file to send, and what it is called.
type Source struct {
	intake.File
	As string // path that the review is named by, and the record names
}

// Review is the name of its review.
func (s *Source) Review() string { return ReviewName(s.As) }

// Sources finds the files that names stand for, as every command does
// (intake.Files). A file is called by its path from the folder that was named;
// one that lies directly in it, or was named itself, with the folder that it is
// in: so reviews in different folders stay apart, wherever the folders are.
func Sources(names []string) ([]Source, error) {
	var all []Source
	for _, name := range names {
		files, err := intake.Files([]string{name})
		if err != nil {
			return nil, err
		}
		root, folder := name, isFolder(name)
		for _, f := range files {
			if f.Name == intake.Stdin {
				return nil, errStdin
			}
			as := filepath.Clean(f.Name)
			if folder {
				if as, err = filepath.Rel(root, f.Name); err != nil {
					return nil, err
				}
				if filepath.Dir(as) == "." {
					as = filepath.Join(folderName(root), as)
				}
			} else if dir := filepath.Dir(as); dir != "." {
				as = filepath.Join(folderName(dir), filepath.Base(as))
			}
			all = append(all, Source{f, filepath.ToSlash(as)})
		}
	}
	return all, nil
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// folderName is the name of a folder, also of "." and "..".
func folderName(dir string) string {
	if whole, err := filepath.Abs(dir); err == nil {
		dir = whole
	}
	if name := filepath.Base(dir); name != string(filepath.Separator) {
		return name
	}
	return ""
}

// Send sends a file. One that was found in a folder and turns out to be neither
// captions nor anything like it is an *intake.PassedOver.
func (s *Sender) Send(ctx context.Context, from Source) (Sent, error) {
	sent := Sent{Review: from.Review(), File: from.As}
	if s.Review != "" {
		sent.Review = s.Review
	}
	if sent.Review == "" || sent.Review != ReviewName(sent.Review) {
		return sent, fmt.Errorf("%s: %w", from.Name, errReview)
	}
	b, err := s.read(from)
	if err != nil {
		return sent, err
	}
	if other, ok := s.sent[sent.Review]; ok && other != from.Name {
		return sent, fmt.Errorf("%s: its review would be called %s, as that of %s is", from.Name, sent.Review, other)
	}
	if s.sent == nil {
		s.sent = map[string]string{}
	}
	s.sent[sent.Review] = from.Name
	t := &task{Version: taskVersion, Review: sent.Review, File: from.As, SHA256: transcript.HashOf(b),
		Size: int64(len(b)), Again: s.Again}
	if s.ByReference {
		if t.Path, err = filepath.Abs(from.Name); err != nil {
			return sent, err
		}
	} else if err := s.Job.keep(ctx, t.SHA256, b); err != nil {
		return sent, fmt.Errorf("%s: %w", from.Name, err)
	}
	read := !s.Again && s.Job.hasRead(ctx, t)
	if sent.Same, err = s.send(ctx, t); err != nil {
		err = fmt.Errorf("%s: %w", from.Name, err)
	}
	sent.Same = sent.Same || read
	return sent, err
}

// hasRead reports whether there is the record of a task: the broker knows a message
// again for an hour, and not when it was started anew. Who may not look does not
// know, and sends all the same.
func (j *Job) hasRead(ctx context.Context, t *task) bool {
	last, err := j.newest(ctx, t.Review)
	return err == nil && last != nil && last.task.sameAs(t)
}

// read reads a file that may be captions.
func (s *Sender) read(from Source) ([]byte, error) {
	info, err := os.Stat(from.Name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", from.Name, withoutPath(err))
	}
	if s.MaxBytes > 0 && info.Size() > s.MaxBytes {
		return nil, fmt.Errorf("%s: %w: %d bytes, more than the %d allowed", from.Name, transcript.ErrTooBig,
			info.Size(), s.MaxBytes)
	}
	b, err := os.ReadFile(from.Name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", from.Name, withoutPath(err))
	}
	if feed.IsRecords(b) || feed.RecordBehind(b) {
		err = errRecord
	} else if from.Maybe { // the ending says nothing, so the content is looked at
		if _, failed := pipeline.Read(from.Name, b, s.MaxBytes); intake.NotOurs(failed) {
			return nil, &intake.PassedOver{Err: failed}
		}
	}
	switch {
	case err == nil:
		return b, nil
	case from.Maybe:
		return nil, &intake.PassedOver{Err: fmt.Errorf("%s: %w", from.Name, err)}
	}
	return nil, fmt.Errorf("%s: %w", from.Name, err)
}

// withoutPath drops the path from an error that is printed with it.
func withoutPath(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// send puts a task into the stream, and waits where that is full.
func (s *Sender) send(ctx context.Context, t *task) (same bool, err error) {
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

// fullText is how the error of a store begins that is full: there is no code for
// it alone.
const fullText = "maximum messages exceeded"

// isFull reports whether the stream has as many messages as it takes.
func isFull(err error) bool {
	var api *jetstream.APIError
	return errors.As(err, &api) && api.ErrorCode == codeStoreFailed && strings.Contains(api.Description, fullText)
}
