package schema

import (
	"fmt"
	"io/fs"
	"maps"
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
// column, a whole number from 1 to 32,767 under another. A row of no field, a number
// beyond these and a field without a row are errors that name the file and line.
func ReadNumbers[N int | int32](fsys fs.FS, file, name, count string, fields map[string]*N) error {
	t, err := ReadTable(fsys, file)
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		f, ok := fields[r.Get(name)]
		n, err := strconv.ParseInt(r.Get(count), 10, 16)
		if !ok || err != nil || n < 1 {
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
	b, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	t := &Table{Name: name}
	text := strings.TrimSuffix(string(b), "\n")
	lines := 1 + strings.Count(text, "\n")
	var room []string // for the cells of all rows
	for i := range lines {
		var line string
		line, text, _ = strings.Cut(text, "\n")
		if line == "" || line[0] == '#' {
			continue
		}
		from := len(room)
		for more := true; more; {
			var cell string
			cell, line, more = strings.Cut(line, "\t")
			room = append(room, cell)
		}
		cells := room[from:len(room):len(room)]
		if t.Columns == nil {
			t.Columns = cells
			for j, c := range cells {
				if slices.Contains(cells[:j], c) {
					return nil, fmt.Errorf("%s:%d: two columns %q", name, i+1, c)
				}
			}
			room = make([]string, 0, (lines-i)*len(cells))
			t.Rows = make([]Row, 0, lines-i)
			continue
		}
		if len(cells) != len(t.Columns) {
			return nil, fmt.Errorf("%s:%d: %d cells, want %d", name, i+1, len(cells), len(t.Columns))
		}
		t.Rows = append(t.Rows, Row{Line: i + 1, Cells: cells, table: t})
	}
	if t.Columns == nil {
		return nil, fmt.Errorf("%s: no header line", name)
	}
	return t, nil
}

// MustReadTable is ReadTable for embedded files, whose form the tests check.
func MustReadTable(fsys fs.FS, name string) *Table {
	t, err := ReadTable(fsys, name)
	if err != nil {
		panic(err)
	}
	return t
}
