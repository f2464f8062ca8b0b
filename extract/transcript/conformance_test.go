package transcript

import (
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// Public inputs, not committed: $SAYWATT_BENCHMARKS/captions, see its README.
// w3c-webvtt is the W3C's and web-platform-tests' own suite (webvtt.js
// 986949ec), mozilla-vtt that of vtt.js 42ca104e, mixed-formats the sample
// files of go-astisub dec0bf67.
func captionsDir(t *testing.T) string {
	t.Helper()
	root := os.Getenv("SAYWATT_BENCHMARKS")
	if root == "" {
		t.Skip("SAYWATT_BENCHMARKS is not set: no public caption files to test against")
	}
	return filepath.Join(root, "captions")
}

// parseFile reads a public input; t.Fatal on errors.
func parseFile(t *testing.T, path string) *Transcript {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := Parse(filepath.Base(path), src)
	if err != nil {
		t.Fatal(err)
	}
	checkInvariants(t, tr)
	return tr
}

// standardCues leaves out the cues the standard drops and we keep on purpose;
// each of them must have been reported.
func standardCues(tr *Transcript) []Cue {
	irregular := map[int]bool{}
	for _, p := range tr.Problems {
		if errors.Is(p, ErrTiming) {
			irregular[p.Line] = true
		}
	}
	var cues []Cue
	for _, c := range tr.Cues {
		if !irregular[c.Line] {
			cues = append(cues, c)
		}
	}
	return cues
}

// w3cKept counts, for each file, the cues the standard drops because it cannot
// read their times. We keep them, since their words were said, and report each
// as ErrTiming.
var w3cKept = map[string]int{
	"nulls.vtt":             55, // NUL inside a time; read as far as it goes, or placed after the cue before
	"timings-60.vtt":        4,  // seconds or minutes of 60: read as they add up
	"timings-garbage.vtt":   58, // a letter inside the times
	"timings-too-long.vtt":  13, // wrong number of digits
	"timings-too-short.vtt": 30, // the same
	"whitespace-chars.vtt":  1,  // vertical tabs around the times
}

func TestW3CFiles(t *testing.T) {
	dir := filepath.Join(captionsDir(t), "w3c-webvtt", "file")
	var want map[string]struct{ Cues *int }
	readJSONTest(t, filepath.Join(dir, "expected-cue-counts.json"), &want)
	if len(want) != 37 {
		t.Fatalf("%d files, the suite has 37", len(want))
	}
	for name, w := range want {
		t.Run(name, func(t *testing.T) {
			tr := parseFile(t, filepath.Join(dir, name))
			if tr.Format != FormatVTT {
				t.Fatalf("format %v", tr.Format)
			}
			if w.Cues == nil {
				return
			}
			if got := len(standardCues(tr)); got != *w.Cues {
				t.Errorf("%d cues, want %d; problems %v", got, *w.Cues, tr.Problems)
			}
			if kept := len(tr.Cues) - *w.Cues; kept != w3cKept[name] {
				t.Errorf("%d cues kept beyond the standard, want %d", kept, w3cKept[name])
			}
			if *w.Cues == 0 && len(tr.Cues) == 0 && !hasProblem(tr, ErrNoCues) {
				t.Errorf("no cue, and it is not reported: %v", tr.Problems)
			}
		})
	}
}

func hasProblem(tr *Transcript, cause error) bool {
	return slices.ContainsFunc(tr.Problems, func(p *ParseError) bool { return errors.Is(p, cause) })
}

// treeDeviations are the cue texts read otherwise than the standard's tree
// says: it swallows a tag that is not closed, to the end of the cue, we keep
// what stands there and report it. Nothing but the stray characters is kept
// below; for "it drew <5 watts" it is the words.
var treeDeviations = map[string]struct {
	text  string
	cause error
}{
	"&<\n":             {"&<", ErrTag},
	"<\n":              {"<", ErrTag},
	"<<\n":             {"<<", ErrTag},
	"<\t\n":            {"<\t", ErrTag},
	"<\n\n":            {"<", ErrTag},
	"< \n":             {"< ", ErrTag},
	"<.\n":             {"<.", ErrTag},
	"</\n":             {"</", ErrTag},
	"<0\n":             {"<0", ErrTag},
	"<0.500\n":         {"<0.500", ErrTag},
	"<0:00.500\n":      {"<0:00.500", ErrTag},
	"text1\n\ntext2\n": {"text1\ntext2", ErrBlankLine}, // words after a blank line are kept
}

func TestW3CCueText(t *testing.T) {
	dir := filepath.Join(captionsDir(t), "w3c-webvtt", "cue")
	files, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil || len(files) != 5 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		var cases []struct{ Text, ExpectedTree string }
		readJSONTest(t, file, &cases)
		for _, c := range cases {
			t.Run(filepath.Base(file)+"/"+c.Text, func(t *testing.T) {
				head := "WEBVTT\n\n00:00.000 --> 900:00:00.000\n"
				tr, err := Parse("x", []byte(head+c.Text))
				if err != nil {
					t.Fatal(err)
				}
				checkInvariants(t, tr)
				got := string(tr.Text[tr.Cues[0].Text.Start:tr.Cues[0].Text.End])
				want, stamps := treeText(c.ExpectedTree)
				if d, ok := treeDeviations[c.Text]; ok {
					want = d.text
					if !hasProblem(tr, d.cause) {
						t.Errorf("not reported: %v", tr.Problems)
					}
				}
				if got != want && strings.TrimSpace(got+want) != "" {
					t.Errorf("text %q, want %q", got, want)
				}
				// A word time counts where words follow it.
				var times []string
				for _, s := range tr.stamps {
					times = append(times, formatTime(s.at))
				}
				if strings.HasSuffix(c.ExpectedTree, `test"`+"\n") && !slices.Equal(times, stamps) {
					t.Errorf("word times %v, want %v", times, stamps)
				}
			})
		}
	}
}

