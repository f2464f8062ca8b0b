package transcript

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
	"time"

	"saywatt/schema"
)

// benchTalk is some three hours of talk in a format; the words are few, the
// shape is that of real captions.
func benchTalk(format Format) string {
	lines := []string{
		"so this is the Nimbrook NB65",
		"and on the label it says",
		"output twenty volts at 3.25 amps",
		"which makes sixty five watts",
		"the board has two GaN switches",
	}
	const cues = 4000
	var b strings.Builder
	switch format {
	case FormatVTT:
		b.WriteString("WEBVTT\n\n")
	case FormatTTML:
		b.WriteString("<tt><body><div>\n")
	}
	for i := range cues {
		from := time.Duration(i) * 2700 * time.Millisecond
		to := from + 2500*time.Millisecond
		a, c := lines[i%len(lines)], lines[(i*7+1)%len(lines)]
		switch format {
		case FormatVTT:
			fmt.Fprintf(&b, "%s --> %s\n%s\n%s\n\n", formatTime(from), formatTime(to), a, c)
		case FormatSRT:
			fmt.Fprintf(&b, "%d\r\n%s --> %s\r\n%s\r\n%s\r\n\r\n", i+1, strings.ReplaceAll(formatTime(from), ".", ","),
				strings.ReplaceAll(formatTime(to), ".", ","), a, c)
		case FormatTTML:
			fmt.Fprintf(&b, "<p begin=\"%s\" end=\"%s\">%s<br/>%s</p>\n", formatTime(from), formatTime(to), a, c)
		case FormatStamped:
			fmt.Fprintf(&b, "[%d:%02d] %s %s\n", from/time.Minute, from/time.Second%60, a, c)
		case FormatNotes:
			fmt.Fprintf(&b, "%s,\n- **%s**\n\n", a, c)
		}
	}
	if format == FormatTTML {
		b.WriteString("</div></body></tt>")
	}
	return b.String()
}

// benchRolling is an hour of rolling captions with word times.
func benchRolling() string {
	var b strings.Builder
	b.WriteString("WEBVTT\nKind: captions\nLanguage: en\n\n")
	before := " "
	for i := range 1500 {
		from := time.Duration(i) * 2400 * time.Millisecond
		words := strings.Fields(fmt.Sprintf("reading %d of the output shows twenty volts", i))
		fmt.Fprintf(&b, "%s --> %s align:start position:0%%\n%s\n%s", formatTime(from),
			formatTime(from+2390*time.Millisecond), before, words[0])
		for k, word := range words[1:] {
			fmt.Fprintf(&b, "<%s><c> %s</c>", formatTime(from+time.Duration(k+1)*300*time.Millisecond), word)
		}
		before = strings.Join(words, " ")
		fmt.Fprintf(&b, "\n\n%s --> %s align:start position:0%%\n%s\n \n\n", formatTime(from+2390*time.Millisecond),
			formatTime(from+2400*time.Millisecond), before)
	}
	return b.String()
}

func benchParse(b *testing.B, src []byte, want Format) {
	tr, err := Parse("talk", src)
	if err != nil || tr.Format != want || len(tr.Problems) > 0 {
		b.Fatal(err, tr)
	}
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse("talk", src); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	for _, format := range []Format{FormatVTT, FormatSRT, FormatTTML, FormatStamped, FormatNotes} {
		src := benchTalk(format)
		b.Run(format.String(), func(b *testing.B) { benchParse(b, []byte(src), format) })
	}
	b.Run("rolling", func(b *testing.B) { benchParse(b, []byte(benchRolling()), FormatVTT) })
	b.Run("utf16", func(b *testing.B) {
		benchParse(b, encode16(binary.LittleEndian, benchTalk(FormatSRT)), FormatSRT)
	})
	line := strings.Repeat("five volts <b>two</b> amps & more ", 10<<20/34)
	b.Run("line of 10 MB/notes", func(b *testing.B) { benchParse(b, []byte(line), FormatNotes) })
	b.Run("line of 10 MB/vtt", func(b *testing.B) {
		benchParse(b, []byte("WEBVTT\n\n00:01.000 --> 00:02.000\n"+line), FormatVTT)
	})
}

func BenchmarkSourceSpans(b *testing.B) {
	tr, err := Parse("talk", []byte(benchRolling()))
	if err != nil {
		b.Fatal(err)
	}
	at := strings.LastIndex(string(tr.Text), "twenty volts")
	b.ReportAllocs()
	for b.Loop() {
		if n := len(tr.SourceSpans(schema.Span{Start: at, End: at + 12})); n < 2 {
			b.Fatal(n)
		}
	}
}

func BenchmarkTimeAt(b *testing.B) {
	tr, err := Parse("talk", []byte(benchRolling()))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		tr.TimeAt(len(tr.Text) / 2)
	}
}

// Inputs made to be slow take time in proportion to their length: doubling
// them must not do more than double the steps. Here they only have to end,
// well within the test's time limit.
func TestHostileInputsEnd(t *testing.T) {
	const n = 1 << 19
	for _, unit := range []string{
		"<", "&", "&a", "<a", "{\\", "-->", "[0:00] ", "](", "*", "1. ", "|", "a ", "0:00\n", "1\n", "\r", "<b\n", "x\n\n", "a\n-->\n",
		"<00:01.000>", "`", "[", "00:00:01.000 --> 00:00:02.000\n", "00:00:01.000 --> 00:00:02.000\na\n", "![CDATA[",
	} {
		body := strings.Repeat(unit, n/len(unit))
		for _, head := range []string{"", "WEBVTT\n\n00:01.000 --> 00:02.000\n", "1\n00:00:01,000 --> 00:00:02,000\n",
			"[0:00] a\n[0:01] ", "<tt><body><p begin='1s'>"} {
			if tr, err := Parse("talk", []byte(head+body)); err == nil && tr.Format == FormatUnknown {
				t.Errorf("%q after %q: no format", unit, head)
			}
		}
	}
}
