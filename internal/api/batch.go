package api

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"time"

	"saywatt/schema"
)

// outcome is what became of a line of a batch.
type outcome struct {
	line   int
	record *schema.Record
	err    error
}

// batch answers each line of captions with a line: a record, or the problem
// with them. Lines are read a few at a time and answered in their order.
func (s *service) batch(w http.ResponseWriter, q *http.Request) error {
	if err := wantJSON(q); err != nil {
		return err
	}
	ctx, stop := context.WithCancel(q.Context())
	defer stop()
	control := http.NewResponseController(w)
	control.EnableFullDuplex() // HTTP/1: answers go out while captions come in; where that cannot be, they wait
	w.Header().Set("Content-Type", "application/x-ndjson")

	// The channel's room bounds how far reading is ahead of writing.
	queue := make(chan chan outcome, s.Parallel)
	go func() {
		defer close(queue)
		s.lines(ctx, q.Body, queue)
	}()
	for next := range queue {
		var o outcome
		select {
		case o = <-next:
		case <-ctx.Done():
			return ctx.Err()
		}
		if errors.Is(o.err, context.Canceled) {
			return o.err
		}
		control.SetWriteDeadline(time.Now().Add(writeWait))
		if err := o.write(w); err != nil {
			return nil // the client is gone: there is nobody to tell
		}
		control.Flush()
	}
	return nil
}

// lines starts the reading of each line. What goes wrong with the body as a
// whole is the last outcome.
func (s *service) lines(ctx context.Context, body io.Reader, queue chan<- chan outcome) {
	b := bufio.NewReaderSize(body, 64<<10)
	for n := 1; ; n++ {
		text, err := line(b, s.MaxBytes)
		if err == io.EOF && len(text) == 0 {
			return
		}
		next := make(chan outcome, 1)
		select {
		case queue <- next:
		case <-ctx.Done():
			return
		}
		if err != nil && err != io.EOF {
			next <- outcome{line: n, err: s.bodyError(err)}
			return
		}
		if len(bytes.TrimSpace(text)) == 0 {
			next <- outcome{line: n}
			continue
		}
		go func() {
			o := outcome{line: n}
			var t task
			if t, o.err = decode(bytes.NewReader(text)); o.err == nil {
				o.record, o.err = s.run(ctx, &t)
			}
			next <- o
		}()
		if err == io.EOF {
			return
		}
	}
}

// line reads up to the end of a line, at most limit bytes of it.
func line(b *bufio.Reader, limit int64) ([]byte, error) {
	var text []byte
	for {
		part, err := b.ReadSlice('\n')
		text = append(text, part...)
		if int64(len(text)) > limit+1<<10 {
			return nil, tooLarge(limit)
		}
		if err != bufio.ErrBufferFull {
			return text, err
		}
	}
}

func (o *outcome) write(w io.Writer) error {
	switch {
	case o.err != nil:
		p := *problemOf(o.err)
		if p.Line == 0 {
			p.Line = o.line
		}
		return json.NewEncoder(w).Encode(struct {
			Problem Problem `json:"problem"`
		}{p})
	case o.record != nil:
		return o.record.WriteLine(w)
	}
	_, err := io.WriteString(w, "\n") // an empty line answers an empty one
	return err
}
