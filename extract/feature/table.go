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
		v, err := strconv.ParseFloat(weight, 64)
		if err == nil {
			row(name, v)
		}
		return err
	})
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
	for _, r := range schema.MustReadTable(tables, table).Rows {
		v, err := strconv.ParseFloat(r.Get(column), 64)
		if err != nil {
			panic(fmt.Sprintf("%s:%d: %v", table, r.Line, err))
		}
		out[r.Get(by)] = v
	}
	return out
}
