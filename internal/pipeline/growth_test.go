package pipeline

import (
	"io"
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/internal/export"
)

// The bounds that every shape keeps: time and memory as a power of the bytes
// read, bytes of memory a byte of text, and the memory that is had whatever is
// read: tables, models, and the record of as many quantities as there may be.
const (
	mostPower    = 1.15
	roughPower   = 1.6
	leastTime    = 20 // milliseconds that are not counted: the first collection of garbage falls into some sizes
	mostPerByte  = 60
	mostConstant = 256 << 20
	mostTries    = 5 // of each size the least is taken
)

// growthSizes are the sizes of the texts, in bytes: the largest, of which the others
// are an eighth, a quarter and a half.
func growthSizes(most int) []int { return []int{most / 8, most / 4, most / 2, most} }

// TestGrowth reads every shape at four sizes and writes its record. Alone on a
// machine, as "make growth" runs it with SAYWATT_GROWTH, time keeps the bound of
// mostPower; beside other tests, where the same work takes half as long again and
// more, only what is far from linear shows.
func TestGrowth(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a minute")
	}
	largest, bound := 64<<10, roughPower
	if n, err := strconv.Atoi(os.Getenv("SAYWATT_GROWTH")); err == nil {
		largest, bound = n, mostPower
	}
	cost(t, []byte("5 volts 3 amps")) // tables are loaded
	for _, s := range shapes {
		t.Run(strings.ReplaceAll(s.name, " ", "-"), func(t *testing.T) {
			sizes := growthSizes(largest)
			ms, mb := make([]float64, len(sizes)), make([]float64, len(sizes))
			for try := 1; ; try++ {
				for i, size := range sizes {
					took, memory := cost(t, s.write(size))
					now, space := took.Seconds()*1e3, float64(memory)/(1<<20)
					if try == 1 || now < ms[i] { // other work on the machine is not the shape's
						ms[i] = now
					}
					if try == 1 || space < mb[i] {
						mb[i] = space
					}
				}
				last := len(sizes) - 1
				time, space := power(sizes, addEach(ms, leastTime)), power(sizes, addEach(mb, 1))
				perByte := (mb[last] - mb[0]) * (1 << 20) / float64(sizes[last]-sizes[0])
				t.Logf("%s: %.1f ms n^%.2f, %.1f MB n^%.2f, %.0f bytes a byte", s.name, ms, time, mb, space, perByte)
				if time <= bound && space <= mostPower && mb[last] <= mostConstant/(1<<20) {
					return
				}
				if try == mostTries {
					t.Fatalf("grows with n^%.2f in time and n^%.2f in memory, want at most n^%.2f, %.0f bytes a byte",
						time, space, bound, perByte)
				}
			}
		})
	}
}

func addEach(v []float64, c float64) []float64 {
	out := slices.Clone(v)
	for i := range out {
		out[i] += c
	}
	return out
}

// TestCost: what a text of any shape takes in memory is no more than was
// estimated for the gate.
func TestCost(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	defer debug.SetGCPercent(debug.SetGCPercent(20)) // garbage is collected early
	cost(t, []byte("5 volts 3 amps"))
	for _, s := range shapes {
		text := s.write(32 << 10)
		tr, err := Read("shape", text, 0)
		if err != nil {
			continue
		}
		const slack = 8 << 20 // what was not collected yet
		took := uint64(math.MaxUint64)
		for range 3 { // on a busy machine the collector comes late
			if _, now := cost(t, text); now < took {
				took = now
			}
			if int64(took) <= extract.Cost(tr.Text)+slack {
				break
			}
		}
		if int64(took) > extract.Cost(tr.Text)+slack {
			t.Errorf("%s: took %d KB, estimated at %d", s.name, took>>10, extract.Cost(tr.Text)>>10)
		}
	}
}

// power is the power of the sizes with which the costs grow: the slope of the
// line through their logarithms, by least squares.
func power(sizes []int, costs []float64) float64 {
	var sx, sy, sxx, sxy float64
	for i := range sizes {
		x, y := math.Log(float64(sizes[i])), math.Log(costs[i])
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	n := float64(len(sizes))
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}

// cost reads a text and writes its record, and returns the processor time and
// the most memory that was in use above what was in use before.
func cost(t *testing.T, text []byte) (time.Duration, uint64) {
	t.Helper()
	runtime.GC()
	before := live()
	peak, end := make(chan uint64), make(chan struct{})
	go func() {
		most := uint64(0)
		for {
			select {
			case <-end:
				peak <- max(most, live())
				return
			case <-time.After(time.Millisecond):
				most = max(most, live())
			}
		}
	}()
	start := processorTime(t)
	readAndWrite(t, text)
	took := processorTime(t) - start
	close(end)
	most := <-peak
	return took, most - min(most, before)
}

func readAndWrite(t *testing.T, text []byte) {
	t.Helper()
	tr, err := Read("shape", text, transcript.DefaultMaxBytes)
	if err != nil {
		return
	}
	if rec, err := Run(tr, Options{}); err == nil {
		if err := export.NewWriter(io.Discard, export.FormatJSONL, export.Options{}).Write(rec); err != nil {
			t.Fatal(err)
		}
	}
}

// live is the memory of objects in the heap, those that are not yet swept too.
func live() uint64 {
	s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

func processorTime(t *testing.T) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
