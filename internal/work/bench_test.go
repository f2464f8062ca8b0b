//go:build unix

package work

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// Benchmarks of reading a folder of narrations: in one process, and by workers
// over a broker in a process of its own. Beside the time per caption each gives
// the processor's time per caption of all processes, which says what the stream
// costs on a machine that does other things too.
//
//	SAYWATT_WORK_NARRATIONS=500 go test ./internal/work -run '^$' -bench Throughput -benchtime 1x
func BenchmarkThroughput(b *testing.B) {
	count := narrations(b)
	dir := narrated(b, count)
	b.Run("read", func(b *testing.B) {
		for b.Loop() {
			before := cpuOf(syscall.RUSAGE_SELF)
			alone(b, dir)
			perCaption(b, count, b.Elapsed(), cpuOf(syscall.RUSAGE_SELF)-before)
		}
	})
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			for b.Loop() {
				stream(b, dir, count, workers)
			}
		})
	}
}

// stream sends a folder and times workers that read it.
func stream(b *testing.B, dir string, count, workers int) {
	b.StopTimer()
	data := b.TempDir()
	port := freePorts(b, 1)[0]
	config := filepath.Join(data, "server.conf")
	write(b, config, fmt.Sprintf("port: %d\njetstream { store_dir: %q }\nlog_file: %q\n", port,
		filepath.Join(data, "store"), filepath.Join(data, "log")))
	server := start(b, "server", config)
	url := fmt.Sprintf("nats://127.0.0.1:%d", port)
	j := connect(b, Broker{URL: url}, testLayout)
	send(b, &Sender{Job: j}, dir)
	before := cpuOf(syscall.RUSAGE_CHILDREN)
	var all []*exec.Cmd
	b.StartTimer()
	begun := time.Now()
	for range workers {
		all = append(all, start(b, "worker", url, "drain"))
	}
	for _, w := range all {
		if err := w.Wait(); err != nil {
			b.Fatal(err)
		}
	}
	took := time.Since(begun)
	b.StopTimer()
	_ = server.Process.Signal(os.Interrupt)
	_ = server.Wait()
	perCaption(b, count, took, cpuOf(syscall.RUSAGE_CHILDREN)-before)
	b.StartTimer()
}

func perCaption(b *testing.B, count int, took, cpu time.Duration) {
	b.ReportMetric(took.Seconds()*1000/float64(count), "ms/caption")
	b.ReportMetric(cpu.Seconds()*1000/float64(count), "cpu-ms/caption")
	b.ReportMetric(float64(count)/took.Seconds(), "captions/s")
}

// cpuOf is the processor's time that this process or its ended children took.
func cpuOf(who int) time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(who, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
