package edit

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// accept replaces words of a file by way of a list, "before → after" a line.
func accept(source string, list ...string) (string, []Left, error) {
	t, err := transcript.Parse("test", []byte(source))
	if err != nil {
		return "", nil, err
	}
	var items []Item
	for i, l := range list {
		before, after, _ := strings.Cut(l, " → ")
		text := bytes.Index(bytes.ReplaceAll(t.Text, []byte("\n"), []byte(" ")), []byte(before))
		if text < 0 {
			return "", nil, fmt.Errorf("the file does not say %q", before)
		}
		span := t.SourceSpans(schema.Span{Start: text, End: text + len(before)})[0]
		items = append(items, Item{Line: i + 2, Accept: true, Before: before, After: after, Span: span})
	}
	changes, left, err := ForList(items, t)
	if err != nil {
		return "", nil, err
	}
	out, err := Apply(t.Source, changes)
	if err != nil {
		return "", nil, err
	}
	if _, err := Reread(t, out); err != nil {
		return string(out), left, err
	}
	if back, err := reverse(out, changes); err != nil || string(back) != source {
		return string(out), left, fmt.Errorf("does not come back: %v", err)
	}
	return string(out), left, nil
}

// Where corrected words go, format by format. Cues are written short: ⏎ ends a
// line, ¶ stands for a blank line and the times of the next cue.
func TestPlaces(t *testing.T) {
	for _, c := range []struct {
		name, format, in, change, want string
	}{
		{"one line", "vtt", "at 325 amps, 65 watts", "325 amps → 3.25 amps", "at 3.25 amps, 65 watts"},
		{"number and unit on two lines", "vtt", "at 325⏎amps, yes", "325 amps → 3.25 amps", "at 3.25⏎amps, yes"},
		{"unit on the next cue", "vtt", "and 15¶bolts 3 amps", "15 bolts → 15 volts", "and 15¶volts 3 amps"},
		{"house style gathers on the first line", "vtt", "and 15¶bolts, 3 amps", "15 bolts → 15 V", "and 15¶V, 3 amps"},
		{"number over two cues", "vtt", "reads 19¶87 here", "19 87 → 19.87", "reads 19.87¶here"},
		{"number over two lines, comma behind", "vtt", "reads 2⏎22, and 5 volts", "2 22 → 2.22", "reads 2.22,⏎and 5 volts"},
		{"unit over two lines, full stop behind", "srt", "47 micro⏎ferret. So", "47 micro ferret → 47 microfarads", "47 microfarads.⏎So"},
		{"the second line would be empty", "srt", "it reads 2⏎22", "2 22 → 2.22", "it reads⏎2.22"},
		{"the second cue would be empty", "vtt", "it reads 2¶22", "2 22 → 2.22", "it reads¶2.22"},
		{"only punctuation would stay", "vtt", "it reads 2¶22.", "2 22 → 2.22", "it reads¶2.22."},
		{"three lines", "vtt", "gets 86⏎pouring⏎4 percent here", "86 pouring 4 percent → 86.4 percent", ""},
		{"words are added", "vtt", "3.3 221 volts", "3.3 221 volts → 3.3 to 21 volts", "3.3 to 21 volts"},
		{"words before and behind", "vtt", "so three volts", "three volts → one thousand three hundred volts",
			"so one thousand three hundred volts"},
		{"a word before", "vtt", "so volts", "volts → 5 volts", "so 5 volts"},
		{"a blank comes in", "vtt", "at 3am.", "3am → 3 amps", "at 3 amps."},
		{"a blank goes out", "vtt", "at 91 % now", "91 % → 91%", "at 91% now"},
		{"tags", "vtt", "<v Ann>at <b>325</b> amps</v>", "325 amps → 3.25 amps", "<v Ann>at <b>3.25</b> amps</v>"},
		{"word times", "vtt", "92<00:00:01.500><c> .2%</c> now", "92 .2% → 92.2%", "92.2<00:00:01.500><c>%</c> now"},
		{"character references", "vtt", "R&amp;D 325 amps &lt; 5", "325 amps → 3.25 amps", "R&amp;D 3.25 amps &lt; 5"},
		{"new words are escaped", "vtt", "arendy here", "arendy → R&D", "R&amp;D here"},
		{"no escapes in SubRip", "srt", "arendy here", "arendy → R&D", "R&D here"},
		{"SubRip tags", "srt", "<i>20 volts 15</i>⏎amps", "15 amps → 1.5 amps", "<i>20 volts 1.5</i>⏎amps"},
		{"TTML", "ttml", "at <span>325</span><br/>amps", "325 amps → 3.25 amps", "at <span>3.25</span><br/>amps"},
		{"TTML over cues", "ttml", "reads 19¶87 here", "19 87 → 19.87", "reads 19.87¶here"},
		{"transcript with times", "stamped", "at 325 amps¶ok", "325 amps → 3.25 amps", "at 3.25 amps¶ok"},
		{"notes", "notes", "**325** amps", "325 amps → 3.25 amps", "**3.25** amps"},
	} {
		for _, enc := range []string{"utf-8", "bom", "utf-16le", "utf-16be", "crlf"} {
			if enc != "utf-8" && (c.format == "stamped" || c.format == "notes") {
				continue
			}
			got, left, err := accept(encodeAs(enc, wrap(c.format, c.in)), c.change)
			want := wrap(c.format, c.want)
			if c.want == "" {
				want = wrap(c.format, c.in)
				if len(left) != 1 || !errors.Is(left[0].Err, errEmpties) {
					t.Errorf("%s, %s: left %v", c.name, enc, left)
				}
			} else if len(left) > 0 {
				t.Errorf("%s, %s: left %v", c.name, enc, left)
			}
			if err != nil {
				t.Errorf("%s, %s: %v", c.name, enc, err)
			} else if want = encodeAs(enc, want); got != want {
				t.Errorf("%s, %s (-want +got):\n%s", c.name, enc, cmp.Diff(want, got))
			}
		}
	}
}

