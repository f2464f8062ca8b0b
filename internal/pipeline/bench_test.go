package pipeline

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"saywatt/extract/transcript"
	"saywatt/internal/export"
	"saywatt/normalize"
	"saywatt/schema"
)

// BenchmarkRunNarration is the whole way, captions to record with findings, for every
// narration of the demo.
func BenchmarkRunNarration(b *testing.B) {
	for _, name := range narrations(b) {
		source, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(filepath.Base(name), func(b *testing.B) { benchRun(b, source) })
	}
}

// BenchmarkRunLength reads one narration once, ten and a hundred times over in
// one file: the time per byte should hardly grow.
func BenchmarkRunLength(b *testing.B) {
	source, err := os.ReadFile("../demo/narrations/atrium-station.vtt")
	if err != nil {
		b.Fatal(err)
	}
	for _, times := range []int{1, 10, 100} {
		b.Run(strconv.Itoa(times)+"x", func(b *testing.B) { benchRun(b, repeated(source, times)) })
	}
}

// BenchmarkReread is what the desk does after each answer, and is to take less
// than 20 ms: a review of half an hour, parsed already, is read again with one
// answer more. Nobody talks so densely for half an hour: the words of the
// narrations, one after the other, at 150 a minute.
func BenchmarkReread(b *testing.B) {
	const words = 30 * 150
	var text bytes.Buffer
	for names, i := narrations(b), 0; len(bytes.Fields(text.Bytes())) < words; i++ {
		source, err := os.ReadFile(names[i%len(names)])
		if err != nil {
			b.Fatal(err)
		}
		tr, err := transcript.Parse(names[i%len(names)], source)
		if err != nil {
			b.Fatal(err)
		}
		text.Write(tr.Text)
		text.WriteByte('\n')
	}
	tr, err := transcript.Parse("half an hour", text.Bytes())
	if err != nil {
		b.Fatal(err)
	}
	reader := NewReader(tr, nil)
	rec, err := reader.Run(Options{})
	if err != nil {
		b.Fatal(err)
	}
	var o Options
	for i := range rec.Quantities {
		if s := &rec.Quantities[i]; s.Status == schema.StatusOpen {
			o.Answers = append(o.Answers, normalize.Answer{Span: s.Span, Quantity: &s.Quantity})
			break
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := reader.Run(o); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(rec.Quantities)), "quantities")
}

// BenchmarkRunRepeated reads a megabyte of the same few words: the time and
// memory per byte of the worst that somebody can give.
func BenchmarkRunRepeated(b *testing.B) {
	for _, c := range []struct{ name, words string }{
		{"volts", "5 volts "},
		{"levels", "5 volts 3 amps and then some words of the speaker. "},
		{"sizes", "98 by 64 by 31 millimeters, "},
		{"commas", "1,"},
		{"by", "by "},
	} {
		source := bytes.Repeat([]byte(c.words), 1_000_000/len(c.words))
		b.Run(c.name, func(b *testing.B) { benchRun(b, source) })
	}
	b.Run("unlike", func(b *testing.B) { benchRun(b, unlike(1_000_000)) })
	b.Run("whole", func(b *testing.B) { benchRun(b, whole(500_000)) })
}

// whole writes so many bytes of whole volts, amperes, watts and milliohms, of
// which many are alike and hardly one is plausible: all rules have much to say.
func whole(size int) []byte {
	units := [...]string{"volts", "amps", "watts", "milliohms"}
	var out bytes.Buffer
	x := uint32(7)
	for out.Len() < size {
		x = x*1664525 + 1013904223 // constants of Numerical Recipes
		fmt.Fprintf(&out, "%d %s ", 1+x>>8%400, units[x>>28%4])
	}
	return out.Bytes()
}

// unlike writes so many bytes of quantities of which hardly two are alike.
func unlike(size int) []byte {
	units := [...]string{"volts", "amps", "watts", "milliamp hours", "millimeters", "grams", "percent", "milliohms"}
	var out bytes.Buffer
	x := uint32(1)
	for out.Len() < size {
		x = x*1664525 + 1013904223 // a linear congruential generator, constants of Numerical Recipes
		fmt.Fprintf(&out, "it is %d.%d %s, ", x>>8%500, x>>20%100, units[x>>28%8])
	}
	return out.Bytes()
}

