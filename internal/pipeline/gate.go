package pipeline

import (
	"context"
	"errors"
	"fmt"
	"time"

	"golang.org/x/sync/semaphore"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// DefaultMemory is what a server lets all texts that it reads at once take, in
// bytes: a text of as many numbers as may be, and some hundred reviews.
const DefaultMemory = 1 << 30

// A Gate bounds the memory that the texts being read take together, by what
// each is estimated to take at most, so that no number of requests ends the
// process. It may be used by several goroutines.
type Gate struct {
	memory int64
	wait   time.Duration
	room   *semaphore.Weighted
}

// NewGate returns a Gate for so much memory, in bytes, at which a text waits no
// longer than so.
func NewGate(memory int64, wait time.Duration) *Gate {
	return &Gate{memory: memory, wait: wait, room: semaphore.NewWeighted(memory)}
}

// ErrNoRoom is the error of a text for which there is no room at the Gate now.
var ErrNoRoom = errors.New("other texts take all the memory that there is for reading; try again")

// A MemoryError is of a text that takes more memory than there is at the Gate.
type MemoryError struct {
	Name        string
	Needs, Most int64 // bytes
}

func (e *MemoryError) Error() string {
	return fmt.Sprintf("%s: reading it may take %d MB of memory, more than the %d MB there are; cut it into parts",
		e.Name, e.Needs>>20, e.Most>>20)
}

// enter waits for room for a text and returns what gives the room back.
func (g *Gate) enter(t *transcript.Transcript) (leave func(), err error) {
	if g == nil {
		return func() {}, nil
	}
	needs := extract.Cost(t.Text)
	if needs > g.memory {
		return nil, &MemoryError{t.Name, needs, g.memory}
	}
	leave = func() { g.room.Release(needs) }
	if g.room.TryAcquire(needs) { // where there is room, no wait is too short
		return leave, nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), g.wait)
	defer cancel()
	if g.room.Acquire(ctx, needs) != nil {
		return nil, fmt.Errorf("%s: %w", t.Name, ErrNoRoom)
	}
	return leave, nil
}
