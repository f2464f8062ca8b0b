package archive

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/simple"
	"github.com/blevesearch/bleve/v2/mapping"

	"saywatt/internal/archive/index"
	"saywatt/internal/archive/query"
	"saywatt/internal/archive/store"
	"saywatt/internal/archive/terms"
	"saywatt/schema"
)

// archiveSize is how many reviews the benchmarks use. The usual figures
// are of 1000, 10000 and 100000:
//
//	go test ./internal/archive -run '^$' -bench 'Build|Search|Add' -benchtime 1x -archive.size 100000 -timeout 2h
var archiveSize = flag.Int("archive.size", 1000, "reviews that benchmarks use")

// onlyIndexed makes an archive whose index holds n generated reviews and whose
// records are there for the first few: queries need no more, and writing the
// others would measure the disk.
func onlyIndexed(b *testing.B, n int) *Archive { return shareIndexed(b, n, 0, 1) }

// shareIndexed is onlyIndexed with every step-th of the n reviews, from one on.
func shareIndexed(b *testing.B, n, from, step int) *Archive {
	a := empty(b)
	w := begin(b, a)
	for i := range 50 {
		r := generated(i)
		if _, err := w.Add(r.Source.File, r, "Ada", day, false); err != nil {
			b.Fatal(err)
		}
	}
	finish(b, w)
	size, err := a.journal.Size()
	if err != nil {
		b.Fatal(err)
	}
	next, err := store.NextGeneration(a.dir)
	if err != nil {
		b.Fatal(err)
	}
	m := &store.Manifest{Version: store.IndexVersion, Generation: next, Log: size}
	if err := os.MkdirAll(m.Dir(a.dir), 0o755); err != nil {
		b.Fatal(err)
	}
	bw := index.Builder{Path: m.Dir(a.dir), Prefix: store.IndexDir(a.dir)}
	known := map[string]*Review{}
	all, _, err := a.Reviews()
	if err != nil {
		b.Fatal(err)
	}
	for _, rv := range all {
		known[rv.Name] = rv
	}
	for i := from; i < n; i += step {
		r := generated(i)
		rv := reviewOf(r, i)
		if k := known[rv.Name]; k != nil {
			k.about(r)
			rv = k
		} else {
			rv.Record = all[i%len(all)].Record // a record of another, to have one to read
		}
		if err := bw.Add(newDocument(rv, r)); err != nil {
			b.Fatal(err)
		}
	}
	if err := bw.Close(); err != nil {
		b.Fatal(err)
	}
	if err := m.Seal(a.dir, nil, &a.checked); err != nil {
		b.Fatal(err)
	}
	if err := m.Publish(a.dir); err != nil {
		b.Fatal(err)
	}
	return a
}

func reviewOf(r *schema.Record, i int) *Review {
	rv := &Review{Name: Name(r.Source.File), Version: 1, Record: r.Source.SHA256, Added: day.AddDate(0, 0, -i%2000),
		source: r.Source.SHA256}
	rv.about(r)
	return rv
}

func folderSize(b *testing.B, dir string) (bytes int64) {
	err := filepath.WalkDir(dir, func(_ string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err == nil {
			bytes += info.Size()
		}
		return err
	})
	if err != nil {
		b.Fatal(err)
	}
	return bytes
}

