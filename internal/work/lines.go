package work

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"maps"
	"os"
	"slices"

	"saywatt/internal/export/feed"
	"saywatt/schema"
)

// Lines gathers the records of all reviews as lines of the feed, in the order
// of the reviews' names, and writes them to w when all are there.
func (g *Gatherer) Lines(ctx context.Context, w io.Writer) (n int, err error) {
	out := bufio.NewWriter(w)
	n, err = g.each(ctx, func(line []byte) error {
		if _, err := out.Write(line); err != nil {
			return err
		}
		return out.WriteByte('\n')
	})
	if err != nil {
		return n, err
	}
	return n, out.Flush()
}

// Records gathers the records of all reviews and hands them on in the order of
// the reviews' names, when all are there.
func (g *Gatherer) Records(ctx context.Context, do func(*schema.Record) error) (n int, err error) {
	return g.each(ctx, func(line []byte) error {
		r, err := schema.ReadRecord(bytes.NewReader(feed.RecordOf(line)))
		if err != nil {
			return err
		}
		return do(r)
	})
}

// each hands on lines in the order of reviews. They lie in a file beside until
// all are there, so that memory holds the names alone.
func (g *Gatherer) each(ctx context.Context, do func(line []byte) error) (n int, err error) {
	f, err := os.CreateTemp("", "saywatt-gather-*")
	if err != nil {
		return 0, err
	}
	os.Remove(f.Name())       // an open file stays, so that nothing is left of a killed process
	defer os.Remove(f.Name()) // where the system does not let it go before
	defer f.Close()
	to := &lines{file: f, out: bufio.NewWriter(f), at: map[string]extent{}}
	if err := g.run(ctx, to); err != nil {
		return 0, err
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return to.each(do)
}

// lines keeps lines in a file, and where the newest of each review is.
type lines struct {
	file *os.File
	out  *bufio.Writer
	size int64
	next uint64
	at   map[string]extent
}

// extent is where a line is in the file.
type extent struct{ from, length int64 }

func (l *lines) subjects(n names) []string { return []string{n.all(kindRecord)} }
func (l *lines) from() uint64              { return l.next + 1 }

func (l *lines) put(r result) error {
	n, err := l.out.Write(r.Line)
	l.at[r.Review] = extent{l.size, int64(n)}
	l.size += int64(n)
	return err
}

func (l *lines) commit(upTo uint64) error {
	l.next = upTo
	return nil
}

func (l *lines) each(do func(line []byte) error) (n int, err error) {
	if err := l.out.Flush(); err != nil {
		return 0, err
	}
	for _, review := range slices.Sorted(maps.Keys(l.at)) {
		e := l.at[review]
		line := make([]byte, e.length)
		if _, err := l.file.ReadAt(line, e.from); err != nil {
			return n, err
		}
		if err := do(line); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}
