package pipeline

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"saywatt/extract/transcript"
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
		if err != nil {
			b.Fatal(err)
		}
		said = len(rec.Quantities)
	}
	for b.Loop() {
		run()
	}
	allocs := testing.AllocsPerRun(1, run)
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
	return fmt.Sprintf("%02d:%02d:%02d.%03d", int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60, d.Milliseconds()%1000)
}
