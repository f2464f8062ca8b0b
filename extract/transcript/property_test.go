package transcript

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
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
		rapid.SampledFrom([]string{"twenty", "volts", "3.25", "amps", "GaN", "R&D", "µF", "5℃", "<5", "𝄞", "née",
			"at"}),
		rapid.StringMatching(`[a-z]{1,9}`),
	)
	line := rapid.SliceOfN(word, 1, 6)
	cue := rapid.SliceOfN(line, 1, 3)
	return rapid.SliceOfN(cue, 1, 8).Draw(t, "talk")
}

// TestEveryFormIsWritten: each form has a writer, so that the property tests and the fuzz
// targets of its texts hold it. Word documents have any of the plain forms inside.
func TestEveryFormIsWritten(t *testing.T) {
	for f := FormatUnknown + 1; int(f) < len(formatNames); f++ {
		if talkWriters[f] == nil && f != FormatDOCX {
			t.Errorf("form %s: no writer in talkWriters (property_test.go)", f)
		}
	}
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
					mark := rapid.SampledFrom([]string{"%s", "<b>%s</b>", "<c.low>%s</c>", "<v Osla>%s</v>"}).Draw(t,
						"mark")
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
	FormatSBV: func(t *rapid.T, talk [][][]string) string {
		var b strings.Builder
		for i, cue := range talk {
			fmt.Fprintf(&b, "0:%02d:%02d.000,0:%02d:%02d.500\n", i/60, i%60, i/60, i%60)
			for k, line := range cue {
				if k > 0 {
					b.WriteString(rapid.SampledFrom([]string{"\n", "[br]"}).Draw(t, "break"))
				}
				b.WriteString(strings.Join(line, " "))
			}
			b.WriteString("\n\n")
		}
		return b.String()
	},
	FormatASS: func(t *rapid.T, talk [][][]string) string {
		b := strings.Builder{}
		b.WriteString(assHead)
		for i, cue := range talk {
			fmt.Fprintf(&b, "Dialogue: 0,0:%02d:%02d.00,0:%02d:%02d.50,Default,,0,0,0,,", i/60, i%60, i/60, i%60)
			for k, line := range cue {
				if k > 0 {
					b.WriteString(`\N`)
				}
				mark := rapid.SampledFrom([]string{"%s", "{\\i1}%s{\\i0}", "{\\k20}%s", "{a comment}%s"}).Draw(t,
					"mark")
				fmt.Fprintf(&b, mark, strings.Join(line, " "))
			}
			b.WriteByte('\n')
		}
		return b.String()
	},
	FormatJSON: func(t *rapid.T, talk [][][]string) string {
		shape := rapid.SampledFrom([]string{"list", "segments", "lines", "events"}).Draw(t, "shape")
		var segments []string
		for i, cue := range talk {
			var words []string
			for k, line := range cue {
				for n, w := range line {
					switch {
					case n > 0:
						w = " " + w
					case k > 0:
						w = "\n" + w
					}
					words = append(words, w)
				}
			}
			text := spelt(t, strings.Join(words, ""))
			if shape == "events" {
				for k, w := range words {
					words[k] = fmt.Sprintf(`{"utf8":%s,"tOffsetMs":%d}`, spelt(t, w), 10*k)
				}
				segments = append(segments, fmt.Sprintf(`{"tStartMs":%d,"dDurationMs":1500,"segs":[%s]}`, 1000*i, strings.Join(words, ",")))
				continue
			}
			segments = append(segments, fmt.Sprintf(`{"start":%d,"end":%d.5,"text":%s}`, i, i, text))
		}
		switch shape {
		case "segments":
			return `{"language":"en","segments":[` + strings.Join(segments, ",\n") + "]}"
		case "events":
			return `{"events":[` + strings.Join(segments, ",\n") + "]}"
		case "lines":
			return strings.Join(segments, "\n")
		}
		return "[" + strings.Join(segments, ",\n") + "]"
	},
	FormatTable: func(t *rapid.T, talk [][][]string) string {
		comma := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "comma")
		b := strings.Builder{}
		b.WriteString(strings.Join([]string{"start", "end", "text"}, comma) + "\n")
		for i, cue := range talk {
			var lines []string
			for _, line := range cue {
				lines = append(lines, strings.Join(line, " "))
			}
			text := strings.Join(lines, "\n")
			if len(lines) > 1 || rapid.Bool().Draw(t, "quotes") {
				text = `"` + text + `"`
			}
			fmt.Fprintf(&b, "0:%02d:%02d.000%s0:%02d:%02d.500%s%s\n", i/60, i%60, comma, i/60, i%60, comma, text)
		}
		return b.String()
	},
	FormatSpeaker: func(t *rapid.T, talk [][][]string) string {
		var b strings.Builder
		for i, cue := range talk {
			label := rapid.SampledFrom([]string{"Speaker 1  %02d:%02d", "Speaker 2 (%02d:%02d):",
				"Host\t%02d:%02d"}).Draw(t, "label")
			fmt.Fprintf(&b, label+"\n", i/60, i%60)
			for _, line := range cue {
				b.WriteString(strings.Join(line, " ") + "\n")
			}
			b.WriteByte('\n')
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

// spelt writes a JSON string, now and then with more escapes than it needs.
func spelt(t *rapid.T, words string) string {
	if !rapid.Bool().Draw(t, "escapes") {
		b, _ := json.Marshal(words)
		return string(b)
	}
	var b strings.Builder
	for _, u := range utf16.Encode([]rune(words)) {
		fmt.Fprintf(&b, `\u%04x`, u)
	}
	return `"` + b.String() + `"`
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
		if strings.HasPrefix(spelt, `\`) { // a JSON escape
			var s string
			if json.Unmarshal([]byte(`"`+spelt+`"`), &s) == nil {
				resolved = s
			}
		}
		cut := p.Text.Start == span.Start || p.Text.End == span.End // a part of a reference goes whole
		if text != spelt && text != resolved && !(cut && strings.ContainsAny(spelt, `&\`) && strings.Contains(resolved, text)) {
			t.Fatalf("%q is spelt %q", text, spelt)
		}
	}
	if rest := tr.Text[at:max(span.End, at)]; len(bytes.Trim(rest, "\n")) > 0 {
		t.Fatalf("no source for %q", rest)
	}
}
