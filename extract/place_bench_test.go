package extract

import (
	"bytes"
	"os"
	"saywatt/extract/place"
	"testing"
)

// reviewText is one of our own narrations as plain words, repeated n times.
func reviewText(tb testing.TB, n int) []byte {
	tb.Helper()
	b, err := os.ReadFile("../internal/demo/narrations/ferry-cable.txt")
	if err != nil {
		tb.Fatal(err)
	}
	c, err := os.ReadFile("../internal/demo/narrations/lantern-mag-bank.srt")
	if err != nil {
		tb.Fatal(err)
	}
	return bytes.Repeat(append(append(b, '\n', '\n'), c...), n)
}

// BenchmarkPlaces measures the pass that places mentions, without scanning
// and reading numbers, over 10×, 100× and 1000× the text.
func BenchmarkPlaces(b *testing.B) {
	x := Words()
	for _, n := range []int{1, 10, 100} {
		text := reviewText(b, n)
		p := parser{x: x, text: text, tokens: x.Scan(nil, text)}
		mentions := p.mentions(nil)
		transcript := plainTranscript(text)
		work := make([]Mention, len(mentions))
		b.Run(map[int]string{1: "x1", 10: "x10", 100: "x100"}[n], func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				copy(work, mentions)
				p.places(&Document{Lexicon: x, Tokens: p.tokens, Transcript: transcript, Mentions: work},
					place.Default())
			}
		})
	}
}
