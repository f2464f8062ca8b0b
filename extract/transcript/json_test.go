package transcript

import (
	"errors"
	"strings"
	"testing"
	"time"
)

var jsonTests = []parseTest{
	{
		name: "segments",
		src: `{"text": " so 20 volts at 3 amps", "segments": [` + "\n" +
			`  {"id": 0, "start": 0.0, "end": 2.5, "text": " so 20 volts"},` + "\n" +
			`  {"id": 1, "start": 2.5, "end": 4.04, "text": " at 3\u00a0amps"}], "language": "en"}`,
		format: FormatJSON,
		cues:   "2 0-2.5: so 20 volts\n3 2.5-4.04: at 3\u00a0amps\n",
		words:  "3\u00a0amps", source: `3\u00a0amps`,
	},
	{
		name:   "a list alone, durations, clock times, a line break",
		src:    `[{"start":"00:00:01.500","duration":"2","text":"five volts\nthree amps"},{"start":3.5,"dur":1,"text":"47 \u00b5F"}]`,
		format: FormatJSON,
		cues:   "1 1.5-3.5: five volts / three amps\n1 3.5-4.5: 47 µF\n",
		words:  "volts\nthree", source: `volts\nthree`,
	},
	{
		name: "events with segments of words",
		src: `{"wireMagic":"a","events":[{"tStartMs":0,"dDurationMs":9000,"id":1},` + "\n" +
			`{"tStartMs":1000,"dDurationMs":4000,"segs":[{"utf8":"it"},{"utf8":" says","tOffsetMs":400},{"utf8":" 20","tOffsetMs":800}]},` + "\n" +
			`{"tStartMs":2500,"dDurationMs":1,"aAppend":1,"segs":[{"utf8":"\n"}]},` + "\n" +
			`{"tStartMs":2600,"dDurationMs":4000,"segs":[{"utf8":"volts"}]}]}`,
		format: FormatJSON,
		cues:   "2 1-5: it says 20\n3 2.5-2.501: \n4 2.6-6.6: volts\n",
		words:  "says 20", source: `says","tOffsetMs":400},{"utf8":" 20`,
	},
	{
		name: "words without blanks between them, no text",
		src: `{"segments":[{"start":1,"end":3,"words":[{"word":"20","start":1.0,"end":1.4},` +
			`{"word":"volts","start":1.5,"end":2}]}]}`,
		format: FormatJSON,
		cues:   "1 1-3: 20 volts\n",
		words:  "20 volts", source: `20","start":1.0,"end":1.4},{"word":"volts`,
	},
	{
		name: "words alone, cut at a pause",
		src: `[{"word":"20","start":1,"end":1.4},{"word":"volts","start":1.5,"end":2},` +
			`{"word":"so","start":4,"end":4.5}]`,
		format: FormatJSON,
		cues:   "1 1-2: 20 volts\n1 4-4.5: so\n",
	},
	{
		name: "milliseconds known by the pace",
		src: `[{"start":0,"end":4000,"text":"this one gives 20 volts at 3 amps"},` +
			`{"start":4000,"end":7000,"text":"and nine volts too"}]`,
		format: FormatJSON,
		cues:   "1 0-4: this one gives 20 volts at 3 amps\n1 4-7: and nine volts too\n",
	},
	{
		name:   "an object a line, a pair of times",
		src:    "{\"timestamp\":[0.0,1.5],\"text\":\"five volts\"}\n{\"timestamp\":[1.5,2],\"text\":\"three amps\"}\n",
		format: FormatJSON,
		cues:   "1 0-1.5: five volts\n2 1.5-2: three amps\n",
	},
	{
		name:     "a segment without a time",
		src:      `[{"start":1,"end":2,"text":"five"},{"text":"volts"},{"start":null,"end":3,"text":"ok"}]`,
		format:   FormatJSON,
		cues:     "1 1-2: five\n1 2-2: volts\n1 2-2: ok\n",
		problems: "1:36 unreadable or irregular cue time\n1:53 unreadable or irregular cue time\n",
	},
	{
		name:   "escapes",
		src:    `[{"start":1,"end":2,"text":"R\u0026D \"\ud834\udd1e\" \ud834 a\/b\\c\tx"}]`,
		format: FormatJSON,
		cues:   "1 1-2: R&D \"𝄞\" \ufffd a/b\\c\tx\n",
		words:  "𝄞", source: `\ud834\udd1e`,
	},
}

