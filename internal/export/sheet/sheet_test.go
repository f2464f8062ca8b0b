package sheet

import (
	"bytes"
	"io"

	"saywatt/internal/export/testdata/full"
	"saywatt/internal/export/word"

	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

// A sheet has the title given to the review, and then says what it is of; a title
// without an end is cut.
func TestTitleOf(t *testing.T) {
	for _, c := range []struct{ given, product, title, about string }{
		{"", "Fellwright Tarn", "Fellwright Tarn", ""},
		{"First look", "Fellwright Tarn", "First look", "Fellwright Tarn"},
		{"First look", "", "First look", ""},
		{"", "", "Product without a name", ""},
		{"\x1b", " ", "\\x1b", " "},
		{"", strings.Repeat("tarn", 5000), strings.Repeat("tarn", 49) + "tar…", ""},
	} {
		r := &schema.Record{Source: schema.Source{Title: c.given}, Product: schema.Product{Name: c.product}}
		if got := TitleOf(r); got != c.title {
			t.Errorf("%q of %.20q: %q, want %q", c.given, c.product, got, c.title)
		}
		if got := About(r); got != c.about {
			t.Errorf("%q of %.20q: about %q, want %q", c.given, c.product, got, c.about)
		}
	}
}

// Whatever captions hold, no line is wider than the page, nothing steers the
// terminal, and an ASCII page is ASCII.
func TestSheetHoldsAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hostile := rapid.StringOf(rapid.OneOf(rapid.Rune(),
			rapid.RuneFrom([]rune("\x1b\x9b\u202e\r\n\t 世界e\u0301🔋A "))))
		r := &schema.Record{
			Product: schema.Product{Name: hostile.Draw(t, "name"), Kind: hostile.Draw(t, "kind"),
				Marks: []string{hostile.Draw(t, "mark")}},
			Quantities: []schema.Said{{
				Number: 1, Heard: hostile.Draw(t, "heard"), Context: hostile.Draw(t, "context"),
				Role:     hostile.Draw(t, "role"),
				Quantity: schema.MustQuantity("5 V"), Status: schema.StatusOpen, Why: []string{hostile.Draw(t, "why")},
			}},
			Levels: []schema.Level{{Mode: hostile.Draw(t, "mode"), Port: hostile.Draw(t, "port"),
				Protocol: hostile.Draw(t, "protocol")}},
			Components: []schema.Component{{Board: hostile.Draw(t, "board"), Kind: hostile.Draw(t, "part"),
				Part: hostile.Draw(t, "number")}},
			Findings: []schema.Finding{{Message: hostile.Draw(t, "message"), Rule: hostile.Draw(t, "rule")}},
		}
		s := Options{Width: rapid.IntRange(0, 120).Draw(t, "width"), ASCII: rapid.Bool().Draw(t, "ascii"),
			Explain: true}
		width := max(s.Width, 40)
		if s.Width == 0 {
			width = 80
		}
		var b strings.Builder
		if err := s.Write(&b, r); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if n := word.Columns(line); n > width {
				t.Fatalf("%d columns, page of %d: %q", n, width, line)
			}
			if p := word.Printable(line); p != line {
				t.Fatalf("not printable: %q", line)
			}
			if s.ASCII && word.ASCII(line) != line {
				t.Fatalf("not ASCII: %q", line)
			}
		}
	})
}

func BenchmarkSheet(b *testing.B) {
	r, _ := full.Record(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := (Options{}).Write(io.Discard, r); err != nil {
			b.Fatal(err)
		}
	}
}

func TestGoldens(t *testing.T) {
	r, _ := full.Record(t)
	bare := &schema.Record{Source: schema.Source{File: "-"},
		Product: schema.Product{Name: strings.Repeat("long name ", 12)}}
	for _, c := range []struct {
		file  string
		sheet Options
		of    *schema.Record
	}{
		{"full.sheet.txt", Options{}, r},
		{"full.sheet.ascii.txt", Options{ASCII: true}, r},
		{"full.sheet.narrow.txt", Options{Width: 44}, r},
		{"full.sheet.color.txt", Options{Color: true}, r},
		{"full.sheet.explain.txt", Options{Explain: true}, r},
		{"notes.sheet.txt", Options{}, bare},
	} {
		t.Run(c.file, func(t *testing.T) {
			var b bytes.Buffer
			if err := c.sheet.Write(&b, c.of); err != nil {
				t.Fatal(err)
			}
			full.Golden(t, c.file, b.Bytes())
		})
	}
}
