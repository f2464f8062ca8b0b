package api

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strconv"
	"sync/atomic"
	"time"

	"golang.org/x/sync/semaphore"

	"saywatt/schema"
)

// A batch is a body of JSON Lines on its way to as many lines of answers. One
// goroutine reads lines, the engine works on several, and the handler writes
// what came of them in their order. Three things bound what is in memory: the
// line being read, the lines read ahead (as many as are worked on at once, and
// of not more bytes than the budget), and the records that wait for their turn,
// of which there are no more than lines ahead.
type batch struct {
	*api
	ctx     context.Context
	control *http.ResponseController
	in      *bufio.Reader
	until   atomic.Int64 // when the line being read is overdue, in Unix nanoseconds
	whole   bool         // the body was read to its end
	turns   chan turn
	budget  *semaphore.Weighted // bytes of lines ahead
}

// A turn is where the outcome of a line will come from.
type turn struct {
	line int
	size int64
	from <-chan outcome
}

// An outcome is a record, or why there is none.
type outcome struct {
	record *schema.Record
	err    error
}

// batch reads captions line by line into records line by line.
func (a *api) batch(c *call) error {
	ctx, cancel := context.WithCancel(context.WithoutCancel(c.r.Context()))
	b := &batch{
		api: a, ctx: ctx, control: http.NewResponseController(c.w), in: bufio.NewReaderSize(c.r.Body, 64<<10),
		turns: make(chan turn, a.AtOnce), budget: semaphore.NewWeighted(2 * a.MaxBytes),
	}
	defer context.AfterFunc(c.r.Context(), func() {
		if !b.late() {
			cancel()
		}
	})()
	b.control.EnableFullDuplex() // answers go out while lines come in; HTTP/2 always may
	c.w.Header().Set("Content-Type", c.gives)
	c.w.WriteHeader(http.StatusOK)
	b.control.Flush()
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		b.read()
	}()
	err := b.write(c.w)
	cancel()
	if err != nil {
		b.control.SetReadDeadline(time.Now()) // wakes the reader, which may wait for the client
	}
	<-ended
	if !b.whole {
		b.control.SetReadDeadline(time.Now()) // nobody waits for the rest
	}
	b.control.SetWriteDeadline(time.Time{})
	return err
}

// wait sets how long the client may keep the next line back; none for ever.
func (b *batch) wait(d time.Duration) {
	var until time.Time
	var nano int64
	if d > 0 {
		until = time.Now().Add(d)
		nano = until.UnixNano()
	}
	if b.control.SetReadDeadline(until) == nil { // not every server can
		b.until.Store(nano)
	}
}

// late reports whether a line is overdue. The server takes every read that
// fails for a client that went away, also this one; but lines that came in
// time still have their answers.
func (b *batch) late() bool {
	until := b.until.Load()
	return until > 0 && time.Now().UnixNano() >= until
}

// read reads lines and hands them to the engine until the body or the context
// ends.
func (b *batch) read() {
	defer close(b.turns)
	for n := 1; ; n++ {
		b.wait(b.MaxTime)
		line, err := b.line()
		end := errors.Is(err, io.EOF)
		if end {
			// A deadline that passes while the rest is worked on would end it.
			b.wait(0)
			b.whole = true
		}
		if end && len(line) == 0 || b.ctx.Err() != nil {
			return
		}
		var tooLong *lineError
		whole := err == nil || end
		if whole && len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		size := int64(len(line))
		if b.budget.Acquire(b.ctx, size) != nil {
			return
		}
		from := make(chan outcome, 1)
		select {
		case b.turns <- turn{n, size, from}:
		case <-b.ctx.Done():
			return
		}
		switch {
		case whole:
			go func() { from <- b.record(line) }()
		case errors.As(err, &tooLong):
			from <- outcome{err: b.tooLarge()}
			whole = true
		default:
			from <- outcome{err: b.broken(err)}
		}
		if end || !whole {
			return
		}
	}
}

// lineError says that a line is too long; it was read to its end.
type lineError struct{}

func (*lineError) Error() string { return "too long" }

// line reads a line. One without a line feed comes with io.EOF, one that is
// too long is read over.
func (b *batch) line() ([]byte, error) {
	var line []byte
	long := false
	for {
		part, err := b.in.ReadSlice('\n')
		switch {
		case long:
		case int64(len(line)+len(part)) > b.MaxBytes+1: // with its line feed
			long, line = true, nil
		default:
			line = append(line, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case err != nil && !errors.Is(err, io.EOF):
			return nil, err
		case long:
			return nil, &lineError{}
		}
		return line, err
	}
}

// record makes the record of one line.
func (b *batch) record(line []byte) outcome {
	r, err := work(b.ctx, b.api, func() (*schema.Record, error) {
		in, err := b.decode(bytes.TrimSuffix(line, []byte("\n")))
		if err != nil {
			return nil, err
		}
		return in.read(b.MaxBytes)
	})
	return outcome{r, err}
}

// write writes outcomes in the order of their lines.
func (b *batch) write(w io.Writer) error {
	out := bufio.NewWriterSize(w, 64<<10)
	for t := range b.turns {
		var o outcome
		select {
		case o = <-t.from:
		case <-b.ctx.Done():
			return b.ctx.Err()
		}
		b.control.SetWriteDeadline(time.Now().Add(b.MaxTime))
		if err := b.writeLine(out, t.line, o); err != nil {
			return err
		}
		if err := out.Flush(); err != nil {
			return err
		}
		if err := b.control.Flush(); err != nil && !errors.Is(err, http.ErrNotSupported) {
			return err
		}
		b.budget.Release(t.size)
	}
	return b.ctx.Err()
}

// writeLine writes {"line":1,"record":{…}} or {"line":1,"problem":{…}}.
func (b *batch) writeLine(w *bufio.Writer, line int, o outcome) error {
	w.WriteString(`{"line":`)
	w.WriteString(strconv.Itoa(line))
	if o.err == nil {
		w.WriteString(`,"record":`)
		if err := o.record.WriteLine(unended{w}); err != nil {
			return err
		}
		_, err := w.WriteString("}\n")
		return err
	}
	p := b.problemOf(onLine(o.err, line))
	text, err := json.Marshal(p)
	if err != nil {
		return err
	}
	w.WriteString(`,"problem":`)
	w.Write(text)
	_, err = w.WriteString("}\n")
	return err
}

// unended leaves out line feeds: a record on one line has one, at its end.
type unended struct{ w io.Writer }

func (u unended) Write(b []byte) (int, error) {
	if n := len(b); n > 0 && b[n-1] == '\n' {
		_, err := u.w.Write(b[:n-1])
		return n, err
	}
	return u.w.Write(b)
}