func formatTime(d time.Duration) string {
	return fmt.Sprintf("%02d:%02d:%02d.%03d", d/time.Hour, d/time.Minute%60, d/time.Second%60, d/time.Millisecond%1000)
}

// treeText takes the text nodes and timestamps out of a tree in the format of
// html5lib's tests: `| "text"`, `| <?timestamp 00:00:00.500>`.
func treeText(tree string) (text string, stamps []string) {
	for rest := tree; rest != ""; {
		rest = strings.TrimLeft(rest, "| \n")
		switch {
		case strings.HasPrefix(rest, `"`):
			end := strings.Index(rest, "\"\n|")
			if end < 0 {
				end = strings.LastIndex(rest, `"`)
			}
			text += rest[1:end]
			rest = rest[end+1:]
		default:
			line, after, _ := strings.Cut(rest, "\n")
			if at, ok := strings.CutPrefix(line, "<?timestamp "); ok {
				stamps = append(stamps, strings.TrimSuffix(at, ">"))
			}
			rest = after
		}
	}
	return text, stamps
}

type mozillaCues struct {
	Cues []struct {
		ID                 string
		StartTime, EndTime float64
		Text               string
	}
}

// mozillaDeviations are the files read otherwise than vtt.js expects.
var mozillaDeviations = map[string]string{
	"cue-times/min-top-digits.vtt":                "000:00.000 is no time in the current standard; read loosely and reported",
	"cue-times/minimum-spots-over-sixty.vtt":      "120:00.000 likewise; vtt.js takes it for hours, we for minutes",
	"integration/id.vtt":                          "a line of --> only ends no cue in vtt.js, which then drops the next; W3C arrows.vtt keeps it",
	"file-layout/garbage-signature.vtt":           "no caption file at all: read as notes",
	"file-layout/bom-garbage-data.vtt":            "no signature, read as SubRip",
	"file-layout/bom-tab-webvtt.vtt":              "space before the signature, read and reported",
	"file-layout/newline-before-webvtt.vtt":       "the same",
	"file-layout/tab-after-bom-before-header.vtt": "the same",
	"file-layout/header-no-new-line.vtt":          "W3C header-timings.vtt reads this cue",
}

// mozillaTextDeviations are those whose words we read otherwise.
//
// The value gives what we read from the cue's raw text.
var mozillaTextDeviations = map[string]func(raw string) string{
	// W3C entities.json knows references without a semicolon, as HTML does.
	"cuetext/escape-characters/incorrect.vtt": html.UnescapeString,
	// The text of a tag never closed is kept, and reported as ErrTag.
	"cuetext/lang/no-end-gt.vtt":                  strings.NewReplacer("<lang", "").Replace,
	"cuetext/tag-format/end-tag-no-gt.vtt":        strings.NewReplacer("<c>", "", "</c", "").Replace,
	"cuetext/tag-format/no-closing-gt.vtt":        strings.NewReplacer("<c", "").Replace,
	"cuetext/tag-format/start-tag-missing-gt.vtt": strings.NewReplacer("<c.first", "", "</c>", "").Replace,
	"cuetext/voice/no-end-gt.vtt":                 strings.NewReplacer("<v", "").Replace,
}

// Words after a blank line are kept, and reported as ErrBlankLine.
const mozillaBlankLine = "cuetext/format/double-line-break.vtt"

