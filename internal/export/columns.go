package export

import (
	"embed"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var ownTables embed.FS

// CellType is what the cells of a column hold. The zero value is unusable.
type CellType uint8

// The types.
const (
	CellUnknown     CellType = iota
	CellString               // text
	CellInteger              // a whole number
	CellDecimal              // an exact number, digits as said
	CellProbability          // 0 to 1
	CellSeconds              // whole milliseconds
)

var cellTypeNames = [...]string{"", "string", "integer", "decimal", "probability", "seconds"}

// String returns the name.
func (t CellType) String() string {
	if int(t) < len(cellTypeNames) {
		return cellTypeNames[t]
	}
	return fmt.Sprintf("?%d", t)
}

// A Column describes a column of a table.
type Column struct {
	Table string // "*" for those in front of every table
	Name  string
	Type  CellType
	Unit  string // UCUM code of its numbers; "as in" and the column that has it
	Means string
}

// dictionary is tables/columns.tsv, in its order, and by table and column.
type dictionary struct {
	all []Column
	by  map[[2]string]*Column
}

var loadDictionary = sync.OnceValue(func() *dictionary {
	d := &dictionary{by: map[[2]string]*Column{}}
	for _, r := range schema.MustReadTable(ownTables, "tables/columns.tsv").Rows {
		c := Column{Table: r.Get("table"), Name: r.Get("column"), Unit: r.Get("unit"), Means: r.Get("means")}
		for i, name := range cellTypeNames {
			if i > 0 && name == r.Get("type") {
				c.Type = CellType(i)
			}
		}
		if c.Type == CellUnknown {
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
	j := json.NewEncoder(w)
	j.SetEscapeHTML(false)
	for _, d := range loadDictionary().all {
		if err := j.Encode(struct {
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

// Describe returns the columns of a table, in its order. Every column of every
// table has a row in the dictionary: a test holds them together.
func (t Table) Describe() []Column {
	d := loadDictionary()
	all := make([]Column, len(t.Columns))
	for i, name := range t.Columns {
		c := d.by[[2]string{t.Name, name}]
		if c == nil {
			c = d.by[[2]string{"*", name}]
		}
		if c == nil {
			c = &Column{Table: t.Name, Name: name, Type: CellString}
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
