package edit

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"saywatt/extract/transcript"
	"saywatt/schema"
)

// openRecord has the words left open.
func openRecord(t *testing.T, tr *transcript.Transcript, words string) *schema.Record {
	t.Helper()
	i := strings.Index(strings.ReplaceAll(string(tr.Text), "\n", " "), words)
	if i < 0 {
		t.Fatalf("the file does not say %q", words)
	}
	return &schema.Record{Source: schema.Source{SHA256: tr.Hash}, Quantities: []schema.Said{{
		Number: 1, Span: tr.SourceSpans(schema.Span{Start: i, End: i + len(words)})[0], Heard: words,
		Status:   schema.StatusOpen,
		Quantity: schema.MustQuantity("0.08 W"), Confidence: 0.48,
		Readings: []schema.Reading{
			{Quantity: schema.MustQuantity("0.08 W"), Confidence: 0.48}, {Quantity: schema.MustQuantity("0.8 W"), Confidence: 0.31},
			{Quantity: schema.MustQuantity("8 W"), Confidence: 0.004},
		},
	}}}
}

// openPlaces are the places left of openRecord.
func openPlaces(t *testing.T, tr *transcript.Transcript, words string) []Left {
	t.Helper()
	changes, left, err := ForRecord(openRecord(t, tr, words), tr, Style{})
	if err != nil || len(changes) > 0 || len(left) != 1 {
		t.Fatal(changes, left, err)
	}
	return left
}

func TestMarks(t *testing.T) {
	const note = `Needs your ear: "8 watts" may be 0.08 W (48 %), 0.8 W (31 %)`
	for _, c := range []struct{ name, in, want string }{
		{"WebVTT", "WEBVTT\n\n00:01.000 --> 00:02.000\nso\n\ntwo\n00:02.000 --> 00:03.000\nit draws 8 watts\n",
			"WEBVTT\n\n00:01.000 --> 00:02.000\nso\n\nNOTE " + note + "\n\ntwo\n00:02.000 --> 00:03.000\nit draws 8 watts\n"},
		{"WebVTT, CRLF", "WEBVTT\r\n\r\n00:02.000 --> 00:03.000\r\nit draws 8\r\nwatts\r\n",
			"WEBVTT\r\n\r\nNOTE " + note + "\r\n\r\n00:02.000 --> 00:03.000\r\nit draws 8\r\nwatts\r\n"},
		{"TTML", `<tt xmlns="http://www.w3.org/ns/ttml"><body><div><p begin="1s" end="2s">it draws 8 watts</p></div></body></tt>`,
			`<tt xmlns="http://www.w3.org/ns/ttml"><body><div><!-- ` + note + ` --><p begin="1s" end="2s">it draws 8 watts</p></div></body></tt>`},
	} {
		tr, err := transcript.Parse("a", []byte(c.in))
		if err != nil {
			t.Fatal(err)
		}
		changes, left, err := Marks(openPlaces(t, tr, "8 watts"), tr)
		if err != nil || len(left) > 0 {
			t.Fatal(c.name, err, left)
		}
		out, err := Apply(tr.Source, changes)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(c.want, string(out)); d != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, d)
		}
		again, err := Reread(tr, out)
		if err != nil {
			t.Fatal(c.name, err)
		}
		if string(again.Text) != string(tr.Text) {
			t.Errorf("%s: a note became words: %q", c.name, again.Text)
		}
		if more, _, err := Marks(openPlaces(t, again, "8 watts"), again); err != nil || len(more) > 0 {
			t.Errorf("%s: marked again, %v", c.name, err)
		}
		if back, err := reverse(out, changes); err != nil || string(back) != c.in {
			t.Errorf("%s: does not come back, %v", c.name, err)
		}
	}
}

func TestMarksWithoutPlace(t *testing.T) {
	for _, in := range []string{"1\n00:00:01,000 --> 00:00:02,000\nit draws 8 watts\n",
		"[0:01] a\n[0:02] it draws 8 watts\n[0:03] b\n", "it draws 8 watts"} {
		tr, err := transcript.Parse("a", []byte(in))
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := Marks(openPlaces(t, tr, "8 watts"), tr); !errors.Is(err, ErrNoNotes) {
			t.Errorf("%s: %v", tr.Format, err)
		}
	}
	// No blank line before the cue: a NOTE would be part of the one before.
	tr, err := transcript.Parse("a",
		[]byte("WEBVTT\n\n00:01.000 --> 00:02.000\nso\n00:02.000 --> 00:03.000\nit draws 8 watts\n"))
	if err != nil {
		t.Fatal(err)
	}
	changes, left, err := Marks(openPlaces(t, tr, "8 watts"), tr)
	if err != nil || len(changes) > 0 || len(left) != 1 || left[0].Before != "8 watts" {
		t.Errorf("%v, %v, %v", changes, left, err)
	}
}

func TestWarn(t *testing.T) {
	const times = "00:00:01.000 --> 00:00:03.000\n"
	long := strings.Repeat("x", 40)
	for _, c := range []struct {
		name, before, after string
		want                string
	}{
		{"short", "325 amps", "3.25 amps", ""},
		{"grows past a line", "a 325 amps and " + strings.Repeat("x", 27), "a 3.25 amps and " + strings.Repeat("x", 27), "a line of 43 characters, 42 are usual; 43 characters in 2.0 s, 20 a second are usual"},
		{"was past a line", long + " 325", long + " 325", ""},
		{"grows on from past a line", long + " 325", long + " 3.25", "a line of 45 characters, 42 are usual; 45 characters in 2.0 s, 20 a second are usual"},
		{"shrinks and is past still", long + " 5 million per hours", long + " 5 mAh", ""},
		{"grows past the time, in characters and not bytes", strings.Repeat("é", 18) + " ohm\n" + strings.Repeat("é", 17), strings.Repeat("é", 18) + " ohms\n" + strings.Repeat("é", 17),
			"41 characters in 2.0 s, 20 a second are usual"},
	} {
		b, err := transcript.Parse("a", []byte("1\n"+times+c.before+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		a, err := transcript.Parse("a", []byte("1\n"+times+c.after+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, w := range Warn(b, a) {
			got = append(got, w.What)
			if w.At == nil || w.At.Duration() != time.Second {
				t.Errorf("%s: at %v", c.name, w.At)
			}
		}
		if s := strings.Join(got, "; "); s != c.want {
			t.Errorf("%s: %q, want %q", c.name, s, c.want)
		}
	}
}
