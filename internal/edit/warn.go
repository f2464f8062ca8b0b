package edit

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"sync"
	"unicode/utf8"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// errStructure is returned where a corrected file would not read as the same
// cues again.
var errStructure = errors.New("the corrected file does not read as the same cues")

// Reread reads a corrected file and makes sure that it has the cues and times
// of the one before. The error wraps errStructure, or is one of reading.
func Reread(before *transcript.Transcript, corrected []byte) (*transcript.Transcript, error) {
	after, err := transcript.Parse(before.Name, corrected)
	if err != nil {
		return nil, err
	}
	if after.Format != before.Format || len(after.Cues) != len(before.Cues) {
		return nil, fmt.Errorf("%w: %s of %d, was %s of %d", errStructure, after.Format, len(after.Cues), before.Format,
			len(before.Cues))
	}
	if cellsBroken(after) > cellsBroken(before) {
		return nil, fmt.Errorf("%w: a number with a comma does not fit into a cell without quotes", errStructure)
	}
	for i := range after.Cues {
		if a, b := &after.Cues[i], &before.Cues[i]; a.Start != b.Start || a.End != b.End {
			return nil, fmt.Errorf("%w: cue %d", errStructure, i+1)
		}
	}
	return after, nil
}

// A Warning is of a caption that a correction made harder to read in time.
type Warning struct {
	Cue  int             // index in Transcript.Cues
	At   *schema.Seconds // nil where untimed
	What string
}

// Limits of reading: characters a line and a second, from tables/limits.tsv.
type limits struct{ line, second int }

var loadLimits = sync.OnceValue(func() limits {
	var l limits
	for _, r := range schema.MustReadTable(tables, "tables/limits.tsv").Rows {
		n, err := strconv.Atoi(r.Get("most"))
		if err != nil {
			panic(err)
		}
		switch r.Get("limit") {
		case "line":
			l.line = n
		case "second":
			l.second = n
		}
	}
	return l
})

// Warn compares captions before and after correction, cue by cue, and names
// lines that grew past what fits a line, and of cues that grew past what is
// read in their time. Notes and transcripts, which are no captions, have no
// such bounds.
func Warn(before, after *transcript.Transcript) []Warning {
	if !isCaptions(before.Format) {
		return nil
	}
	most := loadLimits()
	var all []Warning
	for i := range after.Cues {
		b, a := before.Text[before.Cues[i].Text.Start:before.Cues[i].Text.End],
			after.Text[after.Cues[i].Text.Start:after.Cues[i].Text.End]
		if bytes.Equal(a, b) {
			continue
		}
		at := schema.SecondsOf(after.Cues[i].Start)
		if n := longestLine(a); n > most.line && n > longestLine(b) {
			all = append(all, Warning{i, &at, fmt.Sprintf("a line of %d characters, %d are usual", n, most.line)})
		}
		long := after.Cues[i].End - after.Cues[i].Start
		n := utf8.RuneCount(a)
		if float64(n) > float64(most.second)*long.Seconds() && n > utf8.RuneCount(b) {
			all = append(all, Warning{i, &at,
				fmt.Sprintf("%d characters in %.1f s, %d a second are usual", n, long.Seconds(), most.second)})
		}
	}
	return all
}

func longestLine(text []byte) int {
	most := 0
	for line := range bytes.Lines(text) {
		most = max(most, utf8.RuneCount(bytes.TrimRight(line, "\n")))
	}
	return most
}
