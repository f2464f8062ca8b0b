package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"runtime/debug"
)

// work does something of the engine's when there is room for it, and waits for
// it as long as the limit and the context let it. What is given up goes on to
// its end, in its place.
func work[T any](ctx context.Context, a *api, do func() (T, error)) (T, error) {
	type outcome struct {
		value T
		err   error
	}
	var none T
	wait, cancel := context.WithTimeout(ctx, a.MaxTime)
	defer cancel()
	if err := a.working.Acquire(wait, 1); err != nil {
		return none, overdue(ctx, "there was no room to begin within "+a.MaxTime.String(), 1)
	}
	done := make(chan outcome, 1)
	go func() {
		defer a.working.Release(1)
		var o outcome
		defer func() {
			if p := recover(); p != nil {
				o.err = &panicError{p, debug.Stack()}
			}
			done <- o
		}()
		o.value, o.err = do()
	}()
	limit, cancelLimit := context.WithTimeout(ctx, a.MaxTime)
	defer cancelLimit()
	select {
	case o := <-done:
		return o.value, o.err
	case <-limit.Done():
		return none, overdue(ctx, "it takes longer than "+a.MaxTime.String(), 0)
	}
}

// overdue is the error of something that came to no end.
func overdue(ctx context.Context, detail string, retry int) error {
	if err := ctx.Err(); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &refusal{status: http.StatusServiceUnavailable, detail: detail, retry: retry}
}

// A panicError is a fault of the engine, which must not end the server.
type panicError struct {
	value any
	stack []byte
}

func (e *panicError) Error() string { return fmt.Sprintf("panic: %v\n%s", e.value, e.stack) }
