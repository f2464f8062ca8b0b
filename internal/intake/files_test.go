package intake

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/internal/pipeline"
	"saywatt/normalize"
	"saywatt/schema"
)

// tree makes files with their contents in a folder and goes there.
func tree(t *testing.T, files map[string]string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for name, text := range files {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// Every row of the table of endings, by a name that only it fits, and names
// that none does.
func TestTaken(t *testing.T) {
	decided := map[string]bool{}
	for _, c := range []struct {
		name string
		want Take
	}{
		{"en.vtt.decisions.jsonl", No}, {"en.vtt.changes.csv", No}, {"en.vtt.changes.jsonl", No},
		{"saywatt-glossary.csv", No}, {"en.notes.txt", No}, {"README.txt", No}, {"LICENSE.txt", No},
		{"en.vtt", Yes}, {"EN.VTT", Yes}, {"a.srt", Yes}, {"a.ttml", Yes}, {"a.dfxp", Yes}, {"a.sbv", Yes}, {"a.ssa", Yes}, {"a.ass", Yes},
		{"a.docx", Content}, {"a.txt", Content}, {"a.xml", Content}, {"a.json", Content}, {"a.jsonl", Content}, {"a.csv", Content}, {"a.tsv", Content},
		{".hidden.vtt", No}, {"film.mp4", No}, {"notes.md", No}, {"vtt", No},
	} {
		if got := Taken(c.name); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
		for _, e := range loadEndings() {
			if ok, _ := path.Match(e.pattern, strings.ToLower(c.name)); ok {
				decided[e.pattern] = true
				break
			}
		}
	}
	for _, e := range loadEndings() {
		if !decided[e.pattern] {
			t.Errorf("endings.tsv: no name in this test is decided by the row %q", e.pattern)
		}
	}
}

func TestFiles(t *testing.T) {
	tree(t, map[string]string{
		"v2/en.vtt": "x", "v1/en.vtt": "x", "v1/en.vtt.decisions.jsonl": "x", "v1/more/part.srt": "x", "v1/.git/x.vtt": "x",
		"v1/shelf/archive.json": "x", "v1/shelf/a.vtt": "x", "v1/list.json": "x", "odd[1].vtt": "x", "none/film.mp4": "x",
	})
	for _, c := range []struct {
		args string
		want string // "?" behind a file whose content decides
		err  string
	}{
		{"", "-", ""},
		{"-", "-", ""},
		{"- -", "", "standard input is named more than once"},
		{"v1", "v1/en.vtt v1/list.json? v1/more/part.srt", ""},
		{"v2 v1/en.vtt v2/en.vtt", "v2/en.vtt v1/en.vtt", ""},
		{"v*/en.vtt", "v1/en.vtt v2/en.vtt", ""},
		{"v?", "v1/en.vtt v1/list.json? v1/more/part.srt v2/en.vtt", ""},
		{"odd[1].vtt", "odd[1].vtt", ""},
		{"odd[.vtt", "odd[.vtt", ""},
		{"missing.vtt", "missing.vtt", ""},
		{"w*.vtt", "", "w*.vtt: no file has such a name"},
		{"none", "", "none: no captions there"},
	} {
		files, err := Files(strings.Fields(c.args))
		var got []string
		for _, f := range files {
			name := filepath.ToSlash(f.Name)
			if f.Maybe {
				name += "?"
			}
			got = append(got, name)
		}
		if s := strings.Join(got, " "); s != c.want || c.err == "" && err != nil ||
			c.err != "" && (err == nil || err.Error() != c.err) {
			t.Errorf("%q: %q, %v; want %q, %q", c.args, s, err, c.want, c.err)
		}
	}
	for args, want := range map[string]bool{"": false, "v1/en.vtt": false, "v1": true, "v*/en.vtt": true, "a b": true,
		"odd[1].vtt": false, "-": false} {
		if got := Many(strings.Fields(args)); got != want {
			t.Errorf("Many(%q) is %v", args, got)
		}
	}
}

const cue = "WEBVTT\n\n00:01.000 --> 00:04.000\nThe USB-A port gives 5 volts at 2.4 amps.\n"

func reader() *Reader {
	return &Reader{
		Open:    func(name string) (io.ReadCloser, error) { return os.Open(name) },
		Options: func() (pipeline.Options, error) { return pipeline.Options{}, nil },
	}
}

// read lists what a reader hands on: "file levels" for each record.
func read(r *Reader, files []File) (got, failed []string, err error) {
	err = r.Each(files, func(i *Item) error {
		got = append(got, i.File.Name+" "+i.Record.Source.File+strings.Repeat("|", len(i.Record.Levels)))
		return nil
	}, func(err error) { failed = append(failed, err.Error()) })
	return got, failed, err
}

func TestEachReadsCaptionsRecordsAndFeeds(t *testing.T) {
	tree(t, map[string]string{"a.vtt": cue, "b.vtt": cue, "empty.vtt": "", "other.json": `{"files":[1]}`, "file.json": `{"file":"x","n":1}`})
	var line strings.Builder
	err := reader().Each([]File{{Name: "a.vtt"}, {Name: "b.vtt"}},
		func(i *Item) error { return i.Record.WriteLine(&line) }, func(err error) { t.Error(err) })
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("both.jsonl", []byte(line.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	r := reader()
	r.Stdin = strings.NewReader(line.String())
	got, failed, err := read(r, []File{{Name: "b.vtt"}, {Name: "both.jsonl"}, {Name: "missing"}, {Name: "empty.vtt"},
		{Name: "other.json", Maybe: true}, {Name: "file.json", Maybe: true}, {Name: "other.json"}, {Name: Stdin}})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"b.vtt b.vtt|", "both.jsonl a.vtt|", "both.jsonl b.vtt|", "- a.vtt|", "- b.vtt|"}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	wantFailed := []string{
		"open missing: no such file or directory", "empty.vtt: the file is empty",
		"passed over: other.json: JSON, but without segments that have times and words",
		"passed over: file.json: JSON, but without segments that have times and words",
		"other.json: JSON, but without segments that have times and words",
	}
	if d := cmp.Diff(wantFailed, failed); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
}

// An error of what is done ends the reading, and nothing is left waiting.
func TestEachEndsWithAnError(t *testing.T) {
	files := map[string]string{}
	var names []File
	for i := range 40 {
		name := string(rune('a'+i%26)) + string(rune('a'+i/26)) + ".vtt"
		files[name] = cue
		names = append(names, File{Name: name})
	}
	tree(t, files)
	full := errors.New("no space left")
	n := 0
	err := reader().Each(names, func(*Item) error {
		n++
		if n == 3 {
			return full
		}
		return nil
	}, func(err error) { t.Error(err) })
	if !errors.Is(err, full) || n != 3 {
		t.Errorf("%v after %d", err, n)
	}
}

func TestJoinedPartsAreOneRecord(t *testing.T) {
	tree(t, map[string]string{"1.vtt": cue, "2.vtt": strings.Replace(cue, "USB-A", "USB-C", 1)})
	r := reader()
	r.Review = "whole"
	var rec *schema.Record
	err := r.Each([]File{Joined([]File{{Name: "1.vtt"}, {Name: "2.vtt"}})}, func(i *Item) error {
		rec = i.Record
		return nil
	}, func(err error) { t.Error(err) })
	if err != nil {
		t.Fatal(err)
	}
	second := rec.Quantities[len(rec.Quantities)-1]
	if rec.Source.File != "1.vtt+2.vtt" || rec.Source.Review != "whole" || *second.At != 5000 ||
		second.Span.Start <= len(cue) {
		t.Errorf("%+v, %v %v", rec.Source, *second.At, second.Span)
	}
	if p := rec.Source.Parts; len(p) != 2 || p[1].From != len(cue) || p[1].Start != 4000 {
		t.Errorf("parts %+v", p)
	}
}

func TestAnswersFindTheirFiles(t *testing.T) {
	one := `{"span":[1,2],"nothing":true}`
	tree(t, map[string]string{
		"one.jsonl": one, "named.jsonl": `{"file":"v1/en.vtt","span":[1,2],"nothing":true}`, "end.jsonl": `{"file":"en.vtt","span":[1,2],"nothing":true}`,
		"else.jsonl": `{"file":"x.vtt","span":[1,2],"nothing":true}`, "v2/en.vtt.decisions.jsonl": one, "decided/tarn.vtt.decisions.jsonl": one + "\n" + one,
		"review.jsonl": `{"file":"v2-en","span":[1,2],"nothing":true}`,
		"both.jsonl": `{"file":"v1/en.vtt","span":[1,2],"nothing":true}` + "\n" + `{"file":"v2/en.vtt","span":[1,2],"nothing":true}` + "\n" +
			`{"file":"v2/en.vtt","span":[2,3],"nothing":true}`,
		"empty/x": "", "reworded.jsonl": `{"file":"other.vtt","span":[1,2],"words":"x"}`,
	})
	open := func(name string) (io.ReadCloser, error) { return os.Open(name) }
	for _, c := range []struct{ answers, files, want, err string }{
		{"one.jsonl", "v1/en.vtt", "v1/en.vtt 1", ""},
		{"one.jsonl", "v1/en.vtt v2/en.vtt", "", "one.jsonl:1: " + errWhichFile.Error() + "; they are v1/en.vtt, v2/en.vtt"},
		{"named.jsonl", "v1/en.vtt v2/en.vtt", "v1/en.vtt 1", ""},
		{"end.jsonl", "v1/en.vtt v2/en.vtt", "", `end.jsonl:1: "en.vtt" may be v1/en.vtt or v2/en.vtt: name the file as it is named to be read`},
		{"end.jsonl", "v1/en.vtt v2/de.vtt", "v1/en.vtt 1", ""},
		{"else.jsonl", "v1/en.vtt v2/en.vtt", "", `else.jsonl:1: the answer is on "x.vtt", which is not among the files read`},
		{"both.jsonl", "v1/en.vtt", "v1/en.vtt 1", ""},
		{"both.jsonl", "v2/en.vtt", "v2/en.vtt 2", ""},
		{"both.jsonl", "v1/en.vtt v2/en.vtt", "v2/en.vtt 2 v1/en.vtt 1", ""},
		{"both.jsonl", "v3/en.vtt v1/de.vtt", "", `both.jsonl:1: the answer is on "v1/en.vtt", which is not among the files read`},
		{"review.jsonl", "v1/en.vtt v2/en.vtt", "v2/en.vtt 1", ""},
		{"v2", "v1/en.vtt v2/en.vtt", "v2/en.vtt 1", ""},
		{".", "v1/en.vtt v2/en.vtt", "v2/en.vtt 1", ""},
		{"decided named.jsonl", "v1/en.vtt in/tarn.vtt", "in/tarn.vtt 2 v1/en.vtt 1", ""},
		{"reworded.jsonl", "in/tarn.vtt", "", "reworded.jsonl:1: the answer is for another file, other.vtt"},
		{"empty", "v1/en.vtt", "", "empty: no answers on the files read; they would be in NAME.decisions.jsonl"},
		{"missing", "v1/en.vtt", "", "open missing: no such file or directory"},
	} {
		var files []File
		for _, name := range strings.Fields(c.files) {
			files = append(files, File{Name: name})
		}
		a, err := ReadAnswers(open, strings.Fields(c.answers), files)
		var got []string
		for _, f := range files {
			if n := len(a.For(f)); n > 0 {
				got = append([]string{f.Name + " " + string(rune('0'+n))}, got...)
			}
		}
		if s := strings.Join(got, " "); s != c.want || c.err == "" && err != nil ||
			c.err != "" && (err == nil || err.Error() != c.err) {
			t.Errorf("%s on %s: %q, %v", c.answers, c.files, s, err)
		}
		// As lines, they are the same.
		split, _, err := SplitAnswers(open, strings.Fields(c.answers), files)
		got = nil
		for _, d := range split {
			n := strings.Count(strings.TrimSpace(string(d.Lines)), "\n") + 1
			got = append(got, d.File.Name+" "+string(rune('0'+n)))
		}
		if s := strings.Join(got, " "); len(s) != len(c.want) || c.err == "" && err != nil ||
			c.err != "" && (err == nil || err.Error() != c.err) {
			t.Errorf("%s on %s, as lines: %q, %v", c.answers, c.files, s, err)
		}
	}
	if _, err := ReadAnswers(open, []string{"missing"}, nil); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
}

// The decisions of all answer files on a file are joined before it is known what
// stands: the last of a place does, and what is taken back goes, whichever file it
// stood in and whatever it calls the file. A line that takes back a decision on one
// file takes back nothing on another.
func TestDecisionsAreJoined(t *testing.T) {
	open := func(name string) (io.ReadCloser, error) { return os.Open(name) }
	for _, c := range []struct{ what, one, two, want string }{
		{"the last wording of a place", `{"span":[1,9],"words":"a"}`, `{"file":"in/a.srt","span":[1,9],"words":"b"}`,
			"a.srt: [1,9]b"},
		{"wordings that overlap", `{"span":[1,9],"words":"a"}`, `{"span":[5,12],"words":"b"}`, "a.srt: [5,12]b"},
		{"in one file", `{"span":[1,9],"words":"a"}` + "\n" + `{"span":[5,12],"words":"b"}`, "", "a.srt: [5,12]b"},
		{"and the later taken back", `{"span":[1,9],"words":"a"}` + "\n" + `{"span":[5,12],"words":"b"}`,
			`{"span":[5,12],"reopened":true,"note":"wording"}`, "a.srt: [1,9]a"},
		{"wordings side by side", `{"span":[5,12],"words":"b"}`, `{"span":[1,5],"words":"a"}`,
			"a.srt: [5,12]b [1,5]a"},
		{"a wording taken back", `{"span":[1,9],"words":"a"}`,
			`{"file":"a.srt","span":[1,9],"reopened":true,"note":"wording"}`, "a.srt:"},
		{"an answer taken back", `{"span":[1,9],"nothing":true}`, `{"span":[1,9],"reopened":true}`, "a.srt:"},
		{"but not the wording", `{"span":[1,9],"nothing":true}` + "\n" + `{"span":[1,9],"words":"a"}`,
			`{"span":[1,9],"reopened":true}`, "a.srt: [1,9]a"},
		{"and answered again", `{"span":[1,9],"nothing":true}`,
			`{"span":[1,9],"reopened":true}` + "\n" + `{"span":[1,9],"nothing":true}`, "a.srt: [1,9]"},
		{"on two files", `{"file":"a.srt","span":[1,9],"nothing":true}`, `{"file":"b.srt","span":[1,9],"reopened":true}`,
			"a.srt: [1,9] b.srt:"},
	} {
		tree(t, map[string]string{"one.jsonl": c.one, "two.jsonl": c.two})
		var files []File
		for field := range strings.FieldsSeq(c.want) {
			if name, ok := strings.CutSuffix(field, ":"); ok {
				files = append(files, File{Name: name})
			}
		}
		a, err := ReadAnswers(open, []string{"one.jsonl", "two.jsonl"}, files)
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		var got []string
		for _, f := range files {
			got = append(got, f.Name+":")
			for _, an := range a.For(f) {
				got = append(got, fmt.Sprintf("[%d,%d]", an.Span.Start, an.Span.End))
			}
			for _, w := range a.wordings(f) {
				got = append(got, fmt.Sprintf("[%d,%d]%s", w.Span.Start, w.Span.End, w.Words))
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %q, want %q", c.what, s, c.want)
		}
	}
}

// A decision that names another file is refused, whether its answer file is named
// or found in a folder.
func TestDecisionsOfAnotherFile(t *testing.T) {
	open := func(name string) (io.ReadCloser, error) { return os.Open(name) }
	for _, line := range []string{`"words":"b"`, `"reopened":true`, `"reopened":true,"note":"wording"`} {
		tree(t, map[string]string{
			"ans/b.srt.decisions.jsonl": `{"span":[1,2],"nothing":true}` + "\n" + `{"file":"other.srt","span":[1,9],` + line + `}`,
		})
		for _, name := range []string{"ans", "ans/b.srt.decisions.jsonl"} {
			_, err := ReadAnswers(open, []string{name}, []File{{Name: "b.srt"}})
			want := "ans/b.srt.decisions.jsonl:2: the answer is for another file, other.srt"
			if !errors.Is(err, normalize.ErrOtherFile) || filepath.ToSlash(err.Error()) != want {
				t.Errorf("%s in %s: %v, want %q", line, name, err, want)
			}
		}
	}
}
