package edit

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"saywatt/extract/transcript"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// TestEveryFormIsCorrected: what becomes of corrections in each form is tested. The forms
// that have their own tests (plan_test.go and the like) are listed.
func TestEveryFormIsCorrected(t *testing.T) {
	for f := transcript.FormatVTT; !strings.HasPrefix(f.String(), "Format("); f++ {
		switch f {
		case transcript.FormatVTT, transcript.FormatSRT, transcript.FormatTTML, transcript.FormatStamped,
			transcript.FormatNotes, transcript.FormatDOCX:
		default:
			if rewritten[f] == nil {
				t.Errorf("form %s: no writer in rewritten (internal/edit/forms_test.go)", f)
			}
		}
	}
}

// rewritten writes cues in a form, words and lines as they are.
var rewritten = map[transcript.Format]func(cues []transcript.Cue, words []string) string{
	transcript.FormatSBV: func(cues []transcript.Cue, words []string) string {
		var b strings.Builder
		for i, c := range cues {
			fmt.Fprintf(&b, "%s,%s\n%s\n\n", clock(c.Start), clock(c.End), words[i])
		}
		return b.String()
	},
	transcript.FormatASS: func(cues []transcript.Cue, words []string) string {
		b := strings.Builder{}
		b.WriteString("[Script Info]\r\n\r\n[Events]\r\nFormat: Start, End, Text\r\n")
		for i, c := range cues {
			fmt.Fprintf(&b, "Dialogue: %s,%s,{\\an8}%s\r\n", clock(c.Start), clock(c.End), strings.ReplaceAll(words[i], "\n", `\N`))
		}
		return b.String()
	},
	transcript.FormatJSON: func(cues []transcript.Cue, words []string) string {
		type segment struct {
			Start    float64 `json:"start"`
			Duration float64 `json:"duration"`
			Text     string  `json:"text"`
		}
		var all []segment
		for i, c := range cues {
			all = append(all, segment{c.Start.Seconds(), (c.End - c.Start).Seconds(), words[i]})
		}
		b, _ := json.MarshalIndent(map[string]any{"language": "en", "segments": all}, "", " ")
		return string(b)
	},
	transcript.FormatTable: func(cues []transcript.Cue, words []string) string {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.Write([]string{"Start", "Text", "End"})
		for i, c := range cues {
			w.Write([]string{clock(c.Start), words[i], clock(c.End)})
		}
		w.Flush()
		return b.String()
	},
	transcript.FormatSpeaker: func(cues []transcript.Cue, words []string) string {
		var b strings.Builder
		for i, c := range cues {
			fmt.Fprintf(&b, "Speaker %d  %s\n%s\n\n", i%2+1, clock(c.Start), words[i])
		}
		return b.String()
	},
}

func clock(d time.Duration) string {
	return fmt.Sprintf("%d:%02d:%02d.%03d", int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60,
		d.Milliseconds()%1000)
}

// A narration says the same in every form: the same quantities, at the same
// moments, and the same words once it is corrected.
func TestFormsSayTheSame(t *testing.T) {
	type said struct {
		Heard, Quantity, Status, Place string
		At                             schema.Seconds
	}
	read := func(name string, source []byte) ([]said, string, *transcript.Transcript) {
		t.Helper()
		tr, err := pipeline.Read(name, source, 0)
		if err != nil {
			t.Fatal(err)
		}
		rec, err := pipeline.Run(tr, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var all []said
		for i := range rec.Quantities {
			q := &rec.Quantities[i]
			all = append(all, said{q.Heard, q.Quantity.String(), q.Status.String(), q.Place, *q.At})
		}
		changes, _, err := ForRecord(rec, tr, Style{})
		if err != nil {
			t.Fatal(err)
		}
		corrected, err := Apply(tr.Source, changes)
		if err != nil {
			t.Fatal(err)
		}
		after, err := Reread(tr, corrected)
		if err != nil {
			t.Fatal(err)
		}
		restored, err := reverse(corrected, changes)
		if err != nil || !bytes.Equal(restored, tr.Source) {
			t.Fatalf("%s: not the same bytes when taken back: %v", name, err)
		}
		return all, string(after.Text), tr
	}
	for _, file := range []string{"demo.vtt", "atrium-station.vtt"} {
		source, err := os.ReadFile("../demo/narrations/" + file)
		if err != nil {
			t.Fatal(err)
		}
		want, wantText, tr := read(file, source)
		if len(want) < 50 || wantText == string(tr.Text) {
			t.Fatalf("%s: %d quantities", file, len(want))
		}
		var words []string
		for _, c := range tr.Cues {
			words = append(words, string(tr.Text[c.Text.Start:c.Text.End]))
		}
		for format, write := range rewritten {
			got, gotText, other := read(file, []byte(write(tr.Cues, words)))
			if other.Format != format || len(other.Problems) > 0 {
				t.Errorf("%s: %v, %v", file, other.Format, other.Problems)
			}
			if d := cmp.Diff(want, got); d != "" {
				t.Errorf("%s as %s (-want +got):\n%s", file, format, d)
			}
			// A blank paragraph parts two speakers; the words are what counts.
			if strings.Join(strings.Fields(gotText), " ") != strings.Join(strings.Fields(wantText), " ") {
				t.Errorf("%s as %s: corrected to other words", file, format)
			}
		}
	}
}
