package desk

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
)

// spare is the share of its time that a machine must be idle for figures of time
// to be held against a bound.
const spare = 0.8

// quiet reports whether the machine does next to nothing besides, by what it did
// for a while in which the caller does nothing. Where that cannot be known, on
// others than Linux, it is not.
func quiet(t *testing.T) bool {
	t.Helper()
	idle, all := processorTime()
	time.Sleep(time.Second)
	idleAfter, allAfter := processorTime()
	if allAfter == all {
		return false
	}
	share := (idleAfter - idle) / (allAfter - all)
	t.Logf("the machine is idle for %.0f %% of its time", 100*share)
	return share >= spare
}

// processorTime is how long the processors were idle, and how long in all, in
// ticks (proc_stat(5)).
func processorTime() (idle, all float64) {
	text, err := os.ReadFile("/proc/stat")
	if err != nil {
		return 0, 0
	}
	line, _, _ := strings.Cut(string(text), "\n")
	for i, field := range strings.Fields(line) {
		var n float64
		if i == 0 || i > 8 { // its name; the guests' are in the others
			continue
		}
		fmt.Sscan(field, &n)
		all += n
		if i == 4 || i == 5 { // idle, and waiting for a disk
			idle += n
		}
	}
	return idle, all
}
