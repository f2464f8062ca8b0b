package transcript

import (
	"sort"
	"time"
	"unicode/utf8"

	"saywatt/schema"
)

// A Cue is one timed piece of a transcript, or one paragraph of untimed notes.
type Cue struct {
	Index      int           // in Transcript.Cues
	ID         string        // identifier or number the file gives it; may be empty
	Start, End time.Duration // as the file says; End may lie before Start, see Problems
	Line       int           // of its times, or of its first words where untimed; from 1
	Text       schema.Span   // in Transcript.Text; empty where it says nothing new
	Source     schema.Span   // in Transcript.Source, identifier and times included
}

// CueAt returns the index of the cue that holds a byte of Text (its first
// occurrence). A break between two cues belongs to the later one, an offset at
// or past the end to the last cue with words. It is -1 where no cue has words.
func (t *Transcript) CueAt(offset int) int {
	i := sort.Search(len(t.Cues), func(i int) bool { return t.Cues[i].Text.End > offset })
	if i < len(t.Cues) {
		return i
	}
	if len(t.Text) == 0 {
		return -1
	}
	return sort.Search(len(t.Cues), func(i int) bool { return t.Cues[i].Text.End >= len(t.Text) })
}

// Moment returns when the cue of a byte of Text begins, nil where the transcript has
// no times.
func (t *Transcript) Moment(offset int) *schema.Seconds {
	i := t.CueAt(offset)
	if !t.Timed || i < 0 || i >= len(t.Cues) {
		return nil
	}
	at := schema.SecondsOf(t.Cues[i].Start)
	return &at
}

// TimeAt returns when a byte of Text was said: in proportion to the characters
// between the two nearest known times, which are the cue's start and end and
// the word times inside it. It is false when the transcript is untimed.
func (t *Transcript) TimeAt(offset int) (time.Duration, bool) {
	i := t.CueAt(offset)
	if !t.Timed || i < 0 {
		return 0, false
	}
	c := t.Cues[i]
	offset = min(max(offset, c.Text.Start), c.Text.End)
	from, to := stamp{c.Text.Start, c.Start}, stamp{c.Text.End, max(c.End, c.Start)}
	k := sort.Search(len(t.stamps), func(k int) bool { return t.stamps[k].text > offset })
	if k > 0 && t.stamps[k-1].text >= from.text {
		from = t.stamps[k-1]
	}
	if k < len(t.stamps) && t.stamps[k].text < to.text {
		to = t.stamps[k]
	}
	whole := t.characters(from.text, to.text)
	if whole == 0 || to.at <= from.at {
		return from.at, true
	}
	share := float64(t.characters(from.text, offset)) / float64(whole)
	return from.at + time.Duration(share*float64(to.at-from.at)), true
}

// characters counts the characters of a stretch of Text; past a bound no
// caption reaches, it counts bytes, to keep TimeAt cheap.
func (t *Transcript) characters(from, to int) int {
	if to-from > 4096 {
		return to - from
	}
	return utf8.RuneCount(t.Text[from:to])
}

// A stamp is a time given inside a cue: what stands at text and after it is
// said from then on.
type stamp struct {
	text int
	at   time.Duration
}
