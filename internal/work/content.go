package work

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/nats-io/nats.go/jetstream"

	"saywatt/extract/transcript"
)

// errContent says that what was found is not what was sent.
var errContent = errors.New("these are not the captions that were sent: the SHA-256 differs")

// keep puts captions into the object store, where they are not there yet.
func (j *Job) keep(ctx context.Context, name string, b []byte) error {
	return j.patiently(ctx, func() error {
		if info, err := j.objects.GetInfo(ctx, name); err == nil && info.Size == uint64(len(b)) {
			return nil
		}
		meta := jetstream.ObjectMeta{Name: name, Opts: &jetstream.ObjectMetaOptions{ChunkSize: j.chunk()}}
		_, err := j.objects.Put(ctx, meta, bytes.NewReader(b))
		return err
	})
}

// chunk is how much of an object goes into a message.
func (j *Job) chunk() uint32 {
	const usual = 128 << 10
	if most := j.conn.MaxPayload(); most > 0 && most < 2*usual {
		return uint32(most / 2)
	}
	return usual
}

// kept gets it back.
func (j *Job) kept(ctx context.Context, name string) (b []byte, err error) {
	err = j.patiently(ctx, func() error {
		b, err = j.objects.GetBytes(ctx, name)
		return err
	})
	return b, err
}

// fetch gets the captions of a task and holds them against it.
func (j *Job) fetch(ctx context.Context, t *task) ([]byte, error) {
	var b []byte
	var err error
	if t.Path != "" {
		b, err = readOf(t.Path, t.Size)
	} else {
		b, err = j.kept(ctx, t.SHA256)
		if errors.Is(err, jetstream.ErrObjectNotFound) {
			err = fmt.Errorf("%s: the object store has no %s", t.File, t.SHA256)
		}
	}
	if err != nil {
		return nil, err
	}
	if transcript.HashOf(b) != t.SHA256 {
		return nil, fmt.Errorf("%s: %w", t.File, errContent)
	}
	return b, nil
}

// readOf reads a file that is so many bytes long.
func readOf(path string, size int64) ([]byte, error) {
	info, err := os.Stat(path)
	if err == nil && info.Size() != size {
		err = fmt.Errorf("%s: %w", path, errContent)
	}
	if err != nil {
		return nil, err
	}
	return os.ReadFile(path)
}
