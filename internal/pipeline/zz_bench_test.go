package pipeline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/extract/transcript"
)

func BenchmarkRun(b *testing.B) {
	names, _ := filepath.Glob("../demo/narrations/*.*")
	for _, n := range names {
		if strings.HasSuffix(n, ".json") {
			continue
		}
		src, err := os.ReadFile(n)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(filepath.Base(n), func(b *testing.B) {
			b.SetBytes(int64(len(src)))
			b.ReportAllocs()
			said := 0
			for b.Loop() {
				t, err := transcript.Parse(n, src)
				if err != nil {
					b.Fatal(err)
				}
				rec, err := Run(t, Options{})
				if err != nil {
					b.Fatal(err)
				}
				said = len(rec.Quantities)
			}
			b.ReportMetric(float64(said), "quantities")
		})
	}
}