// BenchmarkBuild builds an index of the same records in one run: as saywatt
// does, from records in memory to a finished generation; with bleve alone in
// its usual way, an offline builder under a static mapping with the same
// content in text, keyword and number fields; and with bleve's builder fed
// with our own documents that were made before the clock runs, which is what
// of our time is bleve's.
func BenchmarkBuild(b *testing.B) {
	n := *archiveSize
	records := make([]*schema.Record, min(n, 2000))
	for i := range records {
		records[i] = generated(i)
	}
	review := func(i int) (*Review, *schema.Record) {
		r := records[i%len(records)]
		rv := reviewOf(r, i)
		rv.Name = fmt.Sprintf("%s-%d", rv.Name, i)
		return rv, r
	}
	run := func(name string, build func(b *testing.B, dir string)) {
		b.Run(name, func(b *testing.B) {
			for range b.N {
				dir := b.TempDir()
				build(b, dir)
				b.ReportMetric(float64(folderSize(b, dir))/float64(n), "disk-B/rec")
			}
			b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "docs/s")
		})
	}
	ours := func(b *testing.B, dir string, made func(i int) *index.Document) {
		w := index.Builder{Path: filepath.Join(dir, "1"), Prefix: dir}
		if err := os.Mkdir(w.Path, 0o755); err != nil {
			b.Fatal(err)
		}
		err := ordered(n, made, func(_ int, d *index.Document) error { return w.Add(d) })
		if err := errors.Join(err, w.Close()); err != nil {
			b.Fatal(err)
		}
	}
	run("saywatt", func(b *testing.B, dir string) {
		ours(b, dir, func(i int) *index.Document { return newDocument(review(i)) })
	})
	run("bleve", func(b *testing.B, dir string) {
		w, err := bleve.NewBuilder(filepath.Join(dir, "1"), plainMapping(),
			map[string]any{"buildPathPrefix": dir, "batchSize": index.BuildBatch})
		if err != nil {
			b.Fatal(err)
		}
		for i := range n {
			rv, r := review(i)
			if err := w.Index(rv.Name, plainDocument(rv, r)); err != nil {
				b.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
	})
	made := make([]*index.Document, len(records))
	for i := range made {
		made[i] = newDocument(review(i))
	}
	run("documents-made-before", func(b *testing.B, dir string) {
		ours(b, dir, func(i int) *index.Document {
			d := made[i%len(made)]
			return &index.Document{Name: fmt.Sprintf("%s-%d", d.Name, i), Fields: slices.Clone(d.Fields),
				Bytes: d.Bytes}
		})
	})
}

// plainMapping is the static mapping of a program that uses bleve as it comes:
// one text field, keywords for names and facets, a number field for each kind
// of quantity and for each property.
func plainMapping() *mapping.IndexMappingImpl {
	m := bleve.NewIndexMapping()
	m.DefaultAnalyzer = simple.Name
	d := bleve.NewDocumentStaticMapping()
	text := bleve.NewTextFieldMapping()
	text.Store, text.IncludeInAll, text.IncludeTermVectors, text.DocValues = false, false, true, false
	d.AddFieldMappingsAt("text", text)
	for f := range query.Known().Fields {
		k := bleve.NewKeywordFieldMapping()
		k.Store, k.IncludeInAll, k.IncludeTermVectors = false, false, false
		d.AddFieldMappingsAt(f, k)
	}
	for _, p := range query.Known().Properties {
		x := bleve.NewNumericFieldMapping()
		x.Store, x.IncludeInAll, x.DocValues = false, false, false
		d.AddFieldMappingsAt("n "+p.Path, x)
	}
	m.DefaultMapping = d
	return m
}

// plainDocument is a record as such a mapping takes it.
func plainDocument(rv *Review, r *schema.Record) map[string]any {
	doc := map[string]any{}
	var text []string
	names := map[string][]string{}
	numbers := map[string][]float64{}
	s := newSubject(rv, r)
	for i := range s.Facts {
		f := &s.Facts[i]
		text = append(text, f.Texts()...)
		for _, name := range f.Fields {
			names[name] = append(names[name], f.Text)
		}
		if f.Quantity != nil {
			numbers["n "+f.Base.Kind] = append(numbers["n "+f.Base.Kind], f.Quantity.LowSI())
			if f.Quantity.Range {
				numbers["n "+f.Base.Kind] = append(numbers["n "+f.Base.Kind], f.Quantity.SI())
			}
			if f.Property != f.Base.Kind && f.Property != "" {
				numbers["n "+f.Property] = append(numbers["n "+f.Property], f.Quantity.LowSI())
			}
		}
	}
	for _, c := range terms.Columns(s) {
		names[c.Name] = append(names[c.Name], c.Value)
	}
	doc["text"] = text
	for k, v := range names {
		doc[k] = v
	}
	for k, v := range numbers {
		doc[k] = v
	}
	return doc
}

// benchQueries are five kinds of query, each with a value drawn anew.
var benchQueries = []struct {
	kind  string
	query func(r *rand.Rand) string
}{
	{"words", func(r *rand.Rand) string {
		return makerHeads[r.IntN(len(makerHeads))] + makerTails[r.IntN(len(makerTails))] + " glued"
	}},
	{"phrase", func(r *rand.Rand) string { return fmt.Sprintf(`"ripple %d"`, 10+r.IntN(300)) }},
	{"range", func(r *rand.Rand) string { return fmt.Sprintf("power >= %d W", 10+r.IntN(120)) }},
	{"fields", func(r *rand.Rand) string {
		return fmt.Sprintf("cell:%s energy > %d Wh protocol:%s", formats[r.IntN(3)], 5+r.IntN(90), protocols[r.IntN(3)])
	}},
	{"items", func(r *rand.Rand) string {
		return fmt.Sprintf(`level:"20 V %.2f A" fuse 2.5A capacitance %d..400 uF`, []float64{1, 1.5, 2.25, 3}[r.IntN(4)], 30+r.IntN(70))
	}},
}

// BenchmarkSearch measures p50 and p99 over queries of each kind, the first
// page with its matches read from the records; and counting by facets.
func BenchmarkSearch(b *testing.B) {
	a := onlyIndexed(b, *archiveSize)
	b.Run("opening", func(b *testing.B) { // what one run of the command pays once
		for range b.N {
			fresh, err := Open(a.dir)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := fresh.Search(Request{Query: "power >= 65 W", Facets: true, Limit: 1}); err != nil {
				b.Fatal(err)
			}
			b.StopTimer()
			var m runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&m)
			b.ReportMetric(float64(m.HeapAlloc)/(1<<20), "heap-MB")
			b.ReportMetric(float64(folderSize(b, store.IndexDir(a.dir)))/float64(*archiveSize), "disk-B/rec")
			fresh.Close()
			b.StartTimer()
		}
	})
	run := func(name string, q func(r *rand.Rand) Request) {
		b.Run(name, func(b *testing.B) {
			r := rand.New(rand.NewPCG(1, 2))
			n := max(b.N, 200)
			times := make([]time.Duration, n)
			total := 0
			for i := range times {
				request := q(r)
				start := time.Now()
				res, err := a.Search(request)
				if err != nil {
					b.Fatal(err)
				}
				times[i] = time.Since(start)
				total += res.Total
			}
			slices.Sort(times)
			b.ReportMetric(float64(times[n/2].Microseconds())/1000, "p50-ms")
			b.ReportMetric(float64(times[n*99/100].Microseconds())/1000, "p99-ms")
			b.ReportMetric(float64(total)/float64(n), "found")
		})
	}
	for _, kind := range benchQueries {
		run(kind.kind, func(r *rand.Rand) Request { return Request{Query: kind.query(r), Limit: 1} })
	}
	run("range-facets-by-power", func(r *rand.Rand) Request {
		return Request{Query: benchQueries[2].query(r), Sort: "power", Facets: true, Limit: 1}
	})
	run("range-page-of-20", func(r *rand.Rand) Request { return Request{Query: benchQueries[2].query(r)} })
}

