package extract

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/extract/transcript"
)

// The texts of the benchmarks: our own narrations, which have a quantity every
// 20 bytes, and captions of a real recogniser, which have one every 60.
const (
	denseText      = "../internal/demo/narrations/*.*"
	recogniserText = "../testdata/captions/recognised/clean/*.*"
)

// benchText is the words of the files, repeated to about factor megabytes.
func benchText(b *testing.B, pattern string, factor int) []byte {
	b.Helper()
	names, err := filepath.Glob(pattern)
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
		b.Fatal("no text in " + pattern)
	}
	out := make([]byte, 0, factor<<20)
	for len(out) < factor<<20 {
		out = append(out, text...)
	}
	return out
}

func BenchmarkScan(b *testing.B) {
	text := benchText(b, recogniserText, 1)
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
		name, text string
		factor     int
	}{{"recogniser/1x", recogniserText, 1}, {"recogniser/10x", recogniserText, 10},
		{"recogniser/100x", recogniserText, 100}, {"dense/1x", denseText, 1}} {
		b.Run(c.name, func(b *testing.B) {
			text := benchText(b, c.text, c.factor)
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
