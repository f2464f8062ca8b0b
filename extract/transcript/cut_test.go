package transcript

import (
	"errors"
	"strings"
	"testing"
)

// TestCutTiming: whatever part of the last line of times a file ends with is no
// speech.
func TestCutTiming(t *testing.T) {
	const vtt = "WEBVTT\n\n00:00:01.000 --> 00:00:02.000\nfive volts\n\n"
	const srt = "1\n00:00:01,000 --> 00:00:02,000\nfive volts\n\n2\n"
	for head, line := range map[string]string{vtt: "00:00:03.000 --> 00:00:04.000",
		srt: "00:00:03,000 --> 00:00:04,000"} {
		for n := 4; n <= len(line); n++ {
			tr, err := Parse("f", []byte(head+line[:n]))
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.TrimSpace(string(tr.Text)); got != "five volts" {
				t.Errorf("cut behind %q: the words are %q", line[:n], got)
			}
			if n < 20 && (len(tr.Problems) == 0 || !errors.Is(tr.Problems[0], ErrTiming)) {
				t.Errorf("cut behind %q: problems %v", line[:n], tr.Problems)
			}
		}
	}
	for _, words := range []string{"3:25", "12 volts", "12:30 it was\n", "00:0\n"} {
		tr, err := Parse("f", []byte(vtt+words))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(strings.Fields(string(tr.Text)), " "); got != "five volts "+strings.TrimSpace(words) {
			t.Errorf("%q behind a cue: the words are %q", words, got)
		}
	}
}
