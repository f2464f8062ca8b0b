package transcript

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"html"
	"strings"
	"testing"
	"unicode/utf16"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// drawTalk draws cues, each of lines, each of words: what is said.
func drawTalk(t *rapid.T) [][][]string {
	word := rapid.OneOf(
		rapid.SampledFrom([]string{"twenty", "volts", "3.25", "amps", "GaN", "R&D", "µF", "5℃", "<5", "𝄞", "née", "at"}),
		rapid.StringMatching(`[a-z]{1,9}`),
	)
	line := rapid.SliceOfN(word, 1, 6)
	cue := rapid.SliceOfN(line, 1, 3)
	return rapid.SliceOfN(cue, 1, 8).Draw(t, "talk")
}

// A writer of one format; it spells words with whatever marks the format has.
var talkWriters = map[Format]func(*rapid.T, [][][]string) string{
	FormatVTT: func(t *rapid.T, talk [][][]string) string {
		var b strings.Builder
		b.WriteString("WEBVTT\n")
		for i, cue := range talk {
			if rapid.Bool().Draw(t, "id") {
				fmt.Fprintf(&b, "\ncue %d", i)
			}
			fmt.Fprintf(&b, "\n%02d:%02d.000 --> %02d:%02d.500 align:start\n", i/60, i%60, i/60, i%60)
			for _, line := range cue {
				for k, word := range line {
					if k > 0 {
						b.WriteByte(' ')
					}
					mark := rapid.SampledFrom([]string{"%s", "<b>%s</b>", "<c.low>%s</c>", "<v Osla>%s</v>"}).Draw(t, "mark")
					fmt.Fprintf(&b, mark, escape(t, word))
				}
				b.WriteByte('\n')
			}
		}
		return b.String()
	},
	FormatSRT: func(t *rapid.T, talk [][][]string) string {
		var b strings.Builder
		for i, cue := range talk {
			fmt.Fprintf(&b, "%d\n00:%02d:%02d,000 --> 00:%02d:%02d,500\n", i+1, i/60, i%60, i/60, i%60)
			for _, line := range cue {
				mark := rapid.SampledFrom([]string{"%s", "<i>%s</i>", "{\\an8}%s"}).Draw(t, "mark")
				fmt.Fprintf(&b, mark+"\n", strings.Join(line, " "))
			}
			b.WriteByte('\n')
		}
		return b.String()
	},
	FormatTTML: func(t *rapid.T, talk [][][]string) string {
		var b strings.Builder
		b.WriteString("<tt><body><div>\n")
		for i, cue := range talk {
			fmt.Fprintf(&b, "<p begin=\"%ds\" dur=\"500ms\">\n ", i)
			for k, line := range cue {
				if k > 0 {
					b.WriteString(" <br/> ")
				}
				for k, word := range line {
					if k > 0 {
						b.WriteString(rapid.SampledFrom([]string{" ", "\n  ", "\t"}).Draw(t, "space"))
					}
					mark := rapid.SampledFrom([]string{"%s", "<span>%s</span>"}).Draw(t, "mark")
					fmt.Fprintf(&b, mark, html.EscapeString(word))
				}
			}
			b.WriteString("\n</p>\n")
		}
		return b.String() + "</div></body></tt>"
	},
	FormatStamped: func(t *rapid.T, talk [][][]string) string {
		var b strings.Builder
		for i, cue := range talk {
			fmt.Fprintf(&b, "[%d:%02d] ", i/60, i%60)
			for _, line := range cue {
				b.WriteString(strings.Join(line, " ") + "\n")
			}
		}
		return b.String()
	},
	FormatNotes: func(t *rapid.T, talk [][][]string) string {
		var b strings.Builder
		for _, cue := range talk {
			b.WriteString(rapid.SampledFrom([]string{"", "- "}).Draw(t, "bullet"))
			for _, line := range cue {
				mark := rapid.SampledFrom([]string{"%s", "**%s**"}).Draw(t, "mark")
				fmt.Fprintf(&b, mark+"\n", strings.Join(line, " "))
			}
			b.WriteByte('\n')
		}
		return b.String()
	},
}