// wrap makes a file of short notation.
func wrap(format, cues string) string {
	head, tail, line, next := "", "\n", "\n", ""
	switch format {
	case "vtt":
		head, next = "WEBVTT - a title\n\nNOTE 325 amps is not corrected here\n\nSTYLE\n::cue { color: white "+
			"}\n\none\n00:00:01.000 --> 00:00:02.000 line:0 align:start\n", "\n\n00:00:02.000 --> 00:00:03.000\n"
	case "srt":
		head, next = "1\n00:00:01,000 --> 00:00:02,000 X1:40\n", "\n\n2\n00:00:02,000 --> 00:00:03,000\n"
	case "ttml":
		head, tail = `<?xml version="1.0"?><!-- 325 amps --><tt xmlns="http://www.w3.org/ns/ttml"><body><div><p begin="1s" end="2s">`, "</p></div></body></tt>\n"
		next = `</p><p begin="2s" end="3s">`
	case "stamped":
		head, next = "[0:01] first words\n[0:03] ", "\n[0:05] "
	}
	return head + strings.NewReplacer("⏎", line, "¶", next).Replace(cues) + tail
}

func encodeAs(encoding, text string) string {
	switch encoding {
	case "bom":
		return "\ufeff" + text
	case "crlf":
		return strings.ReplaceAll(text, "\n", "\r\n")
	case "utf-16le", "utf-16be":
		return string(inEncoding(&transcript.Transcript{Encoding: encoding}, "\ufeff"+text))
	}
	return text
}

