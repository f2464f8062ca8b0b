package export

import (
	"bytes"
	"testing"

	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/schema"

	ours "saywatt/schema"
)

// arrowTypes are the types that a data frame has for ours: the physical one, and
// what it is taken as.
var arrowTypes = map[cellType]struct {
	physical parquet.Type
	logical  schema.LogicalType
}{
	cellString:      {parquet.Types.ByteArray, schema.StringLogicalType{}},
	cellInteger:     {parquet.Types.Int64, schema.NewIntLogicalType(64, true)},
	cellDecimal:     {parquet.Types.Double, schema.NoLogicalType{}},
	cellProbability: {parquet.Types.Double, schema.NoLogicalType{}},
	cellSeconds:     {parquet.Types.Double, schema.NoLogicalType{}},
}

// Every table is read by the reader of Apache Arrow, which shares no code with
// what wrote it: names and types of columns, rows, and each cell.
func TestParquetReadByArrow(t *testing.T) {
	r, _, changes := fullChanges(t)
	for _, tab := range Tables(r, changes) {
		tab = tab.OfReview(r)
		var b bytes.Buffer
		w := NewParquetWriter(&b)
		if err := w.Write(tab); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		f, err := file.NewParquetReader(bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatalf("%s: %v", tab.Name, err)
		}
		if f.NumRows() != int64(len(tab.Rows)) || f.NumRowGroups() != min(len(tab.Rows), 1) ||
			f.MetaData().Schema.NumColumns() != len(tab.Columns) {
			t.Fatalf("%s: %d rows of %d in %d groups, %d columns", tab.Name, f.NumRows(), len(tab.Rows),
				f.NumRowGroups(), f.MetaData().Schema.NumColumns())
		}
		for i, c := range tab.describe() {
			column := f.MetaData().Schema.Column(i)
			want := arrowTypes[c.Type]
			if column.Name() != c.Name || column.PhysicalType() != want.physical ||
				!column.LogicalType().Equals(want.logical) {
				t.Errorf("%s: column %d is %s, want %s, %s", tab.Name, i, column, c.Name, c.Type)
				continue
			}
			if len(tab.Rows) == 0 {
				continue
			}
			chunk, err := f.RowGroup(0).Column(i)
			if err != nil {
				t.Fatal(err)
			}
			checkChunk(t, tab, i, chunk)
		}
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	}
}

// checkChunk holds what a column was read as against the cells of the table.
func checkChunk(t *testing.T, tab Table, i int, chunk file.ColumnChunkReader) {
	t.Helper()
	n := len(tab.Rows)
	defined := make([]int16, n)
	var cells []any // those that are not null
	var err error
	switch chunk := chunk.(type) {
	case *file.ByteArrayColumnChunkReader:
		values := make([]parquet.ByteArray, n)
		var read int
		_, read, err = chunk.ReadBatch(int64(n), values, defined, nil)
		for _, v := range values[:read] {
			cells = append(cells, string(v))
		}
	case *file.Int64ColumnChunkReader:
		values := make([]int64, n)
		var read int
		_, read, err = chunk.ReadBatch(int64(n), values, defined, nil)
		for _, v := range values[:read] {
			cells = append(cells, v)
		}
	case *file.Float64ColumnChunkReader:
		values := make([]float64, n)
		var read int
		_, read, err = chunk.ReadBatch(int64(n), values, defined, nil)
		for _, v := range values[:read] {
			cells = append(cells, v)
		}
	default:
		t.Fatalf("%s.%s: read by %T", tab.Name, tab.Columns[i], chunk)
	}
	if err != nil {
		t.Fatal(err)
	}
	for k, row := range tab.Rows {
		var got any
		if defined[k] == 1 && len(cells) > 0 {
			got, cells = cells[0], cells[1:]
		}
		if want := asRead(row[i]); got != want {
			t.Errorf("%s.%s, row %d: %v, want %v", tab.Name, tab.Columns[i], k, got, want)
		}
	}
	if len(cells) > 0 {
		t.Errorf("%s.%s: %d cells too many", tab.Name, tab.Columns[i], len(cells))
	}
}

// asRead is a cell as a reader of Parquet has it.
func asRead(cell any) any {
	switch v := cell.(type) {
	case nil:
		return nil
	case string:
		if v == "" {
			return nil
		}
		return v
	case int:
		return int64(v)
	case ours.Decimal:
		return v.Float64()
	case ours.Seconds:
		return float64(v) / 1000
	}
	return cell
}
