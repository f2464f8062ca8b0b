package work

import (
	"bufio"
	"context"
	"io"
	"maps"
	"os"
	"slices"
)

// Lines gathers the records of all reviews as lines of the feed, in the order
// of the reviews' names, and writes them to w when all are there. They lie in a
// file beside until then, so that memory holds the names alone.
func (g *Gatherer) Lines(ctx context.Context, w io.Writer) (n int, err error) {
	f, err := os.CreateTemp("", "saywatt-gather-*")
	if err != nil {
		return 0, err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	to := &lines{file: f, out: bufio.NewWriter(f), at: map[string]extent{}}
	if err := g.run(ctx, to); err != nil {
		return 0, err
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return to.write(w)
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

func (l *lines) put(r Result) error {
	n, err := l.out.Write(r.Line)
	l.at[r.Review] = extent{l.size, int64(n)}
	l.size += int64(n)
	return err
}

func (l *lines) commit(upTo uint64) error {
	l.next = upTo
	return nil
}

func (l *lines) write(w io.Writer) (int, error) {
	if err := l.out.Flush(); err != nil {
		return 0, err
	}
	out := bufio.NewWriter(w)
	for n, review := range slices.Sorted(maps.Keys(l.at)) {
		e := l.at[review]
		if _, err := io.Copy(out, io.NewSectionReader(l.file, e.from, e.length)); err != nil {
			return n, err
		}
		if err := out.WriteByte('\n'); err != nil {
			return n, err
		}
	}
	return len(l.at), out.Flush()
}
