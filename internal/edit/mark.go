package edit

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// ErrNoNotes is the error of marking a file whose format has no place for notes.
var ErrNoNotes = errors.New("the format has no place for notes")

// A mark lists the likeliest readings, and of those after the first only what
// is likely at all.
const (
	maxMarked   = 3
	leastMarked = 0.01
)

// Marks notes before a cue what in it was left to a person, as the format
// allows: a NOTE block in WebVTT (section 4.1), a comment in TTML (XML 1.0,
// 2.5). The notes are changes with no words before them. A note that stands
// there already is not made again; those for which there is no place come back.
// The error is ErrNoNotes for any other format.
func Marks(left []Left, t *transcript.Transcript) (changes []Change, unmarked []Left, err error) {
	if t.Format != transcript.FormatVTT && t.Format != transcript.FormatTTML {
		return nil, nil, fmt.Errorf("%s: %w", t.Format, ErrNoNotes)
	}
	for i := range left {
		l := &left[i]
		k := t.CueAt(textSpan(t, l.Span).Start)
		if l.Note == "" || k < 0 {
			continue
		}
		at, block, ok := notePlace(t, k, l.Note)
		if !ok {
			unmarked = append(unmarked, *l)
			continue
		}
		from := 0
		if k > 0 {
			from = t.Cues[k-1].Source.Start
		}
		if bytes.Contains(t.Source[from:at], block) {
			continue
		}
		changes = append(changes, Change{Said: l.Said, At: l.At, Media: l.Media, Span: schema.Span{Start: at, End: at},
			After: l.Note, Why: l.Why, Confidence: l.Confidence,
			Edits: []Edit{{Span: schema.Span{Start: at, End: at}, Before: []byte{}, After: block}}})
	}
	return changes, unmarked, nil
}

// noteOf says what was heard and what it may have been.
func noteOf(shared []schema.Said) string {
	var b strings.Builder
	lead := "Left as heard: %q was read as "
	if slices.ContainsFunc(shared, func(s schema.Said) bool { return s.Status == schema.StatusOpen }) {
		lead = "Needs your ear: %q may be "
	}
	fmt.Fprintf(&b, lead, shared[0].Heard)
	for i := range shared {
		if i > 0 {
			b.WriteString(", and ")
		}
		readings(&b, &shared[i])
	}
	return strings.ReplaceAll(b.String(), "--", "- -") // neither a comment nor a NOTE may hold "-->"
}

// readings lists the likeliest readings.
func readings(b *strings.Builder, s *schema.Said) {
	for i, r := range s.Readings[:min(len(s.Readings), maxMarked)] {
		if i > 0 && r.Confidence < leastMarked {
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(b, "%s (%.0f %%)", r.Quantity, 100*r.Confidence)
	}
	if len(s.Readings) == 0 {
		b.WriteString(s.Quantity.String())
	}
}

// WriteMarks writes the notes as a list of its own, for formats that have no
// place for them: a line each, with the start of the cue in front, or the line of
// the file where it has no times.
func WriteMarks(w io.Writer, left []Left, t *transcript.Transcript) error {
	var b bytes.Buffer
	for i := range left {
		l := &left[i]
		switch {
		case l.Note == "":
			continue
		case l.At != nil:
			b.WriteString(l.At.Clock())
		default:
			line, _ := t.Position(l.Span.Start)
			fmt.Fprintf(&b, "line %d", line)
		}
		b.WriteString("  " + oneLine(l.Note) + "\n")
	}
	_, err := w.Write(b.Bytes())
	return err
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
