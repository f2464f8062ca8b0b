package transcript

import (
	"bytes"
	"testing"
	"time"
	"unicode/utf8"

	"saywatt/schema"
)

// checkInvariants states what holds for every transcript, whatever the input.
func checkInvariants(t testing.TB, tr *Transcript) {
	t.Helper()
	if !utf8.Valid(tr.Text) {
		t.Fatal("Text is not UTF-8")
	}
	if n := len(tr.Text); n > 0 && (tr.Text[0] == '\n' || tr.Text[n-1] == '\n') {
		t.Fatalf("Text begins or ends with a break: %q", tr.Text)
	}
	if bytes.Contains(tr.Text, []byte("\n\n\n")) {
		t.Fatal("three breaks in a row")
	}
	checkCues(t, tr)
	checkOccurrences(t, tr)
	last := time.Duration(-1)
	for _, c := range tr.Cues {
		last = max(last, c.Start, c.End)
	}
	if tr.Timed && last >= 0 && tr.Duration != last {
		t.Fatalf("duration %v, want %v", tr.Duration, last)
	}
	for _, p := range tr.Problems {
		if p.Line < 0 || p.Line > len(tr.src.starts) || p.Error() == "" || p.Unwrap() == nil {
			t.Fatalf("problem %v", p)
		}
	}
}

// checkCues: cues stand in order and cover the text.
func checkCues(t testing.TB, tr *Transcript) {
	t.Helper()
	end := 0
	for i, c := range tr.Cues {
		if c.Index != i {
			t.Fatalf("cue %d has index %d", i, c.Index)
		}
		if c.Text.Start < end || c.Text.End < c.Text.Start || c.Text.End > len(tr.Text) {
			t.Fatalf("cue %d: text %v after %d of %d", i, c.Text, end, len(tr.Text))
		}
		if !c.Text.Empty() {
			end = c.Text.End
			for _, at := range []int{c.Text.Start, c.Text.End - 1} {
				if got := tr.CueAt(at); got != i {
					t.Fatalf("CueAt(%d) = %d, want %d", at, got, i)
				}
			}
			if at, ok := tr.TimeAt(c.Text.Start); ok != tr.Timed || at < min(c.Start, 0) ||
				at > max(tr.Duration, c.Start) {
				t.Fatalf("cue %d: TimeAt(%d) = %v, %v", i, c.Text.Start, at, ok)
			}
		}
		if c.Source.Start < 0 || c.Source.End < c.Source.Start || c.Source.End > len(tr.Source) {
			t.Fatalf("cue %d: source %v of %d", i, c.Source, len(tr.Source))
		}
		if line, _ := tr.Position(c.Source.Start); line > c.Line {
			t.Fatalf("cue %d: starts on line %d, its times on %d", i, line, c.Line)
		}
	}
	if end != len(tr.Text) {
		t.Fatalf("cues end at %d, the text at %d", end, len(tr.Text))
	}
}

// checkOccurrences: pieces of the text come from inside their cues.
func checkOccurrences(t testing.TB, tr *Transcript) {
	t.Helper()
	whole := schema.Span{Start: 0, End: len(tr.Text)}
	for i, o := range tr.Occurrences(whole) {
		at := schema.Span{}
		for _, p := range o.Pieces {
			if p.Source.Start < 0 || p.Source.End > len(tr.Source) || p.Source.Empty() || p.Text.Empty() ||
				p.Text.End > len(tr.Text) || p.Text.Start < at.End && i == 0 {
				t.Fatalf("occurrence %d: piece %v after %v", i, p, at)
			}
			at = p.Text
			if i == 0 && tr.Cues[tr.CueAt(p.Text.Start)].Source.Overlaps(p.Source) == false {
				t.Fatalf("piece %v lies outside its cue", p)
			}
			if i > 0 && !tr.Cues[o.Cue].Source.Contains(p.Source) {
				t.Fatalf("repeat %v lies outside cue %d", p, o.Cue)
			}
		}
	}
}
