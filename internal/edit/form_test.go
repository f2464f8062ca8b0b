package edit

import (
	"errors"
	"strings"
	"testing"

	"saywatt/extract/transcript"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// The forms that came after captions and notes: words are put back where they
// stood, and nothing else moves.
func TestForms(t *testing.T) {
	for _, c := range []struct{ name, in, change, want string }{
		{"sbv", "0:00:01.000,0:00:02.000\nit reads 19\n\n0:00:02.000,0:00:03.000\n87 volts\n", "19 87 → 19.87",
			"0:00:01.000,0:00:02.000\nit reads 19.87\n\n0:00:02.000,0:00:03.000\nvolts\n"},
		{"ass", "[Script Info]\nTitle: 325 amps\n[Events]\nComment: 0,0:00:01.00,0:00:02.00,,,0,0,0,,325 amps\nDialogue: 0,0:00:01.00,0:00:02.00,,,0,0,0,,at {\\i1}325{\\i0}\\Namps\n",
			"325 amps → 3.25 amps",
			"[Script Info]\nTitle: 325 amps\n[Events]\nComment: 0,0:00:01.00,0:00:02.00,,,0,0,0,,325 amps\nDialogue: 0,0:00:01.00,0:00:02.00,,,0,0,0,,at {\\i1}3.25{\\i0}\\Namps\n"},
		{"json", `{"segments":[ {"start":1,"end":2,"text":" at 325 amps \u00b5"} ]}`, "325 amps → 3.25 amps",
			`{"segments":[ {"start":1,"end":2,"text":" at 3.25 amps \u00b5"} ]}`},
		{"json escapes", `[{"start":1,"end":2,"text":"at 3\u00325 amps"}]`, `325 amps → 3" \ amps`,
			`[{"start":1,"end":2,"text":"at 3\" \\ amps"}]`},
		{"json words", `{"segments":[{"start":1,"end":2,"words":[{"word":"2","start":1},{"word":"22","start":1.5},{"word":"volts","start":1.6}]}]}`, "2 22 → 2.22",
			`{"segments":[{"start":1,"end":2,"words":[{"word":"2.22","start":1},{"word":"","start":1.5},{"word":"volts","start":1.6}]}]}`},
		{"events", `{"events":[{"tStartMs":1,"dDurationMs":9,"segs":[{"utf8":"at"},{"utf8":" 325","tOffsetMs":2},{"utf8":" amps"}]}]}`, "325 amps → 3.25 amps",
			`{"events":[{"tStartMs":1,"dDurationMs":9,"segs":[{"utf8":"at"},{"utf8":" 3.25","tOffsetMs":2},{"utf8":" amps"}]}]}`},
		{"csv", "start,end,text\n0:01,0:02,\"so, 325 amps\"\n0:02,0:03,20 volts\n", "325 amps → 3,25 amps",
			"start,end,text\n0:01,0:02,\"so, 3,25 amps\"\n0:02,0:03,20 volts\n"},
		{"tsv", "0.5\t2.5\tat 325 amps\n2.5\t4.5\tok then\n", "325 amps → 3,25 amps", "0.5\t2.5\tat 3,25 amps\n2.5\t4.5\tok then\n"},
		{"speaker", "Speaker 1  00:12\nat 325 amps\n\nSpeaker 2  00:20\n20 volts\n", "325 amps → 3.25 amps",
			"Speaker 1  00:12\nat 3.25 amps\n\nSpeaker 2  00:20\n20 volts\n"},
	} {
		got, left, err := accept(c.in, c.change)
		if err != nil || len(left) > 0 || got != c.want {
			t.Errorf("%s: %v %v\n got %q\nwant %q", c.name, err, left, got, c.want)
		}
	}
}

// A number with a comma in a cell without quotes would be two cells.
func TestCellWithoutQuotes(t *testing.T) {
	in := "text,start\nat 325 amps,0:01\n20 volts,0:02\n"
	if _, _, err := accept(in, "325 amps → 3,25 amps"); !errors.Is(err, errStructure) ||
		!strings.Contains(err.Error(), "without quotes") {
		t.Error(err)
	}
}

// What is not English is not corrected.
func TestForeignIsNotCorrected(t *testing.T) {
	const body = "\n\n00:01.000 --> 00:02.000\nUSB-C 20 volts 325 amps, 65 watts\n"
	for head, most := range map[string]int{"WEBVTT": 1, "WEBVTT\nLanguage: en": 1, "WEBVTT\nLanguage: de": 0} {
		tr, err := transcript.Parse("t.vtt", []byte(head+body))
		if err != nil {
			t.Fatal(err)
		}
		rec, err := pipeline.Run(tr, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		changes, left, err := ForRecord(rec, tr, Style{})
		if err != nil || len(left) > 0 || len(changes) != most {
			t.Errorf("%q: %v, %v, %v", head, changes, left, err)
		}
		for i := range rec.Quantities { // what a person decided stands
			if q := &rec.Quantities[i]; q.Status == schema.StatusRepaired {
				q.Status = schema.StatusSettled
			}
		}
		if changes, _, err = ForRecord(rec, tr, Style{}); err != nil || len(changes) != 1 {
			t.Errorf("%q, settled: %v, %v", head, changes, err)
		}
	}
}