func TestMozilla(t *testing.T) {
	dir := filepath.Join(captionsDir(t), "mozilla-vtt")
	count := 0
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".vtt" {
			return err
		}
		rel, _ := filepath.Rel(dir, path)
		count++
		t.Run(rel, func(t *testing.T) { testMozillaFile(t, path, filepath.ToSlash(rel)) })
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if count != 267 {
		t.Errorf("%d files, the suite has 267", count)
	}
}

func testMozillaFile(t *testing.T, path, rel string) {
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := Parse(rel, src)
	if strings.HasPrefix(rel, "file-layout/blank-file") {
		if !errors.Is(err, ErrEmpty) {
			t.Fatalf("got %v, want ErrEmpty", err)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	checkInvariants(t, tr)
	cues := standardCues(tr)
	texts, processed := mozillaTexts(t, path)
	want := mozillaExpected(t, path, len(texts))
	var got, wanted []string
	for _, c := range cues {
		got = append(got, fmt.Sprintf("%q %v %v", c.ID, c.Start, c.End))
	}
	for _, c := range want.Cues {
		wanted = append(wanted, fmt.Sprintf("%q %v %v", c.ID, sec(c.StartTime), sec(c.EndTime)))
	}
	if reason, ok := mozillaDeviations[rel]; ok {
		checkDeviation(t, tr, reason, slices.Equal(got, wanted))
		return
	}
	if !slices.Equal(got, wanted) {
		t.Errorf("cues\n got %v\nwant %v\n%v", got, wanted, tr.Problems)
	}
	for i, c := range cues {
		words := string(tr.Text[c.Text.Start:c.Text.End])
		if ours, ok := mozillaTextDeviations[rel]; ok {
			if want := ours(want.Cues[i].Text); words != want {
				t.Errorf("reads %q, want %q", words, want)
			}
			if !strings.Contains(rel, "escape") && !hasProblem(tr, ErrTag) {
				t.Error("read leniently, not reported")
			}
			continue
		}
		if rel == mozillaBlankLine {
			if !strings.HasPrefix(words, want.Cues[i].Text+"\n- ") || !hasProblem(tr, ErrBlankLine) {
				t.Errorf("reads %q, want more than %q", words, want.Cues[i].Text)
			}
			continue
		}
		if processed && len(texts) == len(cues) && words != texts[i] {
			t.Errorf("cue %d reads %q, want %q", i, words, texts[i])
		} else if !processed && !strings.ContainsAny(want.Cues[i].Text, "<&") && words != want.Cues[i].Text {
			t.Errorf("cue %d reads %q, want %q", i, words, want.Cues[i].Text)
		}
	}
}

// checkDeviation: a file on the list still deviates, and says where it is read leniently.
func checkDeviation(t *testing.T, tr *Transcript, reason string, equal bool) {
	t.Helper()
	if equal {
		t.Errorf("no longer deviates (%s): take it off the list", reason)
	}
	if len(tr.Problems) == 0 && !strings.Contains(reason, "W3C") && tr.Format == FormatVTT {
		t.Errorf("read leniently, not reported")
	}
}

// mozillaTexts returns the text content of the processed cues, X-proc.json.
func mozillaTexts(t *testing.T, path string) (texts []string, ok bool) {
	t.Helper()
	file := strings.TrimSuffix(path, ".vtt") + "-proc.json"
	if _, err := os.Stat(file); err != nil {
		return nil, false
	}
	var nodes []struct{ TextContent string }
	readJSONTest(t, file, &nodes)
	for _, n := range nodes {
		texts = append(texts, n.TextContent)
	}
	return texts, true
}

// mozillaExpected finds the expected cues: X.json, or the file a directory
// shares. Which one is not said; where a directory has two, one is for no cue.
func mozillaExpected(t *testing.T, path string, processed int) (want mozillaCues) {
	t.Helper()
	dir := filepath.Dir(path)
	shared := "bad-" + filepath.Base(dir) + ".json"
	switch filepath.Base(dir) {
	case "file-layout", "cue-times":
		if processed == 0 {
			return want
		}
		shared = "with-data.json"
	case "lines":
		shared = "bad-line.json"
	case "regions":
		shared = "good-region.json"
	}
	for _, file := range []string{strings.TrimSuffix(path, ".vtt") + ".json", filepath.Join(dir, shared)} {
		if _, err := os.Stat(file); err == nil {
			readJSONTest(t, file, &want)
			return want
		}
	}
	t.Fatalf("no expectation for %s", path)
	return want
}

func sec(v float64) time.Duration {
	return time.Duration(math.Round(v*1000)) * time.Millisecond
}

func readJSONTest(t *testing.T, path string, v any) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, v); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}

