package transcript

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"saywatt/schema"
)

// parse reads src and checks what holds for every transcript.
func parse(t testing.TB, src string) *Transcript {
	t.Helper()
	tr, err := Parse("talk", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	checkInvariants(t, tr)
	return tr
}

// show prints cues as "line id start end: words", one a line.
func show(tr *Transcript) string {
	var b strings.Builder
	for _, c := range tr.Cues {
		fmt.Fprintf(&b, "%d", c.Line)
		if c.ID != "" {
			fmt.Fprintf(&b, " #%s", c.ID)
		}
		if tr.Timed {
			fmt.Fprintf(&b, " %g-%g", float64(c.Start.Milliseconds())/1000, float64(c.End.Milliseconds())/1000)
		}
		fmt.Fprintf(&b, ": %s\n", strings.ReplaceAll(string(tr.Text[c.Text.Start:c.Text.End]), "\n", " / "))
	}
	return b.String()
}

// complaints prints the problems as "line:col cause", one a line.
func complaints(tr *Transcript) string {
	var b strings.Builder
	for _, p := range tr.Problems {
		cause := p.Err
		if inner := errors.Unwrap(cause); inner != nil {
			cause = inner
		}
		fmt.Fprintf(&b, "%d:%d %v\n", p.Line, p.Col, cause)
	}
	return b.String()
}

// found returns the source behind the first place where words stand in Text.
func found(t testing.TB, tr *Transcript, words string) []string {
	t.Helper()
	at := strings.Index(string(tr.Text), words)
	if at < 0 {
		t.Fatalf("%q is not in %q", words, tr.Text)
	}
	var all []string
	for _, s := range tr.SourceSpans(schema.Span{Start: at, End: at + len(words)}) {
		all = append(all, string(tr.Source[s.Start:s.End]))
	}
	return all
}

// A parseTest gives a file and what it reads as.
type parseTest struct {
	name     string
	src      string
	format   Format
	cues     string // as show prints them
	problems string // as complaints prints them
	words    string // some words of the text
	source   string // and the source that spells them
}

func (test parseTest) run(t *testing.T) {
	tr := parse(t, test.src)
	if tr.Format != test.format {
		t.Fatalf("format %v, want %v", tr.Format, test.format)
	}
	if got := show(tr); got != test.cues {
		t.Errorf("cues\n%swant\n%s", got, test.cues)
	}
	if got := complaints(tr); got != test.problems {
		t.Errorf("problems\n%swant\n%s", got, test.problems)
	}
	if test.words == "" {
		return
	}
	if got := found(t, tr, test.words); len(got) != 1 || got[0] != test.source {
		t.Errorf("%q is spelt %q, want %q", test.words, got, test.source)
	}
}

func TestParse(t *testing.T) {
	for _, group := range []struct {
		name  string
		tests []parseTest
	}{
		{"vtt", vttTests}, {"srt", srtTests}, {"ttml", ttmlTests}, {"stamped", stampedTests}, {"notes", notesTests},
		{"sbv", sbvTests}, {"ass", assTests}, {"json", jsonTests}, {"table", tableTests}, {"speaker", speakerTests},
	} {
		for _, test := range group.tests {
			t.Run(group.name+"/"+test.name, test.run)
		}
	}
}

// encode16 writes UTF-16 with a byte order mark.
func encode16(order binary.ByteOrder, s string) []byte {
	var b []byte
	for _, u := range utf16.Encode([]rune("\ufeff" + s)) {
		b = append(b, 0, 0)
		order.PutUint16(b[len(b)-2:], u)
	}
	return b
}

// Every table row reads the same from UTF-16, with spans into its own bytes.
func TestUTF16(t *testing.T) {
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		for _, test := range slices.Concat(vttTests, srtTests, ttmlTests, stampedTests, notesTests, sbvTests, assTests,
			jsonTests, tableTests, speakerTests) {
			t.Run(fmt.Sprint(order, "/", test.name), func(t *testing.T) {
				src := strings.TrimPrefix(test.src, "\ufeff")
				tr, err := Parse("talk", encode16(order, src))
				if err != nil {
					t.Fatal(err)
				}
				checkInvariants(t, tr)
				if tr.Format != test.format || show(tr) != test.cues || complaints(tr) != test.problems {
					t.Errorf("%v\n%s%s", tr.Format, show(tr), complaints(tr))
				}
				if test.words == "" {
					return
				}
				got := found(t, tr, test.words)
				if want := string(encode16(order, test.source)[2:]); len(got) != 1 || got[0] != want {
					t.Errorf("spelt %q, want %q", got, want)
				}
			})
		}
	}
}

func TestUTF16Surrogates(t *testing.T) {
	long := strings.Repeat("é€𝄞x", 400) // widths 2-3-4-1 in UTF-8, past several marks
	src := encode16(binary.LittleEndian, "WEBVTT\n\n00:01.000 --> 00:02.000\n"+long+" volts")
	src = append(src, 0x00, 0xD8, 'x', 0) // a lone surrogate, then x
	src = append(src, 'y')                // half a character
	tr, err := Parse("talk", src)
	if err != nil {
		t.Fatal(err)
	}
	checkInvariants(t, tr)
	if want := long + " volts\ufffdx\ufffd"; string(tr.Text) != want {
		t.Fatalf("text ends %q", tr.Text[len(tr.Text)-20:])
	}
	if got := found(t, tr, "𝄞x volts\ufffdx"); got[0] != string(encode16(binary.LittleEndian, "𝄞x volts")[2:])+
		"\x00\xd8x\x00" {
		t.Errorf("spelt %q", got)
	}
	for at := 2; at < len(src); at++ {
		if back := tr.src.toRaw(tr.src.toText(at)); back > at || at-back > 3 {
			t.Fatalf("raw offset %d comes back as %d", at, back)
		}
	}
}