// BenchmarkAdd puts one review into an archive that has many, from Begin to a
// synced log and an index that finds it.
func BenchmarkAdd(b *testing.B) {
	a := onlyIndexed(b, *archiveSize)
	n := max(b.N, 40)
	times := make([]time.Duration, n)
	for i := range times {
		r := generated(1_000_000 + i)
		start := time.Now()
		w := begin(b, a)
		if _, err := w.Add(r.Source.File, r, "Ada", day, false); err != nil {
			b.Fatal(err)
		}
		finish(b, w)
		times[i] = time.Since(start)
	}
	slices.Sort(times)
	b.ReportMetric(float64(times[n/2].Microseconds())/1000, "p50-ms")
	b.ReportMetric(float64(times[n*99/100].Microseconds())/1000, "p99-ms")
	segments, _ := filepath.Glob(filepath.Join(store.IndexDir(a.dir), "*", "*.zap"))
	b.ReportMetric(float64(len(segments)), "segments")
}

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := (query.Parser{}).Parse(`protocol:UFCS level:"20 V 2.25 A" power >= 65 W or not (charger glim*)`); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFacts(b *testing.B) {
	r := generated(1)
	rv := reviewOf(r, 1)
	var text strings.Builder
	if err := r.Write(&text); err != nil {
		b.Fatal(err)
	}
	b.Logf("a record of %d quantities and %d bytes", len(r.Quantities), text.Len())
	for b.Loop() {
		newDocument(rv, r)
	}
}
