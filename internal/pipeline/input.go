package pipeline

import (
	"bytes"
	"fmt"
	"io"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// Read takes captions in, the one way for every command, the desk and the API:
// it knows their form by content and refuses what no record can be made of. The
// errors are those of transcript.Parse, a *transcript.ParseError, which also
// speaks of a form that is known and not read, and of a record in place of
// captions; NoWordsError; ErrTooMany, with the name in front; and more bytes
// than most, transcript.ErrTooBig, where 0 means transcript.DefaultMaxBytes.
//
// What was read leniently, and a language that is not English, is in
// Transcript.Problems.
func Read(name string, src []byte, most int64) (*transcript.Transcript, error) {
	return ReadFrom(bytes.NewReader(src), name, most)
}

// ReadFrom is Read of all that a reader gives.
func ReadFrom(r io.Reader, name string, most int64) (*transcript.Transcript, error) {
	t, err := transcript.Read(r, transcript.Options{Name: name, MaxBytes: most})
	if err != nil {
		return nil, err
	}
	if len(bytes.TrimSpace(t.Text)) == 0 {
		return nil, &NoWordsError{t.Name, len(t.Cues)}
	}
	// A number takes a digit and a blank at the least, so a shorter text has
	// not too many, and is not searched twice.
	if len(t.Text) > 2*extract.MaxNumbers && extract.TooMany(t) {
		return nil, fmt.Errorf("%s: %w", t.Name, ErrTooMany)
	}
	return t, nil
}

// A NoWordsError is of captions without words, of which there is no record
// to make.
type NoWordsError struct {
	Name string
	Cues int
}

func (e *NoWordsError) Error() string {
	switch e.Cues {
	case 0:
		return e.Name + ": no words in it"
	case 1:
		return e.Name + ": times and no words: one cue, which is empty"
	}
	return fmt.Sprintf("%s: times and no words: %d cues, all of them empty", e.Name, e.Cues)
}
