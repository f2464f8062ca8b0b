package transcript

import (
	"errors"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// Whatever parts are joined, each word of the whole stands in the source where
// the part has it, and is said as much later as the parts before it last.
func TestJoinKeepsPlacesAndTimes(t *testing.T) {
	texts := []string{
		"WEBVTT\n\n00:01.000 --> 00:03.000\nfive volts\nat <b>3</b> amps\n\n00:03.000 --> 00:05.500\nnine volts",
		"\ufeffWEBVTT\n\n00:01.000 --> 00:02.000\n20&nbsp;volts\n",
		"1\n00:00:01,000 --> 00:00:04,000\ntwelve volts\n",
	}
	rapid.Check(t, func(t *rapid.T) {
		var parts []*Transcript
		for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(texts)-1), 2, 5).Draw(t, "parts") {
			p, err := Parse("p.vtt", []byte(texts[i]))
			if err != nil {
				t.Fatal(err)
			}
			parts = append(parts, p)
		}
		j, err := Join(parts...)
		if err != nil {
			t.Fatal(err)
		}
		at, cues, from := 0, 0, time.Duration(0)
		for k, p := range parts {
			if k > 0 {
				at += len("\n\n")
			}
			if got := string(j.Text[at : at+len(p.Text)]); got != string(p.Text) {
				t.Fatalf("part %d: %q", k, got)
			}
			for i := range p.Text {
				own := p.SourceSpans(schema.Span{Start: i, End: i + 1})
				all := j.SourceSpans(schema.Span{Start: at + i, End: at + i + 1})
				if len(own) != len(all) || len(own) > 0 &&
					(all[0].Start != own[0].Start+j.Parts[k].From || all[0].End != own[0].End+j.Parts[k].From) {
					t.Fatalf("part %d, byte %d: %v, alone %v", k, i, all, own)
				}
			}
			for i, c := range p.Cues {
				if got := j.Cues[cues+i]; got.Start != c.Start+from || got.End != c.End+from || got.Index != cues+i {
					t.Fatalf("part %d, cue %d: %+v", k, i, got)
				}
			}
			if j.Parts[k].Start != from {
				t.Fatalf("part %d starts at %v", k, j.Parts[k].Start)
			}
			at, cues, from = at+len(p.Text), cues+len(p.Cues), from+p.Duration
		}
		if len(j.Text) != at || j.Duration != from {
			t.Fatalf("%d bytes, %v", len(j.Text), j.Duration)
		}
	})
}

func TestJoinRefuses(t *testing.T) {
	parse := func(text string) *Transcript {
		p, err := Parse("p", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	timed, notes := parse("WEBVTT\n\n00:01.000 --> 00:03.000\nfive volts\n"), parse("five volts\n")
	wide := parse("\xff\xfef\x00i\x00v\x00e\x00 \x00V\x00")
	for _, c := range []struct {
		parts []*Transcript
		want  string
	}{
		{nil, "there is none"},
		{[]*Transcript{timed, notes}, "some have times and some have none"},
		{[]*Transcript{notes, wide}, "it is utf-16le; save it as UTF-8"},
	} {
		if _, err := Join(c.parts...); !errors.Is(err, ErrJoin) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	if one, err := Join(wide); one != wide || err != nil {
		t.Errorf("one part: %v, %v", one, err)
	}
}
