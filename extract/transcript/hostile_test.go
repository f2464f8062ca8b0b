package transcript

import (
	"runtime"
	"strings"
	"testing"
	"time"
)

// Text that is hostile to one reader or another takes time and memory in
// proportion to its length: eight times as much, at most some sixteen times as
// long.
func TestHostileIsLinear(t *testing.T) {
	const n = 1 << 17
	for name, write := range map[string]func(n int) string{
		"braces": func(n int) string {
			return "[Events]\nDialogue: 0,0:00:01.00,0:00:02.00,,,0,0,0,," + strings.Repeat("{", n)
		},
		"overrides":      func(n int) string { return "Dialogue: 0,0:00:01.00,0:00:02.00,,,0,0,0,," + strings.Repeat(`{\k1}`, n) },
		"commas":         func(n int) string { return "start,end,text\n" + strings.Repeat(",", n) },
		"commas ahead":   func(n int) string { return strings.Repeat(",", n) },
		"open quotes":    func(n int) string { return "start,text\n" + strings.Repeat("\"\n", n) },
		"doubled quotes": func(n int) string { return "start,text\n1,\"" + strings.Repeat(`""`, n) },
		"empty lists":    func(n int) string { return "[{\"a\":[" + strings.Repeat("[],", n) + "0]}]" },
		"empty words": func(n int) string {
			return `[{"start":1,"words":[` + strings.Repeat(`{"word":"","start":1},`, n) + `0]}]`
		},
		"words missed": func(n int) string {
			return `[{"start":1,"text":"` + strings.Repeat("a ", n) + `","words":[` + strings.Repeat(`{"word":"b","start":1},`, n) + `0]}]`
		},
		"escapes":   func(n int) string { return `[{"start":1,"text":"` + strings.Repeat(`\n`, n) + `"}]` },
		"times":     func(n int) string { return "0:00:01.000,0:00:02.000\n" + strings.Repeat("[br]", n) },
		"sbv times": func(n int) string { return strings.Repeat("0:00:01.000,0:00:02.000\n", n) },
		"labels":    func(n int) string { return strings.Repeat("Speaker 1  00:12\n", n) + "words" },
		"names":     func(n int) string { return strings.Repeat("A 1:1 ", n) + "\nSpeaker 1  00:12\nwords" },
	} {
		t.Run(name, func(t *testing.T) {
			took := func(n int) (best time.Duration) {
				src := []byte(write(n))
				for i := range 3 {
					runtime.GC()
					start := time.Now()
					if tr, err := Parse("talk", src); err == nil {
						checkInvariantsOnce(t, tr)
					}
					if d := time.Since(start); i == 0 || d < best {
						best = d
					}
				}
				return best
			}
			small, large := took(n/8), took(n)
			if large > 16*small+200*time.Millisecond {
				t.Errorf("%v, and %v for eight times as much", small, large)
			}
		})
	}
}

// checkInvariantsOnce is the cheap part of checkInvariants.
func checkInvariantsOnce(t *testing.T, tr *Transcript) {
	if len(tr.Cues) > 0 && tr.Cues[len(tr.Cues)-1].Text.End != len(tr.Text) {
		t.Error("the cues do not end with the text")
	}
}
