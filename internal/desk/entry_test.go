package desk

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saywatt/extract"
	"saywatt/normalize"
	"saywatt/schema"
)

// what stands, without who, when and in which act.
func bare(entries []entry) map[spot]entry {
	m := map[spot]entry{}
	for s, e := range standing(entries) {
		m[s] = entry{Span: e.Span, Quantity: e.Quantity, Nothing: e.Nothing, Unclear: e.Unclear, Words: e.Words}
	}
	return m
}

// Taking back the last act leaves what stood before it, whatever the acts were,
// and taking that back leaves what the act made.
func TestUndoProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var log []entry
		acts := rapid.IntRange(1, 8).Draw(t, "acts")
		for act := 1; act <= acts; act++ {
			if act > 1 && rapid.Bool().Draw(t, "undo") {
				of := rapid.IntRange(1, act-1).Draw(t, "of")
				for _, e := range notSince(undo(log, of), log, of) {
					e.Act = act
					log = append(log, e)
				}
				continue
			}
			for range rapid.IntRange(1, 3).Draw(t, "places") {
				start := rapid.IntRange(0, 4).Draw(t, "start")
				e := entry{Span: schema.Span{Start: start, End: start + 1}, Act: act, How: howTyped}
				switch rapid.IntRange(0, 5).Draw(t, "what") {
				case 0:
					q := schema.One(schema.NewDecimal(int64(rapid.IntRange(1, 9).Draw(t, "value")), 0), "V")
					e.Quantity = &q
				case 1:
					e.Nothing = true
				case 2:
					e.Unclear = true
				case 3:
					e.Words = rapid.SampledFrom([]string{"one", "two"}).Draw(t, "words")
				case 4:
					e.Span = schema.Span{}
					e.Names = rapid.SampledFrom([]string{"maker", schema.NameOfKind}).Draw(t, "names")
					e.Heard = rapid.SampledFrom([]string{"bex", "Bex", "tar nell"}).Draw(t, "heard")
					e.Meant = rapid.SampledFrom([]string{"Bexholm", "Tarnel"}).Draw(t, "meant")
				case 5:
					e.Span, e.Names, e.Heard, e.Nothing = schema.Span{}, "maker", "bex", true
				}
				log = append(log, e)
			}
		}
		last := lastAct(log)
		if last == 0 {
			return
		}
		first := len(log)
		for first > 0 && log[first-1].Act == last {
			first--
		}
		before, after := bare(log[:first]), bare(log)
		back := undo(log, last)
		for i := range back {
			back[i].Act = last + 1
		}
		taken := append(log[:len(log):len(log)], back...)
		exact := cmp.Comparer(func(a, b schema.Quantity) bool { return a.Same(b) })
		unexported := cmp.AllowUnexported(spot{})
		if d := cmp.Diff(before, bare(taken), exact, unexported); d != "" {
			t.Fatalf("taking back left something else: %s", d)
		}
		again := undo(taken, last+1)
		for i := range again {
			again[i].Act = last + 2
		}
		if d := cmp.Diff(after, bare(append(taken, again...)), exact, unexported); d != "" {
			t.Fatalf("taking that back left something else: %s", d)
		}
	})
}

// What is written out is read by the engine's reader of answers.
func TestWriteLog(t *testing.T) {
	kind := schema.KindVoltage
	q := schema.MustQuantity("12 V")
	entries := []entry{
		{Span: schema.Span{Start: 1, End: 4}, Heard: "1 <2>", Kind: &kind, Quantity: &q, When: someday, Who: "Ines Varga", Act: 1, How: howReading},
		{Span: schema.Span{Start: 5, End: 9}, Nothing: true, When: someday, Act: 2, How: howNothing},
		{Span: schema.Span{Start: 5, End: 9}, Reopened: true, When: someday, Act: 3, How: howUndo},
		{Span: schema.Span{Start: 10, End: 12}, Unclear: true, When: someday, Act: 4, How: howUnclear},
		{Span: schema.Span{Start: 14, End: 18}, Words: "Bexhome", When: someday, Act: 5, How: howReplaced},
		{Names: "maker", Heard: "Bex home", Meant: "Bexhome", When: someday, Act: 6, How: howTyped},
		{Names: schema.NameOfKind, Heard: "charger", Meant: "cable", When: someday, Act: 7, How: howOffered},
		{Names: "maker", Heard: "bex Home", Meant: "Bexholm", When: someday, Act: 8, How: howTyped},
		{Names: schema.NameOfKind, Heard: "charger", Reopened: true, When: someday, Act: 9, How: howUndo},
		{Names: "part", Heard: "T 1", Nothing: true, When: someday, Act: 10, How: howNoName},
	}
	var b bytes.Buffer
	if err := writeLog(&b, entries); err != nil {
		t.Fatal(err)
	}
	decisions, err := normalize.ReadDecisions(&b, "decisions.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	got, words := normalize.Standing(decisions)
	if len(words) != 1 || words[0].Words != "Bexhome" {
		t.Errorf("wordings read as %+v", words)
	}
	if err := writeLog(&b, append(entries, undo(entries, 5)...)); err != nil {
		t.Fatal(err)
	}
	if decisions, err = normalize.ReadDecisions(&b, "decisions.jsonl"); err != nil {
		t.Fatal(err)
	}
	if _, words := normalize.Standing(decisions); len(words) > 0 {
		t.Errorf("taken back, and read as %+v", words)
	}
	if len(got) != 3 || got[0].Quantity.String() != "12 V" || got[0].Heard != "1 <2>" {
		t.Fatalf("read as %+v", got)
	}
	if d := cmp.Diff([]extract.Naming{{Of: "maker", Heard: "bex Home", Meant: "Bexholm"}, {Of: "part", Heard: "T 1"}},
		normalize.Names(got)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(normalize.Names(got), normalize.Names(answers(entries))); d != "" {
		t.Errorf("the desk and the reader of answers differ: %s", d)
	}
}

func FuzzParseAddress(f *testing.F) {
	for _, s := range []string{"715-723", "715-723-current", "", "-", "1-", "-1-2", "9-3", "1-2-colour",
		"99999999999999999999-1", "1-2-current-3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		span, kind, ok := parseAddress(s)
		if ok && (span.Start < 0 || span.End < span.Start) {
			t.Errorf("%q is read as %v, %v", s, span, kind)
		}
		if !ok && kind != schema.KindUnknown {
			t.Errorf("%q is no address, yet of %v", s, kind)
		}
	})
}

func FuzzOccurrences(f *testing.F) {
	f.Add("five volts five\nvolts", "five volts")
	f.Add("aaa", "a")
	f.Add("é", "\xc3")
	f.Fuzz(func(t *testing.T, text, find string) {
		at := 0
		for _, s := range occurrences([]byte(text), find) {
			if s.Start < at || s.End <= s.Start || s.End > len(text) {
				t.Fatalf("%q in %q: %v", find, text, s)
			}
			if foldWords(text[s.Start:s.End]) != foldWords(find) && isASCII(text+find) {
				t.Fatalf("%q is not %q", text[s.Start:s.End], find)
			}
			at = s.End
		}
	})
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}
