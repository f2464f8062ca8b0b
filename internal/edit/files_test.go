package edit

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/pipeline"
	"saywatt/schema"
)

// A file is a caption file for tests.
type file struct {
	name string
	t    *transcript.Transcript
}

// narrations are the files of our own, all formats of them.
func narrations(t testing.TB) []file {
	return files(t, 30, "../demo/narrations", "../../testdata/captions")
}

// conformance are the public caption files, kept outside of the repository.
func conformance(t testing.TB) []file {
	dir := os.Getenv("SAYWATT_BENCHMARKS")
	if dir == "" {
		t.Skip("SAYWATT_BENCHMARKS is not set: the public caption files are not there")
	}
	return files(t, 300, filepath.Join(dir, "captions"))
}

func files(t testing.TB, least int, dirs ...string) []file {
	t.Helper()
	var all []file
	for _, dir := range dirs {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			switch filepath.Ext(path) {
			case ".vtt", ".srt", ".ttml", ".txt":
			default:
				return nil
			}
			source, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			// what cannot be read cannot be corrected
			if tr, err := transcript.Parse(filepath.Base(path), source); err == nil {
				all = append(all, file{path, tr})
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(all) < least {
		t.Fatalf("%d files, want at least %d", len(all), least)
	}
	return all
}

func record(t testing.TB, tr *transcript.Transcript) *schema.Record {
	t.Helper()
	r, err := pipeline.Run(tr, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// With nothing to correct, what goes out is what came in. Nothing is to be
// corrected where all is as heard and no term is held.
func TestNothingToCorrect(t *testing.T) {
	check := func(t *testing.T, f file) {
		r := &schema.Record{Version: schema.RecordVersion, Source: schema.Source{SHA256: f.t.Hash},
			Quantities: record(t, f.t).Quantities}
		for i := range r.Quantities {
			if s := &r.Quantities[i]; s.Status == schema.StatusRepaired || s.Status == schema.StatusSettled {
				s.Status = schema.StatusHeard
			}
		}
		changes, left, err := ForRecord(r, f.t, symbols)
		left = slices.DeleteFunc(left, func(l Left) bool { return l.Err == ErrOpen })
		if err != nil || len(changes)+len(left) > 0 {
			t.Fatalf("%s: %d changes, %d left, %v", f.name, len(changes), len(left), err)
		}
		out, err := Apply(f.t.Source, changes)
		if err != nil || !bytes.Equal(out, f.t.Source) {
			t.Errorf("%s: not the same bytes, %v", f.name, err)
		}
	}
	t.Run("narrations", func(t *testing.T) {
		for _, f := range narrations(t) {
			check(t, f)
		}
	})
	t.Run("conformance", func(t *testing.T) {
		for _, f := range conformance(t) {
			check(t, f)
		}
	})
}

// Corrections applied and taken back give the file; what is corrected reads as
// the same cues; in every style.
func TestApplyReverse(t *testing.T) {
	styles := []Style{{}, symbols, names, {Units: UnitsSymbols, Decimal: DecimalComma, Thousands: ThousandsSpace}}
	made := 0
	all := narrations(t)
	if os.Getenv("SAYWATT_BENCHMARKS") != "" {
		all = append(all, conformance(t)...)
	}
	for _, f := range all {
		r := record(t, f.t)
		for _, s := range styles {
			changes, left, err := ForRecord(r, f.t, s)
			if err != nil {
				t.Fatal(err)
			}
			if marks, _, err := Marks(left, f.t); err == nil {
				changes = append(changes, marks...)
			}
			made += len(changes)
			out, err := Apply(f.t.Source, changes)
			if err != nil {
				t.Fatalf("%s: %v", f.name, err)
			}
			if _, err := Reread(f.t, out); err != nil {
				t.Errorf("%s, %+v: %v", f.name, s, err)
			}
			back, err := reverse(out, changes)
			if err != nil || !bytes.Equal(back, f.t.Source) {
				t.Errorf("%s: does not come back, %v", f.name, err)
			}
		}
	}
	if made < 1000 {
		t.Errorf("%d changes in all: too few to prove anything", made)
	}
}

// Any word replaced by any other in any file: the file reads with that word in
// its place and nothing else changed, wherever it is shown, and comes back.
func TestAnyWord(t *testing.T) {
	all := narrations(t)
	if os.Getenv("SAYWATT_BENCHMARKS") != "" {
		all = append(all, conformance(t)...)
	}
	type place struct {
		f    file
		word word
	}
	var places []place
	for _, f := range all {
		words := wordsOf(f.t.Text, 0)
		for i, w := range words {
			if i%(1+len(words)/40) == 0 && strings.Trim(w.text, "abcdefghijklmnopqrstuvwxyz") == "" && !w.glued {
				places = append(places, place{f, w})
			}
		}
	}
	if len(places) < 500 {
		t.Fatalf("%d places", len(places))
	}
	rapid.Check(t, func(rt *rapid.T) {
		p := places[rapid.IntRange(0, len(places)-1).Draw(rt, "place")]
		text := rapid.StringMatching(`[a-z]{1,12}( [a-z&<>µΩ°é€😀]{1,9}){0,2}`).Draw(rt, "words")
		if p.f.t.Format != transcript.FormatVTT && p.f.t.Format != transcript.FormatTTML {
			// marks of players, never in corrections
			text = strings.NewReplacer("&", "", "<", "", ">", "").Replace(text)
		}
		text = strings.Join(strings.Fields(text), " ")
		c := collector{t: p.f.t}
		c.add([]word{p.word}, parse(text), Change{}, "")
		out, err := Apply(p.f.t.Source, c.changes)
		if err != nil {
			rt.Fatal(err)
		}
		again, err := Reread(p.f.t, out)
		if err != nil {
			rt.Fatalf("%s: %q to %q: %v", p.f.name, p.word.text, text, err)
		}
		want := string(p.f.t.Text[:p.word.span.Start]) + text + string(p.f.t.Text[p.word.span.End:])
		if string(again.Text) != want {
			rt.Fatalf("%s: %q to %q reads\n%q, want\n%q", p.f.name, p.word.text, text, again.Text, want)
		}
		if back, err := reverse(out, c.changes); err != nil || !bytes.Equal(back, p.f.t.Source) {
			rt.Fatalf("%s: does not come back, %v", p.f.name, err)
		}
	})
}

// A corrected file, read and corrected again, stays as it is. One thing only
// may change: words that were open before, or not sure enough to be corrected, which the engine, with the words
// around them now right, has become sure of. How many those are is printed.
func TestCorrectedAgain(t *testing.T) {
	all := narrations(t)
	if os.Getenv("SAYWATT_BENCHMARKS") != "" {
		all = append(all, conformance(t)...)
	}
	for _, style := range []Style{{}, symbols, names,
		{Units: UnitsSymbols, Decimal: DecimalComma, Thousands: ThousandsSpace}} {
		surer := 0
		for _, f := range all {
			r := record(t, f.t)
			changes, left, err := ForRecord(r, f.t, style)
			if err != nil {
				t.Fatal(err)
			}
			out, err := Apply(f.t.Source, changes)
			if err != nil {
				t.Fatal(err)
			}
			corrected, err := Reread(f.t, out)
			if err != nil {
				t.Fatal(err)
			}
			open := map[string]bool{}
			for i := range r.Quantities {
				if r.Quantities[i].Status == schema.StatusOpen {
					open[join(scan(r.Quantities[i].Heard))] = true
				}
			}
			for i := range left {
				if errors.Is(left[i].Err, errUnsure) {
					open[left[i].Before] = true
				}
			}
			again, _, err := ForRecord(record(t, corrected), corrected, style)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range again {
				if open[c.Before] {
					surer++
					t.Logf("%s, %+v: sure the second time that %q is %q", filepath.Base(f.name), style, c.Before,
						c.After)
					continue
				}
				t.Errorf("%s, %+v: corrected again at byte %d: %q to %q", f.name, style, c.Span.Start, c.Before,
					c.After)
			}
		}
		if surer > 10 { // the doubt sees how much of a file is open, and less of this one is
			t.Errorf("%+v: %d words were open the first time and not the second", style, surer)
		}
	}
}

// Places found for quantities are those that extract found.
func TestTextSpan(t *testing.T) {
	for _, f := range narrations(t) {
		for _, w := range wordsOf(f.t.Text, 0) {
			if got := textSpan(f.t, f.t.SourceSpans(w.span)[0]); got != w.span {
				t.Fatalf("%s: %q is at %v, found at %v", f.name, w.text, w.span, got)
			}
		}
	}
}

// Every row of the table of terms is a garble that the program knows, of the
// same term.
func TestTermsAreKnown(t *testing.T) {
	known := map[string]string{}
	for _, table := range []struct{ name, kind, column string }{
		{"ports", "port", "port"}, {"protocolwords", "protocol", "protocol"},
		{"kinds", "part", "kind"}, {"packagewords", "package", "family"},
	} {
		for _, r := range schema.MustReadTable(os.DirFS("../../extract/tables"), table.name+".tsv").Rows {
			if r.Get("manner") == "heard" {
				known[table.kind+" "+r.Get("form")] = r.Get(table.column)
			}
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/terms.tsv").Rows {
		if got := known[r.Get("kind")+" "+r.Get("form")]; got != r.Get("term") {
			t.Errorf("line %d: %q is heard for %q, the table says %q", r.Line, r.Get("form"), got, r.Get("term"))
		}
		if r.Get("source") == "" || r.Get("said") == "" {
			t.Errorf("line %d: a cell is empty", r.Line)
		}
	}
	if len(loadTerms()) < 20 {
		t.Error("too few terms")
	}
}

func TestLimits(t *testing.T) {
	if l := loadLimits(); l.line != 42 || l.second != 20 {
		t.Errorf("limits %+v", l)
	}
}

func BenchmarkForRecord(b *testing.B) {
	source, err := os.ReadFile("../demo/narrations/atrium-station.vtt")
	if err != nil {
		b.Fatal(err)
	}
	t, err := transcript.Parse("atrium-station.vtt", source)
	if err != nil {
		b.Fatal(err)
	}
	r := record(b, t)
	extract.Words()
	b.SetBytes(int64(len(source)))
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := ForRecord(r, t, Style{}); err != nil {
			b.Fatal(err)
		}
	}
}
