package main

import (
	"cmp"
	"errors"
	"io"
	"path/filepath"

	"saywatt/internal/export/table"
	"saywatt/schema"
)

// tableName is the table that is asked for.
func (c *emitCmd) tableName() string { return cmp.Or(c.Table, table.Default) }

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
