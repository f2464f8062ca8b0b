package main

import (
	"errors"
	"io"
	"path/filepath"

	"saywatt/internal/export/table"
	"saywatt/schema"
)

// tableFormats are the formats of emit that write one table.
var tableFormats = []string{"csv", "jsonl", "parquet", "xlsx"}

// defaultTable is the table written where none is named.
const defaultTable = "quantities"

// tableName is the table that is asked for.
func (c *emitCmd) tableName() string {
	if c.Table == "" {
		return defaultTable
	}
	return c.Table
}

// checkDescribe refuses --describe where there is no CSV file to stand beside.
func (c *emitCmd) checkDescribe() error {
	if c.Describe && (c.To != "csv" || c.Into == "" && (c.Out == "" || c.Out == stdinName)) {
		return errors.New("--describe goes with --to csv, and with --out or --into: it stands beside a file")
	}
	return nil
}

// describe writes what the columns of the table mean beside a CSV file.
func (c *emitCmd) describe(e *env, file string) error {
	t, _ := table.Named(&schema.Record{}, nil, c.tableName())
	t = t.OfReview(&schema.Record{})
	return e.output(file+table.MetadataSuffix, func(w io.Writer) error {
		return t.WriteMetadata(w, filepath.Base(file))
	})
}

// writeParquet writes a table of all records as one Parquet file.
func writeParquet(w io.Writer, all []table.Sourced, named string) error {
	p := table.NewParquetWriter(w)
	if len(all) == 0 { // a table without rows has its columns all the same
		t, _ := table.Named(&schema.Record{}, nil, named)
		if err := p.Write(t.OfReview(&schema.Record{})); err != nil {
			return err
		}
	}
	for _, s := range all {
		t, _ := table.Named(s.Record, s.Changes, named)
		if err := p.Write(t.OfReview(s.Record)); err != nil {
			return err
		}
	}
	return p.Close()
}
