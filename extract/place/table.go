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
	weights []hundredths
	packed  []atomic.Pointer[packedRow] // by feature, made when first summed; nil before
}

// hundredths is a weight as the table of the program's own model has it, in
// hundredths: sums of them are exact.
type hundredths struct {
	class Class
	value int16
}

const inOne = 100

// newTable makes the table of lines that have at most so many weights together.
func newTable(lines []string, most int) *table {
	return &table{lines: lines, at: make([]atomic.Uint64, len(lines)), next: 1, weights: make([]hundredths, 1+most),
		packed: make([]atomic.Pointer[packedRow], len(lines))}
}

// of returns the weights of a feature.
func (t *table) of(f int32) []hundredths {
	at := t.at[f].Load()
	if at == 0 {
		at = t.read(f)
	}
	return t.weights[uint32(at):uint32(at>>32)]
}

// read reads the line of a feature.
func (t *table) read(f int32) uint64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	if at := t.at[f].Load(); at != 0 { // another was faster
		return at
	}
	from := t.next
	for w := range strings.SplitSeq(t.lines[f], " ") {
		name, value, _ := strings.Cut(w, ":")
		c, known := ParseClass(name)
		v, whole := parseHundredths(value)
		if !known || !whole {
			panic(fmt.Sprintf("weights.tsv: feature %d: %q is no class with a weight in hundredths", f, w))
		}
		t.weights[t.next] = hundredths{c, v}
		t.next++
	}
	at := uint64(from) | uint64(t.next)<<32
	t.at[f].Store(at)
	return at
}

// parseHundredths reads a number of at most two decimals, "-0.37". ok is false
// for all else.
func parseHundredths(s string) (v int16, ok bool) {
	digits, minus := strings.CutPrefix(s, "-")
	whole, part, _ := strings.Cut(digits, ".")
	if len(whole) == 0 || len(whole) > 2 || len(part) > 2 {
		return 0, false
	}
	for _, b := range []byte(whole) {
		if b < '0' || b > '9' {
			return 0, false
		}
		v = 10*v + int16(b-'0')
	}
	for i := range 2 {
		v *= 10
		if i < len(part) {
			if part[i] < '0' || part[i] > '9' {
				return 0, false
			}
			v += int16(part[i] - '0')
		}
	}
	if minus {
		v = -v
	}
	return v, true
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
