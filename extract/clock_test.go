package extract

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"saywatt/extract/transcript"
)

// clockForms write a moment as files write it.
var clockForms = []func(d time.Duration) string{
	func(d time.Duration) string { return clockOf(d, 2) + "." + millis(d) },
	func(d time.Duration) string { return clockOf(d, 2) + "," + millis(d) },
	func(d time.Duration) string { return clockOf(d, 1) + "." + millis(d)[:2] },
	func(d time.Duration) string { return clockOf(d, 2) },
	func(d time.Duration) string { return clockOf(d, 1) },
	func(d time.Duration) string { return clockOf(d, 2) + ":" + millis(d)[:2] },
	func(d time.Duration) string { return "[" + short(d) + "]" },
	func(d time.Duration) string { return "(" + short(d) + ")" },
}

func clockOf(d time.Duration, hours int) string {
	return fmt.Sprintf("%0*d:%02d:%02d", hours, int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60)
}

func short(d time.Duration) string {
	return fmt.Sprintf("%d:%02d", int(d.Minutes()), int(d.Seconds())%60)
}

func millis(d time.Duration) string { return fmt.Sprintf("%03d", d.Milliseconds()%1000) }

// TestEveryTimedForm: each form that has times has a writer of files with given ones.
func TestEveryTimedForm(t *testing.T) {
	for f := transcript.FormatVTT; !strings.HasPrefix(f.String(), "Format("); f++ {
		if timedFiles[f] == nil && f != transcript.FormatNotes && f != transcript.FormatDOCX {
			t.Errorf("form %s: no writer in timedFiles (extract/clock_test.go)", f)
		}
	}
}

// timedFiles write cues of words as files of each form, given their times.
var timedFiles = map[transcript.Format]func(at []time.Duration, words []string) string{
	transcript.FormatVTT: func(at []time.Duration, words []string) string {
		s := "WEBVTT\n\n"
		for i, w := range words {
			s += fmt.Sprintf("%d\n%s --> %s\n%s<%s> %s\n\n", i+1, clockForms[0](at[i]), clockForms[0](at[i+1]), w,
				clockForms[0](at[i]), w)
		}
		return s
	},
	transcript.FormatSRT: func(at []time.Duration, words []string) string {
		s := ""
		for i, w := range words {
			s += fmt.Sprintf("%d\n%s --> %s\n%s\n\n", i+1, clockForms[1](at[i]), clockForms[1](at[i+1]), w)
		}
		return s
	},
	transcript.FormatTTML: func(at []time.Duration, words []string) string {
		s := "<tt><body><div>"
		for i, w := range words {
			s += fmt.Sprintf("<p begin=%q end=%q>%s</p>", clockForms[0](at[i]), clockForms[0](at[i+1]), w)
		}
		return s + "</div></body></tt>"
	},
	transcript.FormatSBV: func(at []time.Duration, words []string) string {
		s := ""
		for i, w := range words {
			s += fmt.Sprintf("%s.%s,%s.%s\n%s\n\n", clockOf(at[i], 1), millis(at[i]), clockOf(at[i+1], 1),
				millis(at[i+1]), w)
		}
		return s
	},
	transcript.FormatASS: func(at []time.Duration, words []string) string {
		s := "[Events]\n"
		for i, w := range words {
			s += fmt.Sprintf("Dialogue: 0,%s,%s,Default,,0,0,0,,{\\k25}%s\n", clockForms[2](at[i]),
				clockForms[2](at[i+1]), w)
		}
		return s
	},
	transcript.FormatJSON: func(at []time.Duration, words []string) string {
		s := ""
		for i, w := range words {
			s += fmt.Sprintf("{\"id\":%d,\"start\":%g,\"end\":%q,\"text\":%q}\n", i, at[i].Seconds(),
				clockForms[0](at[i+1]), w)
		}
		return s
	},
	transcript.FormatTable: func(at []time.Duration, words []string) string {
		s := "start\tend\ttext\n"
		for i, w := range words {
			s += fmt.Sprintf("%g\t%s\t%s\n", at[i].Seconds(), clockForms[0](at[i+1]), w)
		}
		return s
	},
	transcript.FormatStamped: func(at []time.Duration, words []string) string {
		s := ""
		for i, w := range words {
			s += fmt.Sprintf("[%s] Speaker %d: %s\n", short(at[i]), i+1, w)
		}
		return s
	},
	transcript.FormatSpeaker: func(at []time.Duration, words []string) string {
		s := ""
		for i, w := range words {
			s += fmt.Sprintf("Speaker %d  %s\n%s\n\n", i%2+1, short(at[i]), w)
		}
		return s
	},
}

// A time of a recording is no quantity: not that of a cue, whatever the form of
// the file, and not one that stands among the words.
func TestPropertyTimesAreNoMentions(t *testing.T) {
	word := rapid.SampledFrom([]string{"so", "volts", "amps", "here", "the", "charger", "at", "watts", "and", "port",
		"hours", "from"})
	for format, write := range timedFiles {
		t.Run(format.String(), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				n := rapid.IntRange(2, 5).Draw(t, "cues")
				at := make([]time.Duration, n+1)
				for i := range at {
					at[i] = time.Duration(rapid.IntRange(0, 5_000_000).Draw(t, "ms")) * time.Millisecond
					if i > 0 {
						at[i] = at[i-1] + at[i]/100 + time.Second
					}
				}
				words := make([]string, n)
				for i := range words {
					said := rapid.SliceOfN(word, 1, 6).Draw(t, "words")
					if rapid.Bool().Draw(t, "stray") {
						form := rapid.SampledFrom(clockForms).Draw(t, "form")
						k := rapid.IntRange(0, len(said)).Draw(t, "place")
						said = append(said[:k:k], append([]string{form(at[i])}, said[k:]...)...)
						if k == 0 {
							said = append([]string{"at"}, said...) // or it would be a stamp of its own
						}
					}
					words[i] = strings.Join(said, " ")
				}
				src := write(at, words)
				tr, err := transcript.Parse("talk", []byte(src))
				if err != nil {
					t.Fatal(err)
				}
				if tr.Format != format {
					t.Fatalf("%v of %q", tr.Format, src)
				}
				doc := Find(tr)
				for i := range doc.Mentions {
					if doc.Mentions[i].Style == StyleSound { // "port volts": a word, which may be four
						continue
					}
					t.Fatalf("%q in %q is a mention", doc.Words(doc.Mentions[i].First, doc.Mentions[i].Last), src)
				}
			})
		})
	}
}

// The clock times that are none, and the numbers beside them.
func TestClock(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"at 01:02:03.500 it says 5 volts", "5 volts"},
		{"at 1:02:03 5 volts", "5 volts"},
		{"20 volts\n00:00:12,500 -> 00:00:15,000\n3 amps", "20 volts|3 amps"},
		{"see [1:02] 20 volts (12:34) 3 amps", "20 volts|3 amps"},
		{"from 00:12 20 volts", "20 volts"},
		{"it is 3:25 amps", "3|25 amps"},
		{"20 volts at 3:25", "20 volts|3|25"},
		{"00:12 9 volts", "9 volts"},
	} {
		tr, err := transcript.Parse("t", []byte("So "+test.text))
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		doc := Find(tr)
		for i := range doc.Mentions {
			got = append(got, doc.Words(doc.Mentions[i].First, doc.Mentions[i].Last))
		}
		if strings.Join(got, "|") != test.want {
			t.Errorf("%q: %q, want %q", test.text, got, test.want)
		}
	}
}
