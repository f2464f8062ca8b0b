// Package tabletest reads rows of tables for the tests of normalize, the packages below it and
// package assemble.
package tabletest

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"saywatt/schema"
)

// Rows returns the rows of a table of another package, which the tests share names with
// but do not embed.
func Rows(t *testing.T, folder, name string) []schema.Row {
	t.Helper()
	table, err := schema.ReadTable(os.DirFS(folder), name)
	if err != nil {
		t.Fatal(err)
	}
	return table.Rows
}

// Number is the number in a column; it fails the test where there is none.
func Number(t *testing.T, table string, r schema.Row, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r.Get(column), 64)
	if err != nil {
		t.Errorf("%s:%d: %s: %v", table, r.Line, column, err)
	}
	return v
}

// CheckSource fails the test where a row does not say where it is from.
func CheckSource(t *testing.T, table string, r schema.Row) {
	t.Helper()
	if s := strings.TrimSpace(r.Get("source")); s == "" || s == "-" {
		t.Errorf("%s:%d: no source", table, r.Line)
	}
}

// Unit is the unit in a column; it fails the test where that is none.
func Unit(t *testing.T, table string, r schema.Row, column string) schema.Unit {
	t.Helper()
	u := schema.Unit(r.Get(column))
	if _, ok := u.Info(); !ok {
		t.Errorf("%s:%d: %q is no unit", table, r.Line, u)
	}
	return u
}

// BoundsHeld fails the test for each row of bounds.tsv that might as well have another
// number, a tenth or one more or less: fails says whether a case of the row fails then.
// The fields are the numbers in use, by the names of the rows.
func BoundsHeld(t *testing.T, rows []schema.Row, fields map[string]*float64, fails func(bound string) bool) {
	t.Helper()
	for _, r := range rows {
		name := r.Get("bound")
		field := fields[name]
		n := *field
		by := n / 10
		if n == math.Trunc(n) {
			by = 1
		}
		for _, *field = range []float64{n - by, n + by} {
			if !fails(name) {
				t.Errorf("bounds.tsv:%d: no case of TestBoundsHeld fails where %s is %v", r.Line, name, *field)
			}
		}
		*field = n
	}
}