func TestParseErrors(t *testing.T) {
	tests := []struct {
		name, src string
		cause     error
		message   string
	}{
		{"empty", "", ErrEmpty, "talk: the file is empty"},
		{"mark only", "\ufeff", ErrEmpty, "talk: the file is empty"},
		{"white space", " \n\t\r\n", ErrEmpty, "talk: the file is empty"},
		{"UTF-16 mark only", "\xff\xfe", ErrEmpty, "talk: the file is empty"},
		{"Latin-1", "five volts\nabout 20 \xb5F", ErrEncoding,
			"talk:2:10: neither UTF-8 nor UTF-16 with a byte order mark: byte 0xB5 at offset 20; " + toUTF8},
		{"picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x02\x00\x00\x00\x01\x00\x08\x06", ErrForm,
			"talk: this form is not read: a picture (PNG); give the captions as text"},
		{"binary", "\x7fELF\x02\x01\x01\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x02", ErrNotText,
			"talk:1:1: not text: control characters all over"},
		{"UTF-16 without mark", strings.ReplaceAll("five volts at three amps", "", "\x00"), ErrNotText,
			"talk:1:1: not text: every other byte is NUL, as in UTF-16 without a byte order mark; save it as UTF-8"},
		{"other XML", "<?xml version=\"1.0\"?>\n<svg><text>5 volts</text></svg>", ErrNotTTML,
			`talk:2:1: XML, but not a timed text document: its root element is "svg"`},
		{"document type", "<?xml version=\"1.0\"?>\n<!DOCTYPE tt [<!ENTITY a \"b\">]>\n<tt/>", ErrDTD,
			"talk:2:1: a document type declaration is not read"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			tr, err := Parse("talk", []byte(test.src))
			var pe *ParseError
			if tr != nil || !errors.Is(err, test.cause) || !errors.As(err, &pe) || err.Error() != test.message {
				t.Errorf("got %v, %v; want %s", tr, err, test.message)
			}
		})
	}
}

func TestRead(t *testing.T) {
	tr, err := Read(strings.NewReader("five volts"), Options{MaxBytes: 10})
	if err != nil || tr.Name != "-" || string(tr.Text) != "five volts" {
		t.Errorf("at the limit: %v, %v", tr, err)
	}
	// printf 'five volts' | sha256sum
	if want := "bb80639d4665b12fb8564a39f3ac286695e2246c77bf183e4b5a176057893c9a"; tr.Hash != want {
		t.Errorf("hash %s, want %s", tr.Hash, want)
	}
	_, err = Read(strings.NewReader("eleven volts"), Options{Name: "a.txt", MaxBytes: 10})
	if !errors.Is(err, ErrTooBig) || err.Error() != "a.txt: too big: more than 10 bytes" {
		t.Errorf("over the limit: %v", err)
	}
	_, err = Read(failing{}, Options{Name: "a.txt"})
	if !errors.Is(err, errFailing) {
		t.Errorf("failing reader: %v", err)
	}
}

var errFailing = errors.New("cable pulled")

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errFailing }

func TestProblemsAreBounded(t *testing.T) {
	src := "WEBVTT\n" + strings.Repeat("\nx --> y\nwords\n", maxProblems+50)
	tr := parse(t, src)
	if n := len(tr.Problems); n != maxProblems+1 || !errors.Is(tr.Problems[n-1], ErrMore) {
		t.Errorf("%d problems", n)
	}
	if want := "talk: further problems are not listed: 50"; tr.Problems[maxProblems].Error() != want {
		t.Errorf("%v, want %s", tr.Problems[maxProblems], want)
	}
}

func TestPosition(t *testing.T) {
	tr := parse(t, "\ufefffive\r\nvolts\rtwo\namps")
	for _, test := range []struct{ at, line, col int }{
		{0, 1, 1}, {3, 1, 1}, {7, 1, 5}, {9, 2, 1}, {14, 2, 6}, {15, 3, 1}, {19, 4, 1}, {23, 4, 5}, {99, 4, 5},
	} {
		if line, col := tr.Position(test.at); line != test.line || col != test.col {
			t.Errorf("Position(%d) = %d, %d; want %d, %d", test.at, line, col, test.line, test.col)
		}
	}
}

// TestFormatsAreListed: the comment of the package and the record's field name every form.
func TestFormatsAreListed(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	record, err := os.ReadFile("../../schema/record.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	_, of, ok := strings.Cut(string(record), `"description": "vtt, srt, `)
	if !ok {
		t.Fatal("record.schema.json has no list of forms")
	}
	of, _, _ = strings.Cut("vtt srt "+of, `"`)
	listed := strings.FieldsFunc(of, func(r rune) bool { return r == ',' || r == ' ' })
	for i, name := range formatNames[FormatVTT:] {
		if !bytes.Contains(doc, []byte("\n//\t"+name+" ")) {
			t.Errorf("%d: the list of formats in doc.go lacks %s", i+1, name)
		}
		if !slices.Contains(listed, name) {
			t.Errorf("%d: the doc of Source.Format in schema/record.go lacks %s; "+
				"then go test ./schema -run TestSchemaFile -update", i+1, name)
		}
	}
}

func TestFormatString(t *testing.T) {
	want := []string{"unknown", "vtt", "srt", "ttml", "stamped", "notes", "sbv", "ass", "json", "table", "speaker",
		"docx", "Format(12)"}
	for i, name := range want {
		if got := Format(i).String(); got != name {
			t.Errorf("%d: %s, want %s; a new form has its name here and in the comment of String too", i, got, name)
		}
	}
}
