package desk

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"saywatt/internal/edit"
	"saywatt/schema"
)

// Where a cue is long, hearing starts near the words by their place in it.
const (
	longCue = 8 * time.Second
	leadIn  = 2 * time.Second // before where the words should be, and after
)

// moment is when to hear a quantity: from when to when, in seconds, "" where
// that is not known. A cue that is a paragraph is not heard whole.
func (r *review) moment(said *schema.Said) (from, to string) {
	from, to = moment(said)
	t := r.transcript
	if t == nil || !t.Timed || from == "" {
		return from, to
	}
	words := edit.TextSpan(t, said.Span)
	i := t.CueAt(words.Start)
	if i < 0 || i >= len(t.Cues) {
		return from, to
	}
	c := &t.Cues[i]
	length, bytes := c.End-c.Start, c.Text.End-c.Text.Start
	if length < longCue || bytes <= 0 || words.Start < c.Text.Start {
		return from, to
	}
	share := func(at int) time.Duration {
		return time.Duration(float64(length) * float64(min(at, c.Text.End)-c.Text.Start) / float64(bytes))
	}
	begin := max(c.Start, c.Start+share(words.Start)-leadIn)
	end := min(c.End, c.Start+share(words.End)+leadIn)
	return secondsOf(begin), secondsOf(end)
}

func secondsOf(d time.Duration) string { return strconv.FormatFloat(d.Seconds(), 'f', 3, 64) }

// trackFile serves the captions as the text track of a film (W3C WebVTT), with
// nothing in them but times and words.
func (d *Desk) trackFile(w http.ResponseWriter, q *http.Request, r *review, _ *state) {
	t := r.transcript
	if t == nil || !t.Timed {
		d.refuse(w, q, http.StatusNotFound, "The captions are not at hand, or have no times.")
		return
	}
	var b bytes.Buffer
	b.WriteString("WEBVTT\n")
	for i := range t.Cues {
		c := &t.Cues[i]
		if c.Text.Empty() || c.End <= c.Start {
			continue
		}
		fmt.Fprintf(&b, "\n%s --> %s\n%s\n", vttTime(c.Start), vttTime(c.End),
			vttText(string(t.Text[c.Text.Start:c.Text.End])))
	}
	w.Header().Set("Content-Type", "text/vtt; charset=utf-8")
	w.Write(b.Bytes())
}

func vttTime(d time.Duration) string {
	ms := d.Milliseconds()
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3600000, ms/60000%60, ms/1000%60, ms%1000)
}

var vttEscapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", "\r", " ")

// vttText writes the words of a cue; a blank line would end it.
func vttText(s string) string {
	lines := strings.FieldsFunc(s, func(c rune) bool { return c == '\n' })
	return vttEscapes.Replace(strings.Join(lines, "\n"))
}
