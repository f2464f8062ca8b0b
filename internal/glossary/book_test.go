package glossary

import (
	"fmt"
	"os"
	"testing"

	"saywatt/schema"
)

func testBook(t testing.TB) *Book {
	t.Helper()
	f, err := os.Open("testdata/makers.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := Read(f, "testdata/makers.csv")
	if err != nil {
		t.Fatal(err)
	}
	return New(all)
}

// TestFind walks testdata/find.tsv: names as captions show them and what they
// mean, with near misses that mean nothing, each with its reason.
func TestFind(t *testing.T) {
	b := testBook(t)
	how := map[string]how{"exact": howExact, "sound": howSound, "near": howNear, "not": howNot}
	table, err := schema.ReadTable(os.DirFS("testdata"), "find.tsv")
	if err != nil {
		t.Fatal(err)
	}
	not := 0
	for _, r := range table.Rows {
		k, err := parseKind(r.Get("kind"))
		if err != nil {
			t.Fatalf("find.tsv:%d: %v", r.Line, err)
		}
		want, ok := how[r.Get("how")]
		if !ok || r.Get("reason") == "" {
			t.Fatalf("find.tsv:%d: how %q, reason %q", r.Line, r.Get("how"), r.Get("reason"))
		}
		name, got := "-", howNot
		if m := b.Find(k, r.Get("heard")); len(m) > 0 {
			name, got = m[0].Entry.Name, m[0].How
		}
		if want == howNot {
			not++
		}
		if got != want || name != r.Get("name") {
			t.Errorf("find.tsv:%d: %q is %s (%v), want %s (%s): %s", r.Line, r.Get("heard"), name, got, r.Get("name"),
				r.Get("how"), r.Get("reason"))
		}
	}
	if not < 10 {
		t.Errorf("only %d near misses", not)
	}
}

// TestFindItself: every name, alias and spoken form finds its entry exactly.
func TestFindItself(t *testing.T) {
	b := testBook(t)
	for _, e := range b.Entries() {
		for _, s := range append(append([]string{e.Name}, e.Aliases...), e.Spoken...) {
			if m := b.Find(e.Kind, s); len(m) != 1 || m[0].Entry.Name != e.Name || m[0].How != howExact {
				t.Errorf("%s %q: %v", e.Kind, s, m)
			}
		}
	}
}

func TestNilBook(t *testing.T) {
	var b *Book
	if b.Find(KindMaker, "Tolvane") != nil || b.Suggest(KindMaker, "Tolvane") != nil || b.Entries() != nil ||
		b.Doubts() != nil {
		t.Error("a nil book knows something")
	}
}

func TestDoubts(t *testing.T) {
	b := New([]Entry{
		{Kind: KindMaker, Name: "Kestrix", File: "g.csv", Line: 2},
		{Kind: KindMaker, Name: "Kestricks", File: "g.csv", Line: 3},
		{Kind: KindPart, Name: "TV1005", Maker: "Tolvane", File: "g.csv", Line: 4},
		{Kind: KindMaker, Name: "Corvessa", Spoken: []string{"kestrix"}, File: "g.csv", Line: 5},
	})
	want := []string{
		"3 maker Kestricks sounds like Kestrix (g.csv:2): captions do not distinguish them",
		"4 maker Tolvane of TV1005 has no entry",
		`5 "kestrix", given for Corvessa, is taken for Kestrix (g.csv:2)`,
	}
	got := b.Doubts()
	if len(got) != len(want) {
		t.Fatalf("%d doubts, want %d: %v", len(got), len(want), got)
	}
	for i, d := range got {
		if s := fmt.Sprint(d.Entry.Line, " ", d.Message); s != want[i] {
			t.Errorf("%s\nwant %s", s, want[i])
		}
	}
}

func TestSuggest(t *testing.T) {
	b := testBook(t)
	if got := b.Suggest(KindMaker, "Tolvnae"); len(got) == 0 || got[0] != "Tolvane" {
		t.Errorf("%v", got)
	}
}

// large is a book of n invented parts.
func large(n int) []Entry {
	all := make([]Entry, n)
	for i := range all {
		all[i] = Entry{Kind: KindPart, Name: fmt.Sprintf("%c%c%05d%c", 'A'+i%26, 'A'+i/26%26, i, 'A'+i%7),
			Maker: "Tolvane"}
		if i%4 == 0 {
			all[i] = Entry{Kind: KindMaker,
				Name: fmt.Sprintf("%s%s%s%s", syllables[i%16], syllables[i/16%16], syllables[i/256%16],
					syllables[i/4096%16])}
		}
	}
	return all
}

var syllables = [16]string{"bar", "cel", "dov", "fen", "gar", "hol", "kes", "lum", "mor", "nad", "pra", "ros", "sen",
	"tol", "vex", "wen"}

func BenchmarkNew100k(b *testing.B) {
	all := large(100_000)
	b.ReportAllocs()
	for b.Loop() {
		New(all)
	}
}

func BenchmarkFind100k(b *testing.B) {
	book := New(large(100_000))
	for _, c := range []struct {
		name string
		kind Kind
		word string
	}{
		{"part-exact", KindPart, "BA 00001 B"}, {"part-near", KindPart, "VK 651 40 D"}, {"part-unknown", KindPart, "ZZ 999999 Z"},
		{"maker-sound", KindMaker, "fenn barr barr bar"}, {"maker-unknown", KindMaker, "quillipont"},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				book.Find(c.kind, c.word)
			}
		})
	}
}
