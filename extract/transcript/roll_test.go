package transcript

import (
	"fmt"
	"strings"
	"testing"

	"saywatt/schema"
)

// rolling is one talk as rolling captions with word times: each line built up,
// held for 10 ms, and carried on the first line of the next cue. The display is
// read twice, "twelve volts" being a genuine repeat.
const rolling = `WEBVTT
Kind: captions
Language: en

00:00:00.320 --> 00:00:02.869 align:start position:0%
 
so<00:00:00.640><c> this</c><00:00:01.040><c> is</c><00:00:01.520><c> the</c><00:00:01.900><c> Nimbrook</c>

00:00:02.869 --> 00:00:02.879 align:start position:0%
so this is the Nimbrook
 

00:00:02.879 --> 00:00:05.349 align:start position:0%
so this is the Nimbrook
it<00:00:03.200><c> says</c><00:00:03.600><c> twelve</c><00:00:04.100><c> volts</c>

00:00:05.349 --> 00:00:05.359 align:start position:0%
it says twelve volts
 

00:00:05.359 --> 00:00:08.000 align:start position:0%
it says twelve volts
it<00:00:06.000><c> says</c><00:00:06.500><c> twelve</c><00:00:07.000><c> volts</c>

00:00:08.000 --> 00:00:08.010 align:start position:0%
it says twelve volts
 

00:00:08.010 --> 00:00:10.000 align:start position:0%
it says twelve volts
 

00:00:10.000 --> 00:00:12.000 align:start position:0%
it says twelve volts
at<00:00:10.500><c> 325</c><00:00:11.000><c> amps</c>
`

func TestRolling(t *testing.T) {
	tr := parse(t, rolling)
	want := "so this is the Nimbrook\nit says twelve volts\nit says twelve volts\nat 325 amps"
	if string(tr.Text) != want {
		t.Fatalf("text %q, want %q", tr.Text, want)
	}
	if len(tr.Problems) > 0 {
		t.Errorf("problems %v", tr.Problems)
	}
	cues := "5 0.32-2.869: so this is the Nimbrook\n9 2.869-2.879: \n13 2.879-5.349: it says twelve volts\n17 " +
		"5.349-5.359: \n" +
		"21 5.359-8: it says twelve volts\n25 8-8.01: \n29 8.01-10: \n33 10-12: at 325 amps\n"
	if got := show(tr); got != cues {
		t.Errorf("cues\n%swant\n%s", got, cues)
	}
}

// Every place that shows a line is found, so that a correction reaches all.
func TestRollingOccurrences(t *testing.T) {
	tr := parse(t, rolling)
	first := strings.Index(string(tr.Text), "twelve")
	second := strings.LastIndex(string(tr.Text), "twelve")
	tests := []struct {
		name   string
		from   int
		words  string
		cues   []int
		pieces string // "|" between pieces, one occurrence a line
	}{
		{"said first", first, "twelve volts", []int{2, 3, 4}, "twelve| volts\ntwelve volts\ntwelve volts\n"},
		{"said again", second, "twelve volts", []int{4, 5, 6, 7}, "twelve| volts\ntwelve volts\ntwelve volts\ntwelve volts\n"},
		{"part of a word", second + 2, "elve", []int{4, 5, 6, 7}, "elve\nelve\nelve\nelve\n"},
		// Across a line: later cues show what they carry of it.
		{"across a line", second + 7, "volts\nat", []int{4, 5, 6, 7}, "volts|at\nvolts\nvolts\nvolts\n"},
		{"last line", strings.Index(string(tr.Text), "325"), "325 amps", []int{7}, "325| amps\n"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			span := schema.Span{Start: test.from, End: test.from + len(test.words)}
			if got := string(tr.Text[span.Start:span.End]); got != test.words {
				t.Fatalf("the test points at %q", got)
			}
			var pieces strings.Builder
			occurrences := tr.Occurrences(span)
			for i, o := range occurrences {
				if i >= len(test.cues) || o.Cue != test.cues[i] {
					t.Errorf("occurrence %d in cue %d, want cues %v", i, o.Cue, test.cues)
				}
				for k, p := range o.Pieces {
					if k > 0 {
						pieces.WriteByte('|')
					}
					source := string(tr.Source[p.Source.Start:p.Source.End])
					if text := string(tr.Text[p.Text.Start:p.Text.End]); source != text {
						t.Errorf("piece %q is spelt %q", text, source)
					}
					pieces.WriteString(source)
				}
				pieces.WriteByte('\n')
			}
			if pieces.String() != test.pieces {
				t.Errorf("pieces\n%swant\n%s", pieces.String(), test.pieces)
			}
			if n := len(tr.SourceSpans(span)); n != len(occurrences) {
				t.Errorf("%d spans for %d occurrences", n, len(occurrences))
			}
			if n := len(tr.SourcePieces(span)); n != len(occurrences) {
				t.Errorf("%d lists of pieces for %d occurrences", n, len(occurrences))
			}
		})
	}
}