// Rolling captions are corrected wherever they show the words.
func TestRolling(t *testing.T) {
	const in = `WEBVTT

00:00:01.000 --> 00:00:03.000
it<00:00:01.300><c> gives</c><00:00:01.600><c> 20</c><00:00:01.900><c> volts</c>

00:00:03.000 --> 00:00:03.010
it gives 20 volts

00:00:03.010 --> 00:00:05.000
it gives 20 volts
at<00:00:03.300><c> 325</c><00:00:03.600><c> amps</c>

00:00:05.000 --> 00:00:05.010
at 325 amps

00:00:05.010 --> 00:00:07.000
at 325 amps
and<00:00:05.300><c> more</c>
`
	got, left, err := accept(in, "20 volts → 20 V", "325 amps → 3.25 amps")
	if err != nil || len(left) > 0 {
		t.Fatal(err, left)
	}
	want := strings.NewReplacer("325", "3.25", " volts", " V").Replace(in)
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

func TestOverlappingChangesAreLeft(t *testing.T) {
	got, left, err := accept("WEBVTT\n\n00:01.000 --> 00:02.000\n20 volts 325 amps\n", "325 amps → 3.25 amps",
		"325 → 32.5")
	if err != nil || len(left) != 1 || !errors.Is(left[0].Err, errOverlap) ||
		!strings.Contains(got, "20 volts 3.25 amps") {
		t.Errorf("%q, %v, %v", got, left, err)
	}
}

func TestApplyRefusesOtherBytes(t *testing.T) {
	c := []Change{{Before: "325", Edits: []Edit{{schema.Span{Start: 3, End: 6}, []byte("325"), []byte("3.25")}}}}
	for _, source := range []string{"at 326 amps", "at 32", ""} {
		_, err := Apply([]byte(source), c)
		var place *placeError
		if !errors.Is(err, errStale) || !errors.As(err, &place) || place.Offset != 3 {
			t.Errorf("%q: %v", source, err)
		}
	}
	if _, err := reverse([]byte("at 325 amps"), c); !errors.Is(err, errStale) {
		t.Errorf("reverse: %v", err)
	}
	two := append(c, Change{Edits: []Edit{{schema.Span{Start: 5, End: 7}, []byte("5 "), nil}}})
	if _, err := Apply([]byte("at 325 amps"), two); !errors.Is(err, errOverlap) {
		t.Errorf("overlap: %v", err)
	}
}

func TestOtherRecord(t *testing.T) {
	tr, err := transcript.Parse("a", []byte("20 volts"))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := ForRecord(&schema.Record{Source: schema.Source{SHA256: "ab"}}, tr, Style{}); !errors.Is(err,
		errOtherFile) {
		t.Error(err)
	}
}

func sampleChanges() []Change {
	at := schema.Seconds(33037)
	return []Change{
		{Said: 19, At: &at, Media: "#t=33.037,37.514", Span: schema.Span{Start: 715, End: 723}, Before: "325 amps", After: "3.25 amps", Why: "the point was lost; 20 V × 3.25 A = 65 W", Confidence: 0.9994},
		{Span: schema.Span{Start: 3, End: 9}, Before: "=cmd|' /C'!A1", After: `a "b" | c \ <i>`, Why: "two\nlines"},
	}
}

func sampleLeft() []Left {
	at := schema.Seconds(48805)
	return []Left{{Said: 21, At: &at, Media: "#t=48.805,53", Span: schema.Span{Start: 800, End: 807},
		Before: "8 watts", After: "0.08 watts", Note: `Needs your ear: "8 watts" may be 0.08 W (48 %), 8 W (31 %)`,
		Why: "no load", Confidence: 0.48, Err: ErrOpen}}
}

func TestListGoldens(t *testing.T) {
	var b bytes.Buffer
	if err := WriteCSV(&b, sampleChanges(), sampleLeft(), "https://video.example/w?v=1&t={s}"); err != nil {
		t.Fatal(err)
	}
	want := "accept,at,before,after,why,confidence,link,said,span,left\r\n" +
		"yes,33.037,325 amps,3.25 amps,the point was lost; 20 V × 3.25 A = 65 W,0.999,https://video.example/w?v=1&t=33,19,715..723,\r\n" +
		"yes,,'=cmd|' /C'!A1,\"a \"\"b\"\" | c \\ <i>\",two lines,,,,3..9,\r\n" +
		"no,48.805,8 watts,0.08 watts,no load,0.480,https://video.example/w?v=1&t=48,21,800..807," +
		"\"Needs your ear: \"\"8 watts\"\" may be 0.08 W (48 %), 8 W (31 %); no reading is likely enough\"\r\n"
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("CSV (-want +got):\n%s", d)
	}
	b.Reset()
	if err := WriteMarkdown(&b, sampleChanges(), sampleLeft(), ""); err != nil {
		t.Fatal(err)
	}
	want = "| accept | at | before | after | why | confidence | link | said | span | left " +
		"|\n|---|---|---|---|---|---|---|---|---|---|\n" +
		"| yes | 33.037 | 325 amps | 3.25 amps | the point was lost; 20 V × 3.25 A = 65 W | 0.999 | #t=33.037,37.514 | 19 | 715..723 |  |\n" +
		"| yes |  | =cmd\\|' /C'!A1 | a \"b\" \\| c \\\\ &lt;i> | two lines |  |  |  | 3..9 |  |\n" +
		"| no | 48.805 | 8 watts | 0.08 watts | no load | 0.480 | #t=48.805,53 | 21 | 800..807 | " +
		"Needs your ear: \"8 watts\" may be 0.08 W (48 %), 8 W (31 %); no reading is likely enough |\n"
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("Markdown (-want +got):\n%s", d)
	}
	b.Reset()
	if err := WriteJSON(&b, sampleChanges(), sampleLeft(), ""); err != nil {
		t.Fatal(err)
	}
	want = `{"accept":true,"at":33.037,"before":"325 amps","after":"3.25 amps",` +
		`"why":"the point was lost; 20 V × 3.25 A = 65 W","confidence":0.9994,"link":"#t=33.037,37.514","said":19,` +
		`"span":[715,723]}` + "\n" +
		`{"accept":true,"before":"=cmd|' /C'!A1","after":"a \"b\" | c \\ <i>","why":"two\nlines","span":[3,9]}` + "\n" +
		`{"accept":false,"at":48.805,"before":"8 watts","after":"0.08 watts","why":"no load","confidence":0.48,` +
		`"link":"#t=48.805,53","said":21,"span":[800,807],` +
		`"left":"Needs your ear: \"8 watts\" may be 0.08 W (48 %), 8 W (31 %); no reading is likely enough"}` + "\n"
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("JSON Lines (-want +got):\n%s", d)
	}
}

