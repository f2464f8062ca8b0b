package table

import (
	"fmt"
	"io"
	"reflect"
	"slices"

	"github.com/parquet-go/parquet-go"

	"saywatt/schema"
)

// A ParquetWriter writes one table of several records as a Parquet file
// (Apache Parquet format): a column of the table is an optional column of the
// file, whose type data frames load as it is. Text is UTF-8, a whole number
// INT64, any other number DOUBLE, an empty cell null. Text is as it was said:
// here nothing can become a formula. The file's metadata holds, under "csvw",
// what the columns mean (see Table.WriteMetadata).
type ParquetWriter struct {
	w       io.Writer
	file    *parquet.GenericWriter[any]
	columns []column
	name    string
	rows    int // since the group of rows was begun
}

// rowsOfGroup is how many rows a group holds at least, but for the last: those
// of one group are in memory until it is written.
const rowsOfGroup = 1 << 18

// NewParquetWriter returns a writer to w. Close ends the file.
func NewParquetWriter(w io.Writer) *ParquetWriter { return &ParquetWriter{w: w} }

// Write adds the rows of a table; all must be of one name and columns.
func (p *ParquetWriter) Write(t Table) error {
	if p.file == nil {
		if err := p.begin(t); err != nil {
			return err
		}
	} else if p.name != t.Name || len(p.columns) != len(t.Columns) {
		return fmt.Errorf("table %s in a file of table %s", t.Name, p.name)
	}
	rows := make([]parquet.Row, len(t.Rows))
	for i, row := range t.Rows {
		for k, v := range row {
			cell, err := parquetCell(v, p.columns[k].Type)
			if err != nil {
				return fmt.Errorf("table %s, column %s: %w", t.Name, p.columns[k].Name, err)
			}
			defined := 1
			if cell.IsNull() {
				defined = 0
			}
			rows[i] = append(rows[i], cell.Level(0, defined, k))
		}
	}
	if _, err := p.file.WriteRows(rows); err != nil {
		return err
	}
	if p.rows += len(rows); p.rows < rowsOfGroup {
		return nil
	}
	p.rows = 0
	return p.file.Flush()
}

// begin writes the head of the file.
func (p *ParquetWriter) begin(t Table) error {
	p.columns, p.name = t.describe(), t.Name
	var fields []reflect.StructField // a group of the library would sort its columns
	for i, c := range p.columns {
		f := reflect.StructField{Name: fmt.Sprintf("C%d", i), Type: reflect.TypeFor[float64](),
			Tag: reflect.StructTag(fmt.Sprintf(`parquet:"%s,optional,snappy"`, c.Name))}
		switch c.Type {
		case cellString:
			f.Type = reflect.TypeFor[string]()
		case cellInteger:
			f.Type = reflect.TypeFor[int64]()
		}
		fields = append(fields, f)
	}
	form := parquet.SchemaOf(reflect.New(reflect.StructOf(fields)).Interface())
	var meaning writeBuffer
	if err := t.WriteMetadata(&meaning, t.Name+".csv"); err != nil {
		return err
	}
	p.file = parquet.NewGenericWriter[any](p.w, form, parquet.CreatedBy("saywatt", "", ""),
		parquet.KeyValueMetadata("csvw", string(meaning)))
	return nil
}

// Close ends the file. One without a table is an error.
func (p *ParquetWriter) Close() error {
	if p.file == nil {
		return fmt.Errorf("there is no table to write")
	}
	return p.file.Close()
}

func parquetCell(v any, t cellType) (parquet.Value, error) {
	switch v := v.(type) {
	case nil:
		return parquet.NullValue(), nil
	case string:
		if v == "" {
			return parquet.NullValue(), nil
		}
		if t == cellString {
			return parquet.ByteArrayValue([]byte(v)), nil
		}
	case int:
		if t == cellInteger {
			return parquet.Int64Value(int64(v)), nil
		}
	case float64:
		if t == cellProbability {
			return parquet.DoubleValue(v), nil
		}
	case schema.Decimal:
		if t == cellDecimal {
			return parquet.DoubleValue(v.Float64()), nil
		}
	case schema.Seconds:
		if t == cellSeconds {
			return parquet.DoubleValue(float64(v) / 1000), nil
		}
	}
	return parquet.Value{}, fmt.Errorf("a cell of type %T under type %v", v, t)
}

type writeBuffer []byte

func (b *writeBuffer) Write(p []byte) (int, error) {
	*b = slices.Concat(*b, p)
	return len(p), nil
}

// WriteParquet writes a table of records as one Parquet file, with the columns of
// the review in front.
func WriteParquet(w io.Writer, all []Sourced, name string) error {
	p := NewParquetWriter(w)
	if len(all) == 0 { // a table without rows has its columns all the same
		all = []Sourced{{Record: &schema.Record{}}}
	}
	for _, s := range all {
		t, _ := Named(s.Record, s.Changes, name)
		if err := p.Write(t.OfReview(s.Record)); err != nil {
			return err
		}
	}
	return p.Close()
}
