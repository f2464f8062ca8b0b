package extract

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/extract/transcript"
)

// benchText is the words of our own narrations, repeated to about a megabyte.
func benchText(b *testing.B, factor int) []byte {
	b.Helper()
	names, err := filepath.Glob("../internal/demo/narrations/*.*")
	if err != nil {
		b.Fatal(err)
	}
	var text []byte
	for _, n := range names {
		if strings.HasSuffix(n, ".json") {
			continue
		}
		f, err := os.ReadFile(n)
		if err != nil {
			b.Fatal(err)
		}
		t, err := transcript.Parse(n, f)
		if err != nil {
			b.Fatal(err)
		}
		text = append(append(text, t.Text...), '\n')
	}
	if len(text) == 0 {
		b.Skip("no narrations")
	}
	out := make([]byte, 0, factor<<20)
	for len(out) < factor<<20 {
		out = append(out, text...)
	}
	return out
}

func BenchmarkScan(b *testing.B) {
	text := benchText(b, 1)
	x := Words()
	var tokens []Token
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		tokens = x.Scan(tokens[:0], text)
	}
}

// BenchmarkMentions is the scan with numbers, spoken ones too, and units.
func BenchmarkMentions(b *testing.B) {
	for _, c := range []struct {
		name   string
		factor int
	}{{"1x", 1}, {"10x", 10}, {"100x", 100}} {
		b.Run(c.name, func(b *testing.B) {
			text := benchText(b, c.factor)
			p := parser{x: Words(), text: text}
			var mentions []Mention
			p.tokens = p.x.Scan(p.tokens[:0], text)
			mentions = p.mentions(mentions[:0])
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				p.tokens = p.x.Scan(p.tokens[:0], text)
				mentions = p.mentions(mentions[:0])
			}
			b.ReportMetric(float64(len(mentions)), "mentions")
		})
	}
}
