package place

import (
	"fmt"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
)

// table holds the weights of features that are not zero. Those of a feature are
// read from its line when they are first asked for: a text has few of the
// features. They lie one behind the other in the order in which they were asked
// for, so that those asked for often are near each other.
type table struct {
	lines   []string        // by feature: "class:weight" for some classes
	at      []atomic.Uint64 // by feature: where its weights begin, and in the upper half where they end; 0 not read yet
	mu      sync.Mutex      // held to read a line
	next    uint32          // where the next weights go
	classes []Class
	values  []float64
}

// newTable makes the table of lines that have at most so many weights together.
func newTable(lines []string, most int) *table {
	return &table{lines: lines, at: make([]atomic.Uint64, len(lines)), next: 1, classes: make([]Class, 1+most), values: make([]float64, 1+most)}
}

// of returns the weights of a feature and the classes that they are for.
func (t *table) of(f int32) ([]Class, []float64) {
	at := t.at[f].Load()
	if at == 0 {
		at = t.read(f)
	}
	from, to := uint32(at), uint32(at>>32)
	return t.classes[from:to], t.values[from:to]
}

// read reads the line of a feature.
func (t *table) read(f int32) uint64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	if at := t.at[f].Load(); at != 0 { // another was faster
		return at
	}
	row, err := parseWeights(t.lines[f])
	if err != nil {
		panic(fmt.Sprintf("weights.tsv: feature %d: %v", f, err))
	}
	from := t.next
	for _, w := range row {
		t.classes[t.next], t.values[t.next] = w.class, w.value
		t.next++
	}
	at := uint64(from) | uint64(t.next)<<32
	t.at[f].Store(at)
	return at
}

// weight is that of a feature in one class.
type weight struct {
	class Class
	value float64
}

// parseWeights reads "class:weight" for some classes.
func parseWeights(line string) ([]weight, error) {
	row := make([]weight, 0, 1+strings.Count(line, " "))
	for w := range strings.FieldsSeq(line) {
		name, value, _ := strings.Cut(w, ":")
		c, ok := ParseClass(name)
		v, err := strconv.ParseFloat(value, 64)
		if !ok || err != nil {
			return nil, fmt.Errorf("%q is no class with a weight", w)
		}
		row = append(row, weight{c, v})
	}
	return row, nil
}
