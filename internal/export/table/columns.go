package table

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io"
	"sync"

	"saywatt/internal/export/plainjson"
	"saywatt/schema"
)

//go:embed tables/*.tsv
var ownTables embed.FS

// cellType is what the cells of a column hold. The zero value is unusable.
type cellType uint8

// The types.
const (
	cellUnknown     cellType = iota
	cellString               // text
	cellInteger              // a whole number
	cellDecimal              // an exact number, digits as said
	cellProbability          // 0 to 1
	cellSeconds              // whole milliseconds
)

var cellTypeNames = [...]string{"", "string", "integer", "decimal", "probability", "seconds"}

// String returns the name.
func (t cellType) String() string {
	if int(t) < len(cellTypeNames) {
		return cellTypeNames[t]
	}
	return fmt.Sprintf("?%d", t)
}

// A column describes a column of a table.
type column struct {
	Table string // "*" for those in front of every table
	Name  string
	Type  cellType
	Unit  string // UCUM code of its numbers; "as in" and the column that has it
	Means string
}

// dictionary is tables/columns.tsv, in its order, and by table and column.
type dictionary struct {
	all []column
	by  map[[2]string]*column
}

var loadDictionary = sync.OnceValue(func() *dictionary {
	d := &dictionary{by: map[[2]string]*column{}}
	for _, r := range schema.MustReadTable(ownTables, "tables/columns.tsv").Rows {
		c := column{Table: r.Get("table"), Name: r.Get("column"), Unit: r.Get("unit"), Means: r.Get("means")}
		for i, name := range cellTypeNames {
			if i > 0 && name == r.Get("type") {
				c.Type = cellType(i)
			}
		}
		if c.Type == cellUnknown {
			panic(fmt.Sprintf("columns.tsv:%d: type %q", r.Line, r.Get("type")))
		}
		d.all = append(d.all, c)
	}
	for i := range d.all {
		d.by[[2]string{d.all[i].Table, d.all[i].Name}] = &d.all[i]
	}
	return d
})

// WriteDictionaryJSON writes the same as JSON Lines, an object a column.
func WriteDictionaryJSON(w io.Writer) error {
	for _, d := range loadDictionary().all {
		if err := plainjson.WriteLine(w, struct {
			Table  string `json:"table"`
			Column string `json:"column"`
			Type   string `json:"type"`
			Unit   string `json:"unit,omitempty"`
			Means  string `json:"means"`
		}{d.Table, d.Name, d.Type.String(), d.Unit, d.Means}); err != nil {
			return err
		}
	}
	return nil
}

// describe returns the columns of a table, in its order. Every column of every
// table has a row in the dictionary: a test holds them together.
func (t Table) describe() []column {
	d := loadDictionary()
	all := make([]column, len(t.Columns))
	for i, name := range t.Columns {
		c := d.by[[2]string{t.Name, name}]
		if c == nil {
			c = d.by[[2]string{"*", name}]
		}
		if c == nil {
			c = &column{Table: t.Name, Name: name, Type: cellString}
		}
		all[i] = *c
	}
	return all
}

// WriteDictionary writes what each column of each table holds, as CSV: table,
// column, type, unit, means.
func WriteDictionary(w io.Writer) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	c.Write([]string{"table", "column", "type", "unit", "means"})
	for _, d := range loadDictionary().all {
		c.Write([]string{d.Table, d.Name, d.Type.String(), d.Unit, d.Means})
	}
	c.Flush()
	return c.Error()
}