// BenchmarkRunParallel reads the narrations on all processors at once.
func BenchmarkRunParallel(b *testing.B) {
	var all []*transcript.Transcript
	size := 0
	for _, name := range narrations(b) {
		source, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		tr, err := transcript.Parse(name, source)
		if err != nil {
			b.Fatal(err)
		}
		all = append(all, tr)
		size += len(source)
	}
	b.SetBytes(int64(size))
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			for _, tr := range all {
				if _, err := Run(tr, Options{}); err != nil {
					b.Error(err)
				}
			}
		}
	})
}

func narrations(b *testing.B) []string {
	var names []string
	for _, name := range captionFiles(b) {
		if filepath.Base(filepath.Dir(name)) == "narrations" {
			names = append(names, name)
		}
	}
	return names
}

func benchRun(b *testing.B, source []byte) {
	b.SetBytes(int64(len(source)))
	b.ReportAllocs()
	said := 0
	run := func() {
		tr, err := transcript.Parse("bench", source)
		if err != nil {
			b.Fatal(err)
		}
		rec, err := Run(tr, Options{})
		switch {
		case errors.Is(err, ErrTooMany): // the time to refuse is a figure too
			said = 0
		case err != nil:
			b.Fatal(err)
		default:
			said = len(rec.Quantities)
		}
	}
	for b.Loop() {
		run()
	}
	allocs := testing.AllocsPerRun(1, run)
	said = max(said, 1)
	b.ReportMetric(float64(said), "quantities")
	b.ReportMetric(allocs/float64(said), "allocs/quantity")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(said), "ns/quantity")
}

// repeated writes the cues of a WebVTT file so many times on end, each time
// later by the length of the file.
func repeated(source []byte, times int) []byte {
	head, body, _ := bytes.Cut(source, []byte("\n\n"))
	var out bytes.Buffer
	out.Write(head)
	out.WriteString("\n\n")
	length := time.Duration(0)
	for _, line := range bytes.Split(body, []byte("\n")) {
		if _, end, ok := timing(line); ok {
			length = max(length, end)
		}
	}
	for k := range times {
		shift := time.Duration(k) * (length + time.Second)
		for _, line := range bytes.Split(body, []byte("\n")) {
			if start, end, ok := timing(line); ok {
				fmt.Fprintf(&out, "%s --> %s\n", clock(start+shift), clock(end+shift))
				continue
			}
			out.Write(line)
			out.WriteByte('\n')
		}
		out.WriteByte('\n')
	}
	return out.Bytes()
}

// timing reads "00:01.000 --> 00:02.000" with or without hours.
func timing(line []byte) (start, end time.Duration, ok bool) {
	a, b, ok := bytes.Cut(line, []byte(" --> "))
	if !ok {
		return 0, 0, false
	}
	at := func(s []byte) time.Duration {
		total := time.Duration(0)
		for _, part := range bytes.Split(bytes.Fields(s)[0], []byte(":")) {
			v, err := strconv.ParseFloat(string(part), 64)
			if err != nil {
				panic(err)
			}
			total = total*60 + time.Duration(v*float64(time.Second))
		}
		return total
	}
	return at(a), at(b), true
}

func clock(d time.Duration) string {
	return fmt.Sprintf("%02d:%02d:%02d.%03d", int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60,
		d.Milliseconds()%1000)
}

// BenchmarkRunFiles is the whole way over the caption files that one process reads
// one after the other: captions in, lines of JSON out. SAYWATT_CAPTIONS names
// folders to take the files from, else those of testdata are.
func BenchmarkRunFiles(b *testing.B) {
	var names []string
	for _, dir := range filepath.SplitList(os.Getenv("SAYWATT_CAPTIONS")) {
		err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
			switch filepath.Ext(path) {
			case ".vtt", ".srt", ".txt":
				names = append(names, path)
			}
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
	}
	if names == nil {
		names = captionFiles(b)
	}
	size := 0
	var sources [][]byte
	for _, name := range names {
		source, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		size += len(source)
		sources = append(sources, source)
	}
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		w := export.NewWriter(io.Discard, export.FormatJSONL, export.Options{})
		for i, source := range sources {
			tr, err := Read(names[i], source, 0)
			if err != nil {
				continue
			}
			rec, err := Run(tr, Options{})
			if err != nil {
				b.Fatal(err)
			}
			if err := w.Write(rec); err != nil {
				b.Fatal(err)
			}
		}
	}
}
