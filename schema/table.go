package schema

import (
	"fmt"
	"io/fs"
	"strings"
)

// Table is a knowledge table as embedded: tab-separated text, '#' comments,
// one header line naming the columns, every row as many cells as the header.
// The comment block on top of each file is the specification of its columns.
type Table struct {
	Name    string
	Columns []string
	Rows    []Row
	index   map[string]int
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
	i, ok := r.table.index[column]
	if !ok {
		panic("table " + r.table.Name + " has no column " + column)
	}
	return r.Cells[i]
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

// ReadTable reads a knowledge table from a file system. Errors name the file
// and line.
func ReadTable(fsys fs.FS, name string) (*Table, error) {
	b, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	t := &Table{Name: name, index: map[string]int{}}
	for i, line := range strings.Split(strings.TrimSuffix(string(b), "\n"), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, "\t")
		if t.Columns == nil {
			t.Columns = cells
			for j, c := range cells {
				if _, twice := t.index[c]; twice {
					return nil, fmt.Errorf("%s:%d: two columns %q", name, i+1, c)
				}
				t.index[c] = j
			}
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
