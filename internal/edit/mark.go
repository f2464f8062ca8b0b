package edit

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// Errors of marking.
var (
	ErrNoNotes   = errors.New("the format has no place for notes")
	ErrNoteSpace = errors.New("a note before this cue would become part of the one before")
)

// A mark lists the likeliest readings, and of those after the first only what
// is likely at all.
const (
	maxMarked   = 3
	leastMarked = 0.01
)

// Marks notes before a cue what in it was left open, as the format allows: a
// NOTE block in WebVTT (section 4.1), a comment in TTML (XML 1.0, 2.5). The
// notes are changes with no words before them. A note that stands there already
// is not made again. The error is ErrNoNotes for any other format.
func Marks(r *schema.Record, t *transcript.Transcript) ([]Change, []Left, error) {
	if t.Format != transcript.FormatVTT && t.Format != transcript.FormatTTML {
		return nil, nil, fmt.Errorf("%s: %w", t.Format, ErrNoNotes)
	}
	var changes []Change
	var left []Left
	for i := range r.Quantities {
		s := &r.Quantities[i]
		text := textSpan(t, s.Span)
		k := t.CueAt(text.Start)
		if s.Status != schema.StatusOpen || k < 0 {
			continue
		}
		note := noteOf(s)
		at, block, ok := notePlace(t, k, note)
		if !ok {
			left = append(left, Left{s.Number, s.At, s.Heard, note, ErrNoteSpace})
			continue
		}
		from := 0
		if k > 0 {
			from = t.Cues[k-1].Source.Start
		}
		if bytes.Contains(t.Source[from:at], block) {
			continue
		}
		changes = append(changes, Change{Said: s.Number, At: s.At, Media: s.Media, Span: schema.Span{Start: at, End: at},
			After: note, Why: strings.Join(s.Why, "; "), Confidence: s.Confidence,
			Edits: []Edit{{Span: schema.Span{Start: at, End: at}, Before: []byte{}, After: block}}})
	}
	return changes, left, nil
}

// noteOf says what was heard and what it may have been.
func noteOf(s *schema.Said) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Needs your ear: %q may be ", s.Heard)
	for i, r := range s.Readings[:min(len(s.Readings), maxMarked)] {
		if i > 0 && r.Confidence < leastMarked {
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%s (%.0f %%)", r.Quantity, 100*r.Confidence)
	}
	if len(s.Readings) == 0 {
		b.WriteString(s.Quantity.String())
	}
	return strings.ReplaceAll(b.String(), "--", "- -") // neither a comment nor a NOTE may hold "-->"
}

// notePlace returns where a note to a cue goes, and the bytes of it.
func notePlace(t *transcript.Transcript, cue int, note string) (at int, block []byte, ok bool) {
	at = t.Cues[cue].Source.Start
	before := t.Source[:at]
	if t.Format == transcript.FormatTTML { // no line break with it: it might be shown
		return at, inEncoding(t, "<!-- "+note+" -->"), bytes.HasPrefix(t.Source[at:], inEncoding(t, "<"))
	}
	line := lineEnd(t)
	end := inEncoding(t, line)
	return at, inEncoding(t, "NOTE "+note+line+line), bytes.HasSuffix(before, append(end, end...))
}

// lineEnd is how the lines of the file end.
func lineEnd(t *transcript.Transcript) string {
	for _, e := range []string{"\r\n", "\n", "\r"} {
		if bytes.Contains(t.Source, inEncoding(t, e)) {
			return e
		}
	}
	return "\n"
}