// TestMixedFormats checks the samples by what SubRip, WebVTT and TTML readers
// of the source project agree on: format, encoding, cue count, and the times
// of the last cue.
func TestMixedFormats(t *testing.T) {
	dir := filepath.Join(captionsDir(t), "mixed-formats")
	tests := []struct {
		file     string
		format   Format
		encoding string
		cues     int
		from, to time.Duration
		cause    error // a problem that must be reported, nil where there is none
	}{
		{"broken-1-in.vtt", FormatNotes, "utf-8", 1, 0, 0, nil},
		{"example-in-breaklines.ttml", FormatTTML, "utf-8", 4, 3 * time.Second, 4 * time.Second, nil},
		{"example-out-breaklines.ttml", FormatTTML, "utf-8", 4, 3 * time.Second, 4 * time.Second, nil},
		{"example-in-carriage-return.srt", FormatSRT, "utf-8-bom", 3, 10733 * time.Millisecond, 14066 * time.Millisecond, nil},
		{"example-in-carriage-return.vtt", FormatVTT, "utf-8-bom", 3, 10733 * time.Millisecond, 14066 * time.Millisecond, nil},
		{"example-in-html-entities.srt", FormatSRT, "utf-8-bom", 3, 6331 * time.Millisecond, 9675 * time.Millisecond, nil},
		{"example-in-html-entities.vtt", FormatVTT, "utf-8", 3, 6331 * time.Millisecond, 9675 * time.Millisecond, nil},
		{"example-out-html-entities.srt", FormatSRT, "utf-8-bom", 3, 6331 * time.Millisecond, 9675 * time.Millisecond, nil},
		{"example-out-html-entities.vtt", FormatVTT, "utf-8", 3, 6331 * time.Millisecond, 9675 * time.Millisecond, nil},
		{"example-in-merging-style.ttml", FormatTTML, "utf-8", 4, 2 * time.Minute, 3 * time.Minute, ErrOverlap},
		{"example-in-non-utf8.srt", FormatSRT, "utf-16le", 6, 151400 * time.Millisecond, 153440 * time.Millisecond, nil},
		// Two digits after the point, which WebVTT wants to be three.
		{"example-in-non-utf8.vtt", FormatVTT, "utf-16le", 6, 151400 * time.Millisecond, 153440 * time.Millisecond, ErrTiming},
		{"example-in-styled.srt", FormatSRT, "utf-8", 10, 12 * time.Minute, 13 * time.Minute, nil},
		{"example-out-styled.srt", FormatSRT, "utf-8-bom", 10, 12 * time.Minute, 13 * time.Minute, nil},
		{"example-out-styled.vtt", FormatVTT, "utf-8", 10, 12 * time.Minute, 13 * time.Minute, nil},
	}
	for _, test := range tests {
		t.Run(test.file, func(t *testing.T) {
			tr := parseFile(t, filepath.Join(dir, test.file))
			if tr.Format != test.format || tr.Encoding != test.encoding || len(tr.Cues) != test.cues {
				t.Fatalf("%v, %s, %d cues; want %v, %s, %d", tr.Format, tr.Encoding, len(tr.Cues), test.format,
					test.encoding, test.cues)
			}
			if last := tr.Cues[len(tr.Cues)-1]; last.Start != test.from || last.End != test.to {
				t.Errorf("last cue %v to %v, want %v to %v", last.Start, last.End, test.from, test.to)
			}
			if strings.ContainsAny(string(tr.Text), "<>{}&") && !strings.Contains(test.file, "html-entities") {
				t.Errorf("markup left in %q", tr.Text)
			}
			if test.cause == nil && len(tr.Problems) > 0 || test.cause != nil && !hasProblem(tr, test.cause) {
				t.Errorf("problems %v, want %v", tr.Problems, test.cause)
			}
		})
	}
}

// The same words in SubRip and WebVTT, and before and after their round trip,
// are the same text.
func TestMixedFormatsAgree(t *testing.T) {
	dir := filepath.Join(captionsDir(t), "mixed-formats")
	for _, pair := range [][2]string{
		{"example-in-html-entities.srt", "example-in-html-entities.vtt"},
		{"example-in-html-entities.srt", "example-out-html-entities.srt"},
		{"example-in-styled.srt", "example-out-styled.srt"},
		{"example-in-styled.srt", "example-out-styled.vtt"},
		{"example-in-carriage-return.srt", "example-in-carriage-return.vtt"},
		{"example-in-non-utf8.srt", "example-in-non-utf8.vtt"},
	} {
		a, b := parseFile(t, filepath.Join(dir, pair[0])), parseFile(t, filepath.Join(dir, pair[1]))
		if string(a.Text) != string(b.Text) {
			t.Errorf("%v differ\n%q\n%q", pair, a.Text, b.Text)
		}
	}
}
