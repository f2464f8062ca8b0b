package schema

import (
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Table is a knowledge table as embedded: tab-separated text, '#' comments,
// one header line naming the columns, every row as many cells as the header.
// The comment block on top of each file is the specification of its columns.
type Table struct {
	Name    string
	Columns []string
	Rows    []Row
}

// Row is one line of a Table.
type Row struct {
	Line  int
	Cells []string
	table *Table
}

// Get returns the cell under the named column; it panics on a column that the
// table does not have, which is a programming error.
func (r Row) Get(column string) string {
	for i, c := range r.table.Columns { // a handful
		if c == column {
			return r.Cells[i]
		}
	}
	panic("table " + r.table.Name + " has no column " + column)
}

// List returns the cell's parts between '|' bars, blanks trimmed, none for an
// empty cell or "-".
func (r Row) List(column string) []string {
	cell := r.Get(column)
	if cell == "" || cell == "-" {
		return nil
	}
	parts := strings.Split(cell, "|")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}

// ReadNumbers sets the fields from a table that has a row for each: its name under one
// column, a number under another, whole and from 1 to 32,767 for a whole field, above
// zero and at most 32,767 for one of float64. A row of no field, a number beyond these
// and a field without a row are errors that name the file and line.
func ReadNumbers[N int | int32 | float64](fsys fs.FS, file, name, count string, fields map[string]*N) error {
	t, err := ReadTable(fsys, file)
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		f, ok := fields[r.Get(name)]
		if !ok {
			return fmt.Errorf("%s:%d: %s %q stands twice, or the code has no field of that name", t.Name, r.Line, name,
				r.Get(name))
		}
		n, err := strconv.ParseFloat(r.Get(count), 64)
		if err != nil || !(n > 0 && n <= math.MaxInt16) || float64(N(n)) != n {
			return fmt.Errorf("%s:%d: %s %q, %s %q", t.Name, r.Line, name, r.Get(name), count, r.Get(count))
		}
		*f = N(n)
		delete(fields, r.Get(name))
	}
	for _, missing := range slices.Sorted(maps.Keys(fields)) {
		return fmt.Errorf("%s: no %s %s", t.Name, name, missing)
	}
	return nil
}

// ReadTable reads a knowledge table from a file system. Errors name the file
// and line.
func ReadTable(fsys fs.FS, name string) (*Table, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var text strings.Builder // which is not copied again
	if info, err := f.Stat(); err == nil {
		text.Grow(int(info.Size()))
	}
	if _, err := io.CopyBuffer(&text, f, make([]byte, 4096)); err != nil {
		return nil, err
	}
	return ParseTable(name, text.String())
}

// ParseTable is ReadTable of a text. The cells are parts of it.
func ParseTable(name, text string) (*Table, error) {
	t := &Table{Name: name}
	lines := 1 + strings.Count(text, "\n")
	var room []string // for the cells of all rows
	err := t.eachRow(text, func(line int, cells []string) error {
		if t.Rows == nil {
			room, t.Rows = make([]string, 0, (lines-line)*len(cells)), make([]Row, 0, lines-line)
		}
		from := len(room)
		room = append(room, cells...)
		t.Rows = append(t.Rows, Row{Line: line, Cells: room[from:len(room):len(room)], table: t})
		return nil
	})
	return t, err
}

// EachRow calls f with one row after the other of the text of a table, which takes
// no memory a row: the row is good until f returns. An error of f ends it.
func EachRow(name, text string, f func(r Row) error) error {
	t := &Table{Name: name}
	return t.eachRow(text, func(line int, cells []string) error {
		return f(Row{Line: line, Cells: cells, table: t})
	})
}

// eachRow reads the columns of the table and calls f with the number of each line
// behind them and its cells, which are good until f returns.
func (t *Table) eachRow(text string, f func(line int, cells []string) error) error {
	var cells []string
	for n, more := 1, text != ""; more; n++ {
		var line string
		line, text, _ = strings.Cut(text, "\n")
		more = text != ""
		if line == "" || line[0] == '#' {
			continue
		}
		cells = cells[:0]
		for more := true; more; {
			var cell string
			cell, line, more = strings.Cut(line, "\t")
			cells = append(cells, cell)
		}
		if t.Columns == nil {
			t.Columns = slices.Clone(cells)
			for j, c := range cells {
				if slices.Contains(cells[:j], c) {
					return fmt.Errorf("%s:%d: two columns %q", t.Name, n, c)
				}
			}
			continue
		}
		if len(cells) != len(t.Columns) {
			return fmt.Errorf("%s:%d: %d cells, want %d", t.Name, n, len(cells), len(t.Columns))
		}
		if err := f(n, cells); err != nil {
			return err
		}
	}
	if t.Columns == nil {
		return fmt.Errorf("%s: no header line", t.Name)
	}
	return nil
}

// MustReadNumbers is ReadNumbers for embedded files, whose form the tests check.
func MustReadNumbers[N int | int32 | float64](fsys fs.FS, file, name, count string, fields map[string]*N) {
	if err := ReadNumbers(fsys, file, name, count, fields); err != nil {
		panic(err)
	}
}

// MustReadTable is ReadTable for embedded files, whose form the tests check.
func MustReadTable(fsys fs.FS, name string) *Table {
	t, err := ReadTable(fsys, name)
	if err != nil {
		panic(err)
	}
	return t
}
