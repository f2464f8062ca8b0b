package work

import (
	"fmt"
	"io"
	"time"

	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/word"
)

// WriteJSON writes the status as one JSON document.
func (s *Status) WriteJSON(w io.Writer) error {
	return plainjson.Write(w, s)
}

// WriteText writes the status for people.
func (s *Status) WriteText(w io.Writer) error {
	p := &writer{w: w}
	p.line("job %s: %d read, %d wait, %d in hands", s.Job, s.Results, s.Waiting, s.InHands)
	if s.Redone > 0 {
		p.line("  %d of those in hands came back before", s.Redone)
	}
	if s.Oldest != nil {
		p.line("  the first of them came %s ago", duration(*s.Oldest))
	}
	if s.Left != nil {
		p.line("  %.1f a second; %s left at that", s.Rate, duration(*s.Left))
	}
	if s.Answers > 0 {
		p.line("  %d decisions are not read with yet", s.Answers)
	}
	p.line("workers: %d", len(s.Workers))
	for _, one := range s.Workers {
		p.line("  %s: %.1f a second, %d read, %d were there, %d in hand; %d tries failed, %d given up; for %s",
			word.Printable(one.Name), one.Rate, one.Read, one.Same, one.Busy, one.Failed, one.Dead,
			duration(one.Seconds))
	}
	p.line("dead letters: %d", s.Dead)
	for _, d := range s.Letters {
		p.line("  %s (%s), %d tries: %s", word.Printable(d.File), d.Review, d.Tries, word.Printable(d.Reason))
	}
	return p.err
}

// writer writes lines and keeps the first error.
type writer struct {
	w   io.Writer
	err error
}

func (p *writer) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

// duration writes seconds as people do.
func duration(seconds float64) string {
	d := time.Duration(seconds * float64(time.Second))
	if d < time.Minute {
		return d.Round(100 * time.Millisecond).String()
	}
	return d.Round(time.Second).String()
}
