package transcript

import (
	"errors"
	"fmt"
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
		for n := 3; n <= len(line); n++ {
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

// TestCutTimesOfSBV: there too, where the blank line stands above it.
func TestCutTimesOfSBV(t *testing.T) {
	const head, line = "0:00:01.000,0:00:02.000\nfive volts\n\n", "0:00:03.000,0:00:04.000"
	for n := 2; n < len(line)-3; n++ { // the last three digits may be fewer
		tr, err := Parse("f", []byte(head+line[:n]))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimSpace(string(tr.Text)); got != "five volts" {
			t.Errorf("cut behind %q: the words are %q", line[:n], got)
		}
		if len(tr.Problems) == 0 || !errors.Is(tr.Problems[0], ErrTiming) {
			t.Errorf("cut behind %q: problems %v", line[:n], tr.Problems)
		}
	}
	for _, words := range []string{"3", "12 volts", "0:0\n"} {
		tr, err := Parse("f", []byte(head+words))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(strings.Fields(string(tr.Text)), " "); got != "five volts "+strings.TrimSpace(words) {
			t.Errorf("%q behind a cue: the words are %q", words, got)
		}
	}
}

// TestCutStamp: so it is for the last stamp of lines that begin with one.
func TestCutStamp(t *testing.T) {
	for head, stamp := range map[string]string{
		"0:01 five volts\n0:05 three amps\n0:09 a port\n":                  "0:13",
		"0:01\nfive volts\n0:05\nthree amps\n0:09\na port\n":               "0:13",
		"00:01\nfive volts\n00:05\nthree amps\n00:09\na port\n":            "00:13",
		"[0:01] five volts\n[0:05] three amps\n[0:09] a port\n":            "[0:13]",
		"[00:01 - 00:03] five volts\n[00:05 - 00:07] three amps\na port\n": "[00:13 - 00:15]",
		"(0:01) five volts\n(0:05) three amps\n(0:09) a port\n":            "(0:13)",
	} {
		for n := 1; n <= len(stamp); n++ {
			cut := stamp[:n]
			if !strings.ContainsAny(cut, "[(:") {
				continue // may be a number that was said
			}
			tr, err := Parse("f", []byte(head+cut))
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(strings.Fields(string(tr.Text)), " "); got != "five volts three amps a port" {
				t.Errorf("%q cut behind %q: the words are %q", head, cut, got)
			}
		}
	}
	for _, words := range []string{"13", "3:25 it is", "0:1\n", "12 volts"} {
		tr, err := Parse("f", []byte("[0:01] five volts\n[0:05] three amps\n"+words))
		if err != nil {
			t.Fatal(err)
		}
		want := "five volts three amps " + strings.TrimSpace(words)
		if got := strings.Join(strings.Fields(string(tr.Text)), " "); got != want {
			t.Errorf("%q at the end: the words are %q", words, got)
		}
	}
}

// TestCutNumber: a file that ends inside the number of a cue.
func TestCutNumber(t *testing.T) {
	var b strings.Builder
	for i := range 12 {
		fmt.Fprintf(&b, "%d\n00:00:%02d,000 --> 00:00:%02d,900\nfive volts\n\n", i+1, i, i)
	}
	want := strings.TrimSpace(strings.Repeat("five volts ", 12))
	for end, said := range map[string]string{"1": want, "13": want, "2": want + " 2", "3": want + " 3",
		"1\n": want + " 1"} {
		tr, err := Parse("f", []byte(b.String()+end))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(strings.Fields(string(tr.Text)), " "); got != said {
			t.Errorf("%q at the end: the words are %q, want %q", end, got, said)
		}
	}
}
