package pipeline

import (
	"errors"
	"strings"
	"testing"
	"time"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// TestGate: a text that takes more than there is is refused, one for which there
// is no room now is refused, and room is given back.
func TestGate(t *testing.T) {
	parse := func(text string) *transcript.Transcript {
		tr, err := transcript.Parse("f", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return tr
	}
	small, large := parse("it gives 5 volts"), parse(strings.Repeat("5 volts ", 1000))
	g := NewGate(extract.Cost(small.Text)+100, time.Millisecond)
	var memory *MemoryError
	if _, err := Run(large, Options{Gate: g}); !errors.As(err, &memory) || memory.Name != "f" {
		t.Errorf("a large text: %v", err)
	}
	leave, err := g.enter(small)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Run(small, Options{Gate: g}); !errors.Is(err, ErrNoRoom) {
		t.Errorf("a second text: %v", err)
	}
	leave()
	for range 3 {
		if _, err := Run(small, Options{Gate: g}); err != nil {
			t.Errorf("after the first: %v", err)
		}
	}
	// A wait that is over before it begins still lets a text in where there is room.
	if _, err := Run(small, Options{Gate: NewGate(extract.Cost(small.Text), 0)}); err != nil {
		t.Errorf("with no wait: %v", err)
	}
}
