package normalize

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/extract"
	"saywatt/extract/transcript"
)

// BenchmarkRank is the engine alone on each narration of the demo: without
// reading the file and without scanning.
func BenchmarkRank(b *testing.B) {
	names, err := filepath.Glob("../internal/demo/narrations/*.*")
	if err != nil || len(names) == 0 {
		b.Fatal("no narrations", err)
	}
	for _, name := range names {
		if strings.HasSuffix(name, ".json") {
			continue
		}
		source, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		tr, err := transcript.Parse(name, source)
		if err != nil {
			b.Fatal(err)
		}
		doc := extract.Find(tr)
		b.Run(filepath.Base(name), func(b *testing.B) { benchRank(b, doc) })
	}
}

// BenchmarkRankAdversary is the engine on a thousand mentions that are all
// doubtful and tied together.
func BenchmarkRankAdversary(b *testing.B) {
	for _, c := range adversaries {
		doc := read(b, c.text)
		b.Run(c.name, func(b *testing.B) { benchRank(b, doc) })
	}
}

func benchRank(b *testing.B, doc *extract.Document) {
	b.ReportAllocs()
	said := 0
	for b.Loop() {
		r := Ranker{}
		s, _ := r.Rank(doc)
		said = len(s)
	}
	if said > 0 {
		allocs := testing.AllocsPerRun(1, func() {
			r := Ranker{}
			r.Rank(doc)
		})
		b.ReportMetric(float64(said), "quantities")
		b.ReportMetric(allocs/float64(said), "allocs/quantity")
	}
}
