package place

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync/atomic"

	"saywatt/extract/feature"
)

// table holds the weights of the features of the program's own model that are not
// zero, as tables/weights.packed has them.
type table struct {
	starts []uint32                    // by feature, and the end: the first of its weights
	class  string                      // of each weight
	value  string                      // of each weight in hundredths, two bytes, low first: sums of them are exact
	packed []atomic.Pointer[packedRow] // by feature, made when first summed: a text has few of the features
}

const inOne = 100

// row makes the row of a feature.
func (t *table) row(f int32) *packedRow {
	p := &packedRow{}
	for i := t.starts[f]; i < t.starts[f+1]; i++ {
		p.put(Class(t.class[i]), t.weight(i))
	}
	return p
}

// weight is that at a place of the table, in hundredths.
func (t *table) weight(i uint32) int16 {
	return int16(uint16(t.value[2*i]) | uint16(t.value[2*i+1])<<8)
}

// Pack writes a table of weights in the form in which the program has it: the index
// of features, how many weights each has (a byte), the classes of the weights (a
// byte each), the weights in hundredths (two bytes each, low first), and the lines
// of transitions as they are. A weight of more decimals than two is an error.
func Pack(text string) ([]byte, error) {
	m, err := readModel(text)
	if err != nil {
		return nil, err
	}
	var sizes, classes, values []byte
	for _, f := range m.Index.Order() {
		from := len(classes)
		for c, w := range m.weights[int(f)*m.classes : int(f+1)*m.classes] {
			v := math.Round(w * inOne)
			if v/inOne != w || math.Abs(v) > math.MaxInt16 {
				return nil, fmt.Errorf("feature %s: %v is no weight in hundredths", m.Index.Names[f], w)
			}
			if w != 0 {
				classes, values = append(classes, uint8(c)), binary.LittleEndian.AppendUint16(values, uint16(int16(v)))
			}
		}
		sizes = append(sizes, uint8(len(classes)-from))
	}
	out := append(append(append(m.Index.Append(nil), sizes...), classes...), values...)
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, linkPrefix) {
			out = append(out, line...)
		}
	}
	return out, nil
}

// open returns the model that Pack wrote.
func open(text string) (*Model, error) {
	index, rest, err := feature.OpenIndex(text)
	if err != nil {
		return nil, err
	}
	features := index.Len()
	t := &table{starts: make([]uint32, features+1), packed: make([]atomic.Pointer[packedRow], features)}
	if len(rest) >= features {
		for f := range features {
			t.starts[f+1] = t.starts[f] + uint32(rest[f])
		}
		rest = rest[features:]
	}
	n := int(t.starts[features])
	if len(rest) < 3*n {
		return nil, fmt.Errorf("the weights of %d features are cut short", features)
	}
	t.class, t.value = rest[:n], rest[n:3*n]
	m := &Model{classes: Classes(), Index: index, table: t}
	steps := make([]float64, m.Weights()-m.transitions())
	err = feature.Rows(rest[3*n:], func(name, weights string) error {
		return m.readStep(steps, name, weights)
	})
	m.setSteps(steps)
	return m, err
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