// escape writes a word for WebVTT, now and then with more references than it
// needs.
func escape(t *rapid.T, word string) string {
	if !rapid.Bool().Draw(t, "references") {
		return html.EscapeString(word)
	}
	var b strings.Builder
	for _, r := range word {
		fmt.Fprintf(&b, "&#%d;", r)
	}
	return b.String()
}

// What is said is the text, and every span of the text stands in the source at
// bytes that spell it.
func TestPropertySpansSpell(t *testing.T) {
	for format, write := range talkWriters {
		t.Run(format.String(), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				talk := drawTalk(t)
				src := write(t, talk)
				if rapid.Bool().Draw(t, "CRLF") {
					src = strings.ReplaceAll(src, "\n", "\r\n")
				}
				raw := []byte(src)
				var order binary.ByteOrder
				if rapid.Bool().Draw(t, "UTF-16") {
					order = binary.LittleEndian
					raw = encode16(order, src)
				}
				tr, err := Parse("talk", raw)
				if err != nil {
					t.Fatalf("%v in %q", err, src)
				}
				if tr.Format != format {
					t.Fatalf("format %v of %q", tr.Format, src)
				}
				if got, want := string(tr.Text), talkText(format, talk); got != want {
					t.Fatalf("text %q, want %q\n%q", got, want, src)
				}
				from := rapid.IntRange(0, len(tr.Text)-1).Draw(t, "from")
				to := rapid.IntRange(from+1, len(tr.Text)).Draw(t, "to")
				checkSpelling(t, tr, schema.Span{Start: from, End: to}, order)
			})
		})
	}
}

// talkText joins what is said as Transcript.Text does.
func talkText(format Format, talk [][][]string) string {
	var cues []string
	for _, cue := range talk {
		var lines []string
		for _, line := range cue {
			lines = append(lines, strings.Join(line, " "))
		}
		cues = append(cues, strings.Join(lines, "\n"))
	}
	if format == FormatNotes {
		return strings.Join(cues, "\n\n")
	}
	return strings.Join(cues, "\n")
}

// checkSpelling resolves the source bytes of each piece of a span by other
// means than the readers do. order is nil for UTF-8.
func checkSpelling(t *rapid.T, tr *Transcript, span schema.Span, order binary.ByteOrder) {
	occurrences := tr.Occurrences(span)
	if len(occurrences) == 0 {
		if len(bytes.Trim(tr.Text[span.Start:span.End], "\n")) > 0 {
			t.Fatalf("no source for %q", tr.Text[span.Start:span.End])
		}
		return
	}
	at := span.Start
	for _, p := range occurrences[0].Pieces {
		if gap := tr.Text[at:max(p.Text.Start, at)]; len(bytes.Trim(gap, "\n")) > 0 {
			t.Fatalf("no source for %q", gap)
		}
		at = p.Text.End
		spelt := string(tr.Source[p.Source.Start:p.Source.End])
		if order != nil {
			units := make([]uint16, len(spelt)/2)
			for i := range units {
				units[i] = order.Uint16([]byte(spelt[2*i:]))
			}
			spelt = string(utf16.Decode(units))
		}
		text := string(tr.Text[p.Text.Start:p.Text.End])
		if strings.ContainsRune(text, '\ufffd') || order != nil && strings.ContainsRune(spelt, '\ufffd') {
			continue // the span cuts a character
		}
		// TTML writes any white space for a space.
		resolved := strings.Join(strings.Fields("x"+html.UnescapeString(spelt)+"x"), " ")
		resolved = resolved[1 : len(resolved)-1]
		cut := p.Text.Start == span.Start || p.Text.End == span.End // a part of a reference goes whole
		if text != spelt && text != resolved && !(cut && strings.Contains(spelt, "&") && strings.Contains(resolved, text)) {
			t.Fatalf("%q is spelt %q", text, spelt)
		}
	}
	if rest := tr.Text[at:max(span.End, at)]; len(bytes.Trim(rest, "\n")) > 0 {
		t.Fatalf("no source for %q", rest)
	}
}