// What a list says of a change comes back from all forms.
func TestListRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.StringMatching(`[ -~Ωµ°é＝'=+@|\\]{1,20}`)
		var changes []Change
		var want []Item
		for range rapid.IntRange(1, 4).Draw(t, "n") {
			a, b := oneLine(cell.Draw(t, "before")), oneLine(cell.Draw(t, "after"))
			s := schema.Span{Start: rapid.IntRange(0, 1000).Draw(t, "start")}
			s.End = s.Start + rapid.IntRange(0, 50).Draw(t, "length")
			changes = append(changes, Change{Before: a, After: b, Span: s, Why: cell.Draw(t, "why")})
			want = append(want, Item{Accept: true, Before: a, After: b, Span: s})
		}
		for name, write := range map[string]func(*bytes.Buffer) error{
			"csv":   func(w *bytes.Buffer) error { return WriteCSV(w, changes, nil, "") },
			"md":    func(w *bytes.Buffer) error { return WriteMarkdown(w, changes, nil, "") },
			"jsonl": func(w *bytes.Buffer) error { return WriteJSON(w, changes, nil, "") },
		} {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatal(err)
			}
			if name == "csv" {
				rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
				if err != nil {
					t.Fatal(err)
				}
				for _, row := range rows {
					for _, c := range row {
						if c != "" && strings.ContainsAny(c[:1], "=+-@") {
							t.Fatalf("a formula: %q", c)
						}
					}
				}
			}
			got, err := ReadList(&b)
			if err != nil {
				t.Fatal(name, err)
			}
			for i := range got {
				got[i].Line = 0
			}
			if d := cmp.Diff(want, got); d != "" {
				t.Fatalf("%s (-want +got):\n%s", name, d)
			}
		}
	})
}

func TestListErrors(t *testing.T) {
	const head = "accept,before,after,span\n"
	for _, c := range []struct {
		name, list string
		line       int
		err        error
	}{
		{"empty", "", 1, errList},
		{"a column missing", "accept,before,span\nyes,a,1..2\n", 1, errColumn},
		{"accept", head + "no,a,b,1..2\nperhaps,a,b,1..2\n", 3, errAccept},
		{"span", head + "yes,a,b,1-2\n", 2, errSpan},
		{"reversed span", head + "yes,a,b,5..2\n", 2, errSpan},
		{"quotes", head + "yes,\"a,b,1..2\n", 2, csv.ErrQuote},
		{"no JSON", "{\n", 1, errRow},
		{"an array", `{"accept":true,"before":"a","after":"b","span":[1,2]}` + "\n\n[1]\n", 3, errRow},
		{"another kind", `{"accept":"yes","before":"a","after":"b","span":[1,2]}` + "\n", 1, errRow},
		{"a key missing", `{"accept":true,"before":"a","span":[1,2]}` + "\n", 1, errKey},
		{"reversed span in JSON", `{"accept":true,"before":"a","after":"b","span":[5,2]}` + "\n", 1, errRow},
	} {
		_, err := ReadList(strings.NewReader(c.list))
		var l *listError
		if !errors.Is(err, c.err) || !errors.As(err, &l) || l.Line != c.line {
			t.Errorf("%s: %v, want line %d: %v", c.name, err, c.line, c.err)
		}
	}
}

