package pipeline

import (
	"errors"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// Everything that is refused is refused here, with the name of the file.
func TestReadRefuses(t *testing.T) {
	const time = "00:01.000 --> 00:02.000\n"
	for _, c := range []struct {
		name, src string
		cause     error
		message   string
	}{
		{"empty", "", transcript.ErrEmpty, "f: the file is empty"},
		{"too big", strings.Repeat("five volts ", 100), transcript.ErrTooBig, "f: too big: more than 1000 bytes"},
		{"bytes", "\x7fELF\x00\x01\x02\x03\x04\x05\x06\x07\x01\x02\x03", transcript.ErrNotText, "f:1:1: not text: control characters all over"},
		{"known form", "{1}{2}five volts", transcript.ErrForm,
			"f:1:1: this form is not read: subtitles timed by frame numbers (.sub); convert them to SubRip or WebVTT with the frame rate of the film"},
		{"record", `{"version":"saywatt/record/1"}`, transcript.ErrRecord,
			`f:1:1: a record or feed of this program, not captions: "check", "emit" and "add" take it`},
		{"no words", "WEBVTT\n\n" + time + "\n" + time, nil, "f: times and no words: 2 cues, all of them empty"},
		{"one cue", "WEBVTT\n\n" + time, nil, "f: times and no words: one cue, which is empty"},
		{"no cues", "WEBVTT\n\nNOTE five volts\n", nil, "f: no words in it"},
	} {
		_, err := Read("f", []byte(c.src), 1000)
		var silent *NoWordsError
		if err == nil || err.Error() != c.message || c.cause != nil && !errors.Is(err, c.cause) ||
			c.cause == nil && !errors.As(err, &silent) {
			t.Errorf("%s: %v, want %s", c.name, err, c.message)
		}
	}
	tr, err := Read("f", []byte("five volts"), 0)
	if err != nil || tr.Name != "f" || string(tr.Text) != "five volts" {
		t.Errorf("%v, %v", tr, err)
	}
}

func TestReadTooManyNumbers(t *testing.T) {
	text := strings.Repeat("5 V, ", extract.MaxNumbers)
	if _, err := Read("f", []byte(text), 0); err != nil {
		t.Errorf("at the bound: %v", err)
	}
	_, err := Read("f", []byte(text+"5 V"), 0)
	if !errors.Is(err, ErrTooMany) || !strings.HasPrefix(err.Error(), "f: more than 100000 numbers") {
		t.Errorf("past the bound: %v", err)
	}
}
