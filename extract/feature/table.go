package feature

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"saywatt/schema"
)

// readTable reads a table of weights and calls row for each line: a line a
// feature, with tabs between its name, how often it was seen, and its weights.
// Comments and the line of the columns are left out. Errors name the line.
func readTable(r io.Reader, row func(name, weights string) error) error {
	var b strings.Builder
	if s, ok := r.(interface{ Len() int }); ok {
		b.Grow(s.Len())
	}
	if _, err := io.Copy(&b, r); err != nil {
		return err
	}
	return Rows(b.String(), row)
}

// Rows is readTable of a text. What row is given are parts of the text.
func Rows(text string, row func(name, weights string) error) error {
	for line := 1; text != ""; line++ {
		l, rest, _ := strings.Cut(text, "\n")
		text = rest
		l = strings.TrimSuffix(l, "\r")
		if l == "" || l[0] == '#' || strings.HasPrefix(l, "feature\t") {
			continue
		}
		name, rest, _ := strings.Cut(l, "\t")
		_, weights, ok := strings.Cut(rest, "\t")
		if !ok || strings.IndexByte(weights, '\t') >= 0 {
			return fmt.Errorf("line %d: %d columns, want 3", line, 1+strings.Count(l, "\t"))
		}
		if err := row(name, weights); err != nil {
			return fmt.Errorf("line %d: %w", line, err)
		}
	}
	return nil
}

// ReadWeights is readTable where each feature has one weight.
func ReadWeights(r io.Reader, row func(name string, weight float64)) error {
	return readTable(r, func(name, weight string) error {
		v, err := number(weight)
		if err == nil {
			row(name, v)
		}
		return err
	})
}

// powers are the powers of ten by which number divides.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6}

// number is strconv.ParseFloat, and faster for what weights are: some digits and
// a few decimals. Both parts of the quotient are exact, so it is the nearest
// number to the one that is written.
func number(s string) (float64, error) {
	const longest = 15 // digits that a float64 holds whatever they are
	digits := strings.TrimPrefix(s, "-")
	n, point := int64(0), -1
	for i := 0; i < len(digits); i++ {
		switch c := digits[i]; {
		case c >= '0' && c <= '9':
			n = 10*n + int64(c-'0')
		case c == '.' && point < 0:
			point = i
		default:
			return strconv.ParseFloat(s, 64)
		}
		if i >= longest {
			return strconv.ParseFloat(s, 64)
		}
	}
	decimals := 0
	if point >= 0 {
		decimals = len(digits) - 1 - point
	}
	if digits == "" || point == 0 || decimals >= len(powers) {
		return strconv.ParseFloat(s, 64)
	}
	v := float64(n) / powers[decimals]
	if len(digits) < len(s) {
		v = -v
	}
	return v, nil
}

// MustLoad reads the model of tables/weights.tsv among the embedded tables of a
// package. One that does not read is a fault of the program: it panics.
func MustLoad[M any](tables fs.FS, read func(io.Reader) (M, error)) M {
	b, err := fs.ReadFile(tables, "tables/weights.tsv")
	if err != nil {
		panic(err)
	}
	m, err := read(bytes.NewReader(b))
	if err != nil {
		panic(fmt.Sprintf("weights.tsv: %v", err))
	}
	return m
}

// MustNumbers returns the numbers in a column of an embedded table by the cells
// of another. It panics as MustLoad does.
func MustNumbers(tables fs.FS, table, by, column string) map[string]float64 {
	out := map[string]float64{}
	EachNumber(tables, table, by, column, func(name string, v float64) { out[name] = v })
	return out
}

// EachNumber is MustNumbers one by one, in the order of the rows.
func EachNumber(tables fs.FS, table, by, column string, f func(name string, v float64)) {
	for _, r := range schema.MustReadTable(tables, table).Rows {
		v, err := number(r.Get(column))
		if err != nil {
			panic(fmt.Sprintf("%s:%d: %v", table, r.Line, err))
		}
		f(r.Get(by), v)
	}
}
