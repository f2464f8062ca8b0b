package glossary

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/extract"
)

// TestUse walks what the book makes of parts as heard.
func TestUse(t *testing.T) {
	b := testBook(t)
	ratings := func(s string) extract.Subject {
		q, err := ParseRatings(s)
		if err != nil {
			t.Fatal(err)
		}
		return extract.Subject{Known: q}
	}
	for _, c := range []struct {
		name       string
		heard, now extract.Subject
	}{
		{"letters confused, maker in two words", extract.Subject{Maker: "toll vane", Part: "DV10052", Doubtful: true},
			extract.Subject{Maker: "Tolvane", Part: "TV10052", Package: "DFN5x6", Renamed: true,
				Known: ratings("100 V; 5.2 mOhm").Known}},
		{"no maker given", extract.Subject{Part: "KX3605"}, extract.Subject{Part: "KX3605", Maker: "Kestrix", Package: "QFN32", Renamed: true}},
		{"package given stands", extract.Subject{Maker: "Kestrix", Part: "KX3605", Package: "QFN40"}, extract.Subject{Maker: "Kestrix", Part: "KX3605", Package: "QFN40"}},
		{"nothing like it in the book", extract.Subject{Maker: "quill pont", Part: "ZZ1"}, extract.Subject{Maker: "quill pont", Part: "ZZ1"}},
		{"another digit is another part", extract.Subject{Maker: "Kestrix", Part: "KX3606", Doubtful: true}, extract.Subject{Maker: "Kestrix", Part: "KX3606", Doubtful: true}},
		{"maker an edit away alone is left", extract.Subject{Maker: "tarot win", Doubtful: true}, extract.Subject{Maker: "tarot win", Doubtful: true}},
		{"maker contradicts the book", extract.Subject{Maker: "Pralix", Part: "KX3605", Package: "QFN32"},
			extract.Subject{Maker: "Pralix", Part: "KX3605", Package: "QFN32", Doubtful: true}},
		{"nothing known", extract.Subject{Kind: "fuse"}, extract.Subject{Kind: "fuse"}},
	} {
		d := &extract.Document{Subjects: []extract.Subject{c.heard}}
		b.Use(d)
		if diff := cmp.Diff(c.now, d.Subjects[0]); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
	(*Book)(nil).Use(&extract.Document{Subjects: []extract.Subject{{Maker: "toll vane"}}})
}