// What an editor may have done to a list.
func TestListAsHandedBack(t *testing.T) {
	for _, list := range []string{
		"\ufeffspan;after;before;accept\r\n3..11;3.25 A;325 amps;YES\r\n0..2;on;at;no\r\n",
		"# Changes\n\n| accept | before | after | span |\n|:--|--:|---|---|\n| x | 325 amps | 3.25 A | 3..11 |\n\nThat is all.\n| [ ] | at | on | 0..2 |\n",
		"\ufeff" + `{"accept": true, "before": "325 amps", "after": "3.25 A", "span": [3, 11], "remark": "good"}` + "\r\n\r\n" +
			`{"accept":false,"before":"at","after":"on","span":[0,2]}`,
		"accept,before,after,span,remark\nyes,325 amps,3.25 A,3..11,\"good, \"\"really\"\"\"\n,at,on,0..2\n",
	} {
		if strings.HasPrefix(list, "#") {
			list = list[strings.Index(list, "|"):]
		}
		items, err := ReadList(strings.NewReader(list))
		if err != nil {
			t.Errorf("%q: %v", list, err)
			continue
		}
		tr, err := transcript.Parse("n", []byte("at 325 amps\n"))
		if err != nil {
			t.Fatal(err)
		}
		changes, left, err := ForList(items, tr)
		if err != nil || len(left) > 0 {
			t.Errorf("%q: %v, %v", list, left, err)
			continue
		}
		if out, err := Apply(tr.Source, changes); err != nil || string(out) != "at 3.25 A\n" {
			t.Errorf("%q: %q, %v", list, out, err)
		}
	}
}

func TestListOfAnotherFile(t *testing.T) {
	tr, err := transcript.Parse("n", []byte("at 325 amps\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range []Item{
		{Line: 7, Accept: true, Before: "326 amps", After: "x", Span: schema.Span{Start: 3, End: 11}},
		{Line: 7, Accept: true, Before: "325 amps", After: "x", Span: schema.Span{Start: 300, End: 308}},
		{Line: 7, Accept: true, Before: "325", After: "x", Span: schema.Span{Start: 0, End: 0}},
	} {
		_, _, err := ForList([]Item{it}, tr)
		var l *listError
		if !errors.Is(err, errStale) || !errors.As(err, &l) || l.Line != 7 {
			t.Errorf("%+v: %v", it, err)
		}
	}
	if _, _, err := ForList([]Item{{Line: 2, Accept: true, Before: "325 amps", Span: schema.Span{Start: 3, End: 11}}},
		tr); !errors.Is(err, errAfter) {
		t.Errorf("no words: %v", err)
	}
}

func FuzzReadList(f *testing.F) {
	f.Add("accept,before,after,span\nyes,325 amps,3.25 A,3..11\n")
	f.Add("| accept | before | after | span |\n|---|---|---|---|\n| yes | 325 amps | 3.25 \\| A | 3..11 |\n")
	f.Add("span;after;before;accept\r\n3..11;'=3.25 A;325 amps;YES\r\n")
	f.Add(`{"accept":true,"before":"325 amps","after":"3.25 A","span":[3,11]}` + "\n")
	f.Add("|\\")
	tr, err := transcript.Parse("n", []byte("at 325 amps, or\n**47** micro ferret\n"))
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, list string) {
		items, err := ReadList(strings.NewReader(list))
		if err != nil {
			return
		}
		changes, _, err := ForList(items, tr)
		if err != nil {
			return
		}
		out, err := Apply(tr.Source, changes)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := reverse(out, changes); err != nil || !bytes.Equal(back, tr.Source) {
			t.Fatalf("%q does not come back: %v", out, err)
		}
	})
}