func TestJSONErrors(t *testing.T) {
	for _, test := range []struct {
		src, message string
		cause        error
	}{
		{"{\"segments\":[\n{\"start\":1,\"text\":\"five volts\"},\n{\"start\":", "talk:3:10: malformed JSON: it ends in the middle, before a value", ErrJSON},
		{"{\"a\":1}\n{\"a\" 2}", "talk:2:6: malformed JSON: '2', where a colon is due", ErrJSON},
		{"{\"text\":\"a\nb\"}", "talk:1:11: malformed JSON: '\\n', where an escape for a control character is due", ErrJSON},
		{`{"text":"\x41"}`, "talk:1:11: malformed JSON: 'x', where an escape of JSON is due", ErrJSON},
		{`{"a":[1,2}`, "talk:1:10: malformed JSON: '}', where a comma or ']' is due", ErrJSON},
		{"{\"a\":" + strings.Repeat("[", 100), "talk:1:69: malformed JSON: nested more than 64 deep", ErrJSON},
		{`{"price":5,"unit":"volts"}`, "talk: JSON, but without segments that have times and words", ErrNotTimed},
		{`{"version":"saywatt/record/1","source":{}}`, `talk:1:1: a record or feed of this program, not captions: "check", "emit" and "add" take it`, ErrRecord},
		{"\n{ \"feed\": \"saywatt/feed/1\"}", `talk:2:1: a record or feed of this program, not captions: "check", "emit" and "add" take it`, ErrRecord},
	} {
		_, err := Parse("talk", []byte(test.src))
		if !errors.Is(err, test.cause) || err.Error() != test.message {
			t.Errorf("%.40s: %v, want %s", test.src, err, test.message)
		}
	}
}

// A segment that has its text twice says so: readers differ in which they take.
func TestJSONTwice(t *testing.T) {
	tr := parse(t, `[{"start":1,"end":2,"text":"5 volts","text":"6 volts"},{"start":3,"end":4,"text":"7 volts"}]`)
	if got := strings.Join(strings.Fields(string(tr.Text)), " "); got != "5 volts 7 volts" {
		t.Errorf("the words are %q", got)
	}
	if len(tr.Problems) != 1 || !errors.Is(tr.Problems[0], ErrTwice) {
		t.Fatalf("problems: %v", tr.Problems)
	}
	const want = "talk:1:45: given twice: a text of one segment; the first is read"
	if got := tr.Problems[0].Error(); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// The times of words lead to the moment of each.
func TestJSONWordTimes(t *testing.T) {
	for _, src := range []string{
		`[{"start":1,"end":9,"text":"it says 20 volts","words":[{"word":" it","start":1},{"word":" says","start":2},{"word":" 20","start":5.5},{"word":" volts","start":7}]}]`,
		`{"events":[{"tStartMs":1000,"dDurationMs":8000,"segs":[{"utf8":"it"},{"utf8":" says","tOffsetMs":1000},{"utf8":" 20","tOffsetMs":4500},{"utf8":" volts","tOffsetMs":6000}]}]}`,
		`[{"word":"it","start":1,"end":2},{"word":"says","start":2,"end":5},{"word":"20","start":5.5,"end":7},{"word":"volts","start":7,"end":9}]`,
	} {
		tr := parse(t, src)
		at, ok := tr.TimeAt(strings.Index(string(tr.Text), "20"))
		if want := 5500 * time.Millisecond; !ok || at < want-time.Second || at > want {
			t.Errorf("%.30s: 20 at %v, want %v", src, at, want)
		}
	}
}
