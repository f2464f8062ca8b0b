package pipeline

import (
	"bytes"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/extract/transcript"
	"saywatt/normalize"
	"saywatt/schema"
)

// A Reader reads as Run does, whatever was answered before and in whatever
// order: values, that nothing was said, and places; also at once.
func TestReader(t *testing.T) {
	for _, name := range []string{"../demo/narrations/demo.vtt", "../demo/narrations/atrium-station.vtt",
		"../demo/narrations/lantern-mag-bank.srt"} {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		tr, err := transcript.Parse(filepath.Base(name), text)
		if err != nil {
			t.Fatal(err)
		}
		plain, err := Run(tr, Options{})
		if err != nil {
			t.Fatal(err)
		}
		r := NewReader(tr, nil)
		var wait sync.WaitGroup
		for i, answers := range answersTo(plain) {
			wait.Go(func() {
				o := Options{Answers: answers}
				want, err := Run(tr, o)
				if err != nil {
					t.Errorf("%s, answers %d: %v", name, i, err)
					return
				}
				got, err := r.Run(o)
				if err != nil {
					t.Errorf("%s, answers %d: %v", name, i, err)
					return
				}
				var a, b bytes.Buffer
				if want.Write(&a) != nil || got.Write(&b) != nil {
					t.Errorf("%s, answers %d cannot be written", name, i)
				}
				if d := cmp.Diff(a.String(), b.String()); d != "" {
					t.Errorf("%s, answers %d:\n%s", name, i, d)
				}
			})
		}
		wait.Wait()
		r.Forget()
		if got, err := r.Run(Options{}); err != nil || len(got.Quantities) != len(plain.Quantities) {
			t.Errorf("%s: after forgetting %v", name, err)
		}
	}
}

// answersTo makes sets of answers to a record.
func answersTo(rec *schema.Record) [][]normalize.Answer {
	sets := [][]normalize.Answer{nil}
	for i := 0; i < len(rec.Quantities); i += 29 {
		s := &rec.Quantities[i]
		q := s.Readings[len(s.Readings)-1].Quantity
		value := normalize.Answer{Span: s.Span, Quantity: &q}
		place := normalize.Answer{Span: s.Span, Place: &schema.BelongsTo{To: "none"}}
		sets = append(sets, []normalize.Answer{value}, []normalize.Answer{{Span: s.Span}}, []normalize.Answer{place},
			nil)
	}
	return sets
}
