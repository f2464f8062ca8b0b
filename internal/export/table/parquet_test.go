package table

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"saywatt/internal/export/testdata/full"
	"saywatt/schema"
)

// Every table, written as Parquet and read again, has its columns in order,
// its numbers as numbers and its empty cells as null.
func TestParquet(t *testing.T) {
	r, _, changes := full.Changes(t)
	for _, tab := range All(r, changes) {
		tab = tab.OfReview(r)
		var b, again bytes.Buffer
		for _, to := range []*bytes.Buffer{&b, &again} {
			w := NewParquetWriter(to)
			for range 2 { // two records
				if err := w.Write(tab); err != nil {
					t.Fatal(err)
				}
			}
			if err := w.Close(); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(b.Bytes(), again.Bytes()) {
			t.Errorf("%s: the same record gave other bytes", tab.Name)
		}
		f, err := parquet.OpenFile(bytes.NewReader(b.Bytes()), int64(b.Len()))
		if err != nil {
			t.Fatal(tab.Name, err)
		}
		columns := f.Schema().Columns()
		if len(columns) != len(tab.Columns) {
			t.Fatalf("%s: columns %v", tab.Name, columns)
		}
		for i, c := range columns {
			if len(c) != 1 || c[0] != tab.Columns[i] {
				t.Errorf("%s: column %d is %v, want %s", tab.Name, i, c, tab.Columns[i])
			}
		}
		if about, ok := f.Lookup("csvw"); !ok || !strings.Contains(about, `"tableSchema"`) {
			t.Errorf("%s: no meanings: %q", tab.Name, about)
		}
		if f.NumRows() != int64(2*len(tab.Rows)) {
			t.Errorf("%s: %d rows, want %d", tab.Name, f.NumRows(), 2*len(tab.Rows))
		}
		for _, g := range f.RowGroups() {
			rows := g.Rows()
			buf := make([]parquet.Row, 1)
			for k := 0; ; k++ {
				n, err := rows.ReadRows(buf)
				if n == 0 && err == io.EOF {
					break
				}
				for i, v := range tab.Rows[k%len(tab.Rows)] {
					checkParquet(t, tab.Name+"."+tab.Columns[i], v, buf[0][i])
				}
			}
			rows.Close()
		}
	}
}

func checkParquet(t *testing.T, where string, want any, got parquet.Value) {
	t.Helper()
	ok := got.IsNull()
	switch v := want.(type) {
	case string:
		ok = v == "" && got.IsNull() || got.String() == v
	case int:
		ok = got.Int64() == int64(v)
	case float64:
		ok = got.Double() == v
	case schema.Decimal:
		ok = got.Double() == v.Float64()
	case schema.Seconds:
		ok = got.Double() == float64(v)/1000
	}
	if !ok {
		t.Errorf("%s: %v, want %v", where, got, want)
	}
}

// A cell that is not of its column's type is refused, and so is another table.
// Many rows are written in groups, so that they are not all in memory.
func TestParquetGroups(t *testing.T) {
	r, _, changes := full.Changes(t)
	tab, _ := Named(r, changes, "findings")
	tab = tab.OfReview(r)
	few := tab
	for len(tab.Rows) < rowsOfGroup {
		tab.Rows = append(tab.Rows, tab.Rows...)
	}
	var b bytes.Buffer
	w := NewParquetWriter(&b)
	for _, part := range []Table{few, tab, few} {
		if err := w.Write(part); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	f, err := parquet.OpenFile(bytes.NewReader(b.Bytes()), int64(b.Len()))
	want := int64(2*len(few.Rows) + len(tab.Rows))
	if err != nil || f.NumRows() != want || len(f.RowGroups()) != 2 {
		t.Errorf("%d rows of %d in %d groups, %v", f.NumRows(), want, len(f.RowGroups()), err)
	}
}

func TestParquetRefuses(t *testing.T) {
	w := NewParquetWriter(io.Discard)
	if err := w.Close(); err == nil {
		t.Error("a file of no table")
	}
	if err := w.Write(Table{Name: "levels", Columns: []string{"at"}, Rows: [][]any{{"soon"}}}); err == nil {
		t.Error("text in a column of seconds")
	}
	if err := w.Write(Table{Name: "ear", Columns: []string{"at"}}); err == nil {
		t.Error("another table in the same file")
	}
}
