package archive

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// BenchmarkSeveral asks one archive and four that share its reviews the same:
//
//	go test ./internal/archive -run '^$' -bench Several -benchtime 1x -archive.size 100000 -timeout 1h
func BenchmarkSeveral(b *testing.B) {
	const shards = 4
	one := onlyIndexed(b, *archiveSize)
	all := &Several{}
	for i := range shards {
		all.all = append(all.all, shareIndexed(b, *archiveSize, i, shards))
	}
	for _, of := range []struct {
		name   string
		search func(Request) (*Results, error)
	}{{"one", one.Search}, {"four", all.Search}} {
		for _, facets := range []bool{false, true} {
			name := of.name
			if facets {
				name += "-facets"
			}
			b.Run(name, func(b *testing.B) { ask(b, of.search, facets) })
		}
	}
}

// ask asks queries of every kind, and gives the times of the middle one and of
// the slowest in a hundred.
func ask(b *testing.B, search func(Request) (*Results, error), facets bool) {
	var times []time.Duration
	for _, kind := range benchQueries {
		r := rand.New(rand.NewPCG(1, 2))
		for range 50 {
			q := Request{Query: kind.query(r), Limit: 10, Facets: facets}
			begun := time.Now()
			if _, err := search(q); err != nil {
				b.Fatal(err)
			}
			times = append(times, time.Since(begun))
		}
	}
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2].Microseconds())/1000, "p50-ms")
	b.ReportMetric(float64(times[len(times)*99/100].Microseconds())/1000, "p99-ms")
}
