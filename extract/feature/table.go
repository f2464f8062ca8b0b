package feature

import (
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"saywatt/schema"
)

// Rows reads a table of weights and calls row for each line: a line a feature,
// with tabs between its name, how often it was seen, and its weights. Comments and
// the line of the columns are left out. Errors name the line. What row is given are
// parts of the text.
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

// ReadWeights reads the table where each feature has one weight.
func ReadWeights(text string) (names []string, weights []float64, err error) {
	n := strings.Count(text, "\n")
	names, weights = make([]string, 0, n), make([]float64, 0, n)
	err = Rows(text, func(name, weight string) error {
		v, err := number(weight)
		names, weights = append(names, name), append(weights, v)
		return err
	})
	return names, weights, err
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

// MustLoad reads the model of the embedded tables/weights.tsv of a package. One
// that does not read is a fault of the program: it panics.
func MustLoad[M any](text string, read func(text string) (M, error)) M {
	m, err := read(text)
	if err != nil {
		panic(fmt.Sprintf("weights.tsv: %v", err))
	}
	return m
}

// MustNumbers returns the numbers in a column of an embedded table by the cells
// of another. It panics as MustLoad does.
func MustNumbers(tables fs.FS, table, by, column string) map[string]float64 {
	out := map[string]float64{}
	b, err := fs.ReadFile(tables, table)
	if err != nil {
		panic(err)
	}
	EachNumber(table, string(b), by, column, func(name string, v float64) { out[name] = v })
	return out
}

// EachNumber is MustNumbers one by one, in the order of the rows, of the text of a
// table.
func EachNumber(table, text, by, column string, f func(name string, v float64)) {
	err := schema.EachRow(table, text, func(r schema.Row) error {
		v, err := number(r.Get(column))
		if err != nil {
			return fmt.Errorf("%s:%d: %w", table, r.Line, err)
		}
		f(r.Get(by), v)
		return nil
	})
	if err != nil {
		panic(err.Error())
	}
}