func TestTimeAt(t *testing.T) {
	tr := parse(t, rolling)
	text := string(tr.Text)
	for _, test := range []struct {
		offset int
		want   string
	}{
		{0, "320ms"},                            // the cue's start
		{strings.Index(text, " this"), "640ms"}, // a word time
		{strings.Index(text, "this"), "720ms"},  // a fifth of the way from 0.64 to 1.04
		{strings.Index(text, "it"), "2.879s"},
		{strings.LastIndex(text, "it says"), "5.359s"},
		{strings.LastIndex(text, " volts"), "7s"},
		{strings.LastIndex(text, " amps"), "11s"},
		{len(text), "12s"},
	} {
		if got, ok := tr.TimeAt(test.offset); !ok || got.String() != test.want {
			t.Errorf("TimeAt(%d) = %v, %v; want %s", test.offset, got, ok, test.want)
		}
	}
	plain := parse(t, "WEBVTT\n\n00:10.000 --> 00:20.000\nüüüüüabcde\n")
	for at, want := range map[int]string{0: "10s", 10: "15s", 15: "20s"} {
		if got, ok := plain.TimeAt(at); !ok || got.String() != want {
			t.Errorf("by characters: TimeAt(%d) = %v, want %s", at, got, want)
		}
	}
	if _, ok := parse(t, "five volts").TimeAt(0); ok {
		t.Error("notes have no times")
	}
	if got, ok := parse(t, "WEBVTT\n").TimeAt(0); ok {
		t.Errorf("no words, but said at %v", got)
	}
}

