package edit

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// shared are our own files and, where they are, the shared captions.
func shared(t testing.TB) []file {
	all := narrations(t)
	all = append(all, files(t, 12, "../../testdata/independent")...)
	if dir := os.Getenv("SAYWATT_BENCHMARKS"); dir != "" {
		all = append(all, files(t, 50, filepath.Join(dir, "..", "captions"))...)
	}
	return all
}

// A number is one that a text shows, with its place.
type number struct {
	at   schema.Span
	ends []string // one, or both of a range
}

// numbersOf reads the numbers of a text by the plain rules, without guessing.
func numbersOf(t *transcript.Transcript) []number {
	d := extract.Find(t)
	var all []number
	for i := range d.Mentions {
		m := &d.Mentions[i]
		at := schema.Span{Start: int(d.Tokens[m.First].Start), End: int(d.Tokens[m.Last-1].End)}
		all = append(all, number{at, endsOf(m.Low.Decimal(), m.High.Decimal(), m.Range)})
	}
	return all
}

// endsOf writes a number, or both ends of a range, which its unit may make of
// two numbers ("65 kilohertz up to 130 kilohertz"). The sign is left out: a
// minus before a number, which may be a word of the sentence ("plus 131, minus
// 107"), stays where it is.
func endsOf(low, high schema.Decimal, isRange bool) []string {
	ends := []string{strings.TrimPrefix(low.Trim().String(), "-")}
	if isRange {
		ends = append(ends, strings.TrimPrefix(high.Trim().String(), "-"))
	}
	return ends
}

// expected are the numbers of a corrected text: those of the record where it
// was changed, and those untouched.
func expected(t *transcript.Transcript, r *schema.Record, changes []Change) []string {
	var all []string
	numbers := numbersOf(t)
	for i := range changes {
		at := textSpan(t, changes[i].Span)
		for len(numbers) > 0 && numbers[0].at.End <= at.Start {
			all, numbers = append(all, numbers[0].ends...), numbers[1:]
		}
		for len(numbers) > 0 && numbers[0].at.Overlaps(at) {
			numbers = numbers[1:]
		}
		of := r.Quantities[changes[i].Said-1].Span
		for k := range r.Quantities {
			if q := &r.Quantities[k].Quantity; r.Quantities[k].Span == of {
				all = append(all, endsOf(q.Low, q.High, q.Range)...)
			}
		}
	}
	for _, n := range numbers {
		all = append(all, n.ends...)
	}
	return all
}

// checkNumbers makes the corrections of quantities, and compares the numbers. A text
// that a recogniser wrote by ear is one no more once it is corrected: the words left in
// it that were heard again are then what they show, and are not compared.
func checkNumbers(name string, tr *transcript.Transcript, r *schema.Record, s Style) (made int, err error) {
	if extract.Survey(tr).ByEar {
		return 0, nil
	}
	changes, _, err := ForRecord(r, tr, s)
	if err != nil {
		return 0, err
	}
	changes = slices.DeleteFunc(changes, func(c Change) bool { return c.Said == 0 })
	out, err := Apply(tr.Source, changes)
	if err != nil {
		return 0, err
	}
	after, err := Reread(tr, out)
	if err != nil {
		return 0, err
	}
	var got []string
	for _, n := range numbersOf(after) {
		got = append(got, n.ends...)
	}
	want := expected(tr, r, changes)
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			from := max(0, i-4)
			return 0, fmt.Errorf("%s, %+v: number %d: …%v, want …%v", name, s, i,
				got[from:min(len(got), i+4)], want[from:min(len(want), i+4)])
		}
	}
	return len(changes), nil
}

// The numbers of a corrected text are those of the record, and those that no
// correction touched: none is lost and none comes in.
func TestNumbersStay(t *testing.T) {
	made := 0
	for _, f := range shared(t) {
		r := record(t, f.t)
		for _, s := range []Style{{}, symbols, names, {Thousands: ThousandsSpace}} {
			n, err := checkNumbers(f.name, f.t, r, s)
			if err != nil {
				t.Error(err)
			}
			made += n
		}
	}
	if made < 700 {
		t.Errorf("%d changes in all: too few to prove anything", made)
	}
}

// The same where cues of different files stand side by side.
func TestNumbersStayInMixtures(t *testing.T) {
	var cues []string
	for _, f := range shared(t) {
		for _, c := range f.t.Cues {
			if text := strings.TrimSpace(string(f.t.Text[c.Text.Start:c.Text.End])); text != "" {
				cues = append(cues, strings.ReplaceAll(text, "\n\n", "\n"))
			}
		}
	}
	if len(cues) < 500 {
		t.Fatalf("%d cues", len(cues))
	}
	rapid.Check(t, func(rt *rapid.T) {
		var b strings.Builder
		b.WriteString("WEBVTT\n")
		at := 0
		for range rapid.IntRange(1, 6).Draw(rt, "stretches") {
			first, n := rapid.IntRange(0, len(cues)-1).Draw(rt, "first"), rapid.IntRange(1, 5).Draw(rt, "cues")
			for _, text := range cues[first:min(len(cues), first+n)] {
				end := at + 3
				fmt.Fprintf(&b, "\n00:%02d:%02d.000 --> 00:%02d:%02d.000\n", at/60, at%60, end/60, end%60)
				b.WriteString(escapes.Replace(text) + "\n")
				at = end
			}
		}
		tr, err := transcript.Parse("mixed.vtt", []byte(b.String()))
		if err != nil {
			rt.Fatal(err)
		}
		if _, err := checkNumbers("mixture", tr, record(t, tr), Style{}); err != nil {
			rt.Fatalf("%v\n%s", err, b.String())
		}
	})
}

// Whatever a record says of the words, no number is lost and none comes in: the
// quantities of a file take each other's readings.
func TestNumbersStayWithAnyReading(t *testing.T) {
	all := shared(t)
	rapid.Check(t, func(rt *rapid.T) {
		f := all[rapid.IntRange(0, len(all)-1).Draw(rt, "file")]
		r := record(t, f.t)
		if len(r.Quantities) == 0 {
			return
		}
		for range rapid.IntRange(1, 5).Draw(rt, "readings") {
			any := rapid.IntRange(0, len(r.Quantities)-1)
			i, j := any.Draw(rt, "to"), any.Draw(rt, "from")
			r.Quantities[i].Quantity = r.Quantities[j].Quantity
			r.Quantities[i].Status = schema.StatusRepaired
			if rapid.Bool().Draw(rt, "settled") {
				r.Quantities[i].Status = schema.StatusSettled
			}
			r.Quantities[i].Confidence = 0.999
		}
		if _, err := checkNumbers(f.name, f.t, r, Style{}); err != nil {
			rt.Fatal(err)
		}
	})
}