// Each test gives cues as "start end lines", lines cut by "/", "_" being a
// line with a single blank, and the lines of the text.
func TestRollRule(t *testing.T) {
	tests := []struct {
		name string
		cues string
		text string
	}{
		{
			"rolling without word times, with holds",
			"0 2 one/_; 2 2.01 one/_; 2.01 4 one/two; 4 4.01 two/_; 4.01 6 two/three",
			"one/two/three",
		},
		{
			"holds only, one line at a time",
			"0 2 one; 2 2.01 one; 2.01 4 two; 4 4.01 two; 4.01 6 three",
			"one/two/three",
		},
		{
			"shape only, over the whole file",
			"0 2 one; 2 4 one/two; 4 6 two/three; 6 8 three/four",
			"one/two/three/four",
		},
		{
			"three lines roll up",
			"0 2 a/b/c; 2 4 b/c/d; 4 6 c/d/e; 6 8 d/e/f",
			"a/b/c/d/e/f",
		},
		{
			"a plain file with one line said twice",
			"0 2 it reads/nine volts; 2 4 nine volts/and now; 4 6 two amps/exactly; 6 8 and/that is it",
			"it reads/nine volts/nine volts/and now/two amps/exactly/and/that is it",
		},
		{
			"a short run in a plain file is no roll",
			"0 2 a/nine volts; 2 4 nine volts/ten volts; 4 6 ten volts/b; 6 8 c/d; 8 10 e/f; 10 12 g/h",
			"a/nine volts/nine volts/ten volts/ten volts/b/c/d/e/f/g/h",
		},
		{
			"a display read again and again, a cue each",
			"0 1 nine volts; 1 2 nine volts; 2 3 nine volts; 3 4 nine volts; 4 5 nine volts",
			"nine volts/nine volts/nine volts/nine volts/nine volts",
		},
		{
			"two-line cues said again whole",
			"0 1 nine volts/two amps; 1 2 nine volts/two amps; 2 3 nine volts/two amps; 3 4 x/y",
			"nine volts/two amps/nine volts/two amps/nine volts/two amps/x/y",
		},
		{
			"a line repeated after a pause, in a rolling file",
			"0 2 one/_; 2 2.01 one/_; 2.01 4 one/two; 4 4.01 two/_; 6 8 two/_; 8 8.01 two/_; 8.01 9 two/three",
			"one/two/two/three",
		},
		{
			"a line repeated at once, in a rolling file",
			"0 2 one/_; 2 2.01 one/_; 2.01 4 one/one; 4 4.01 one/_; 4.01 6 one/two",
			"one/one/two",
		},
		{
			"broken times: every cue at zero",
			"0 0 one; 0 0 one; 0 0 two; 0 0 two",
			"one/one/two/two",
		},
		{
			"a single hold is no evidence",
			"0 2 one; 2 2.01 one; 2.01 4 two; 4 6 three",
			"one/one/two/three",
		},
		{
			"word times: a carried line without a second",
			"0 2 one<1> two; 2 2.01 one two; 2.01 4 one two/three<3> four; 4 6 three four; 6 8 three four/five<7> six",
			"one two/three four/five six",
		},
		{
			"word times on a repeated line: said again",
			"0 2 one<1> two; 2 4 one<3> two; 4 6 one two/three<5> four; 6 8 three four/five<7> six",
			"one two/one two/three four/five six",
		},
		{
			"word times prove a roll across a pause",
			"0 2 one<1> two; 9 11 one two/three<10> four; 11 13 three four/five<12> six",
			"one two/three four/five six",
		},
	}
	for _, test := range tests {
		for _, format := range []Format{FormatVTT, FormatSRT, FormatTTML} {
			t.Run(test.name+"/"+format.String(), func(t *testing.T) {
				tr := parse(t, rollFile(format, test.cues))
				if got := strings.ReplaceAll(string(tr.Text), "\n", "/"); got != test.text {
					t.Errorf("text %s, want %s", got, test.text)
				}
			})
		}
	}
}

// rollFile writes the cues of TestRollRule in a format.
func rollFile(format Format, cues string) string {
	var b strings.Builder
	switch format {
	case FormatVTT:
		b.WriteString("WEBVTT\n\n")
	case FormatTTML:
		b.WriteString("<tt><body><div>\n")
	}
	for i, cue := range strings.Split(cues, "; ") {
		part := strings.SplitN(cue, " ", 3)
		lines := strings.Split(strings.ReplaceAll(part[2], "_", " "), "/")
		for i, line := range lines {
			lines[i] = rollLine(format, line)
		}
		switch format {
		case FormatVTT:
			fmt.Fprintf(&b, "%s --> %s\n%s\n\n", clock(part[0], "."), clock(part[1], "."), strings.Join(lines, "\n"))
		case FormatSRT:
			fmt.Fprintf(&b, "%d\n%s --> %s\n%s\n\n", i+1, clock(part[0], ","), clock(part[1], ","),
				strings.Join(lines, "\n"))
		case FormatTTML:
			fmt.Fprintf(&b, "<p begin=\"%ss\" end=\"%ss\">%s</p>\n", part[0], part[1], strings.Join(lines, "<br/>"))
		}
	}
	if format == FormatTTML {
		b.WriteString("</div></body></tt>")
	}
	return b.String()
}

// rollLine writes "one<1> two", where two is said from second 1 on.
func rollLine(format Format, line string) string {
	before, rest, ok := strings.Cut(line, "<")
	if !ok {
		return line
	}
	seconds, after, _ := strings.Cut(rest, ">")
	if format == FormatTTML {
		return before + `<span begin="` + seconds + `s">` + after + "</span>"
	}
	return before + "<" + clock(seconds, ".") + "><c>" + after + "</c>"
}

// clock writes seconds, below 60 and with at most three decimals, as a time.
func clock(seconds, point string) string {
	whole, part, _ := strings.Cut(seconds, ".")
	return "00:00:" + strings.Repeat("0", 2-len(whole)) + whole + point + part + strings.Repeat("0", 3-len(part))
}
