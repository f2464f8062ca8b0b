// Package feed writes and reads what programs hand each other line by line: JSON Lines
// with stable ids that may be endless ([Write], [WriteRows]), a line for every quantity
// said ([WriteReadings]), and records read back, one at a time, from a feed or from
// JSON documents one after another ([ReadRecords], [EachDocument]).
//
// Rows are those of package table; a record is written by package schema. What is
// broken is reported with its line, and what stands behind it is read. The files:
// feed.go lines of the feed and their ids, readings.go quantities, documents.go JSON
// documents of one input, records.go what of them is a record.
package feed

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"strconv"

	"saywatt/internal/export/naming"
	"saywatt/internal/export/plainjson"
	"saywatt/internal/export/table"
	"saywatt/schema"
)

// feedVersion names the form of a line of the feed. It changes when a key
// changes its meaning or goes away.
const feedVersion = "saywatt/feed/1"

// A feedLine is one line of the feed: JSON Lines, UTF-8, each line whole by
// itself and written out before the next record is read.
//
//	feed    saywatt/feed/1
//	id      hash of the record: SHA-256, hexadecimal, of the record as one line
//	        of JSON (schema.Record.WriteLine, without its line end). The same
//	        record has the same id, whenever and wherever it was written.
//	source  hash of the captions, from the record: two readings of the same
//	        captions share it
//	record  the record
//
// A feed of a table has one line a row instead (see table.Names), in place of
// record the keys
//
//	record  id of the record the row is from
//	review  name of the review (naming.ReviewName), left out where it has none
//	file    name of the file that was read (see naming.ShownPath)
//	table   its name
//	row     its cells by column; numbers are numbers, empty cells are null
//
// and as id the SHA-256 of the JSON array [source, table, cells …, n], the
// cells as in row and n the number of equal rows before it in the record: a
// row keeps its id while what it says stays the same, whatever else in the
// record changes. So facts computed elsewhere can be joined to rows by id, and
// to records by record or source.
type feedLine struct {
	Feed   string          `json:"feed"`
	ID     string          `json:"id"`
	Source string          `json:"source"`
	Record json.RawMessage `json:"record"`
	Review string          `json:"review,omitempty"`
	File   string          `json:"file,omitempty"`
	Table  string          `json:"table,omitempty"`
	Row    json.RawMessage `json:"row,omitempty"`
}

// Write writes a record as one line of the feed.
func Write(w io.Writer, r *schema.Record) error {
	line, id, err := identified(r)
	if err != nil {
		return err
	}
	return plainjson.WriteLine(w, feedLine{Feed: feedVersion, ID: id, Source: r.Source.SHA256, Record: line})
}

// WriteRows writes the rows of a table of a record as lines of the feed.
func WriteRows(w io.Writer, r *schema.Record, t table.Table) error {
	_, record, err := identified(r)
	if err != nil {
		return err
	}
	return WriteRowsOf(w, record, r, t)
}

// WriteRowsOf is WriteFeedRows where the id of the record is known.
func WriteRowsOf(w io.Writer, record string, r *schema.Record, t table.Table) error {
	seen := map[string]int{}
	for _, row := range t.Rows {
		var object, cells bytes.Buffer
		object.WriteByte('{')
		for i, v := range row {
			cell, err := cellJSON(v)
			if err != nil {
				return err
			}
			if i > 0 {
				object.WriteByte(',')
			}
			object.WriteString(strconv.Quote(t.Columns[i]) + ":")
			object.Write(cell)
			cells.WriteByte(',')
			cells.Write(cell)
		}
		object.WriteByte('}')
		n := seen[cells.String()]
		seen[cells.String()]++
		key := fmt.Sprintf("[%s,%s%s,%d]", strconv.Quote(r.Source.SHA256), strconv.Quote(t.Name), cells.String(), n)
		line := feedLine{Feed: feedVersion, ID: hashOf([]byte(key)), Source: r.Source.SHA256,
			Review: naming.ReviewName(&r.Source),
			File:   naming.ShownFile(&r.Source), Table: t.Name, Row: object.Bytes()}
		line.Record, _ = json.Marshal(record) // a string
		if err := plainjson.WriteLine(w, line); err != nil {
			return err
		}
	}
	return nil
}

// identified returns a record as one line of JSON, and its id.
func identified(r *schema.Record) (line json.RawMessage, id string, err error) {
	var b bytes.Buffer
	if err := r.WriteLine(&b); err != nil {
		return nil, "", err
	}
	line = bytes.TrimSuffix(b.Bytes(), []byte("\n"))
	return line, hashOf(line), nil
}

func hashOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// cellJSON writes a cell of a table: unlike in CSV, texts are as they are.
func cellJSON(v any) ([]byte, error) {
	switch v := v.(type) {
	case nil:
		return []byte("null"), nil
	case string:
		if v == "" {
			return []byte("null"), nil
		}
		return marshalPlain(v)
	}
	return marshalPlain(v)
}

// marshalPlain writes JSON with <, > and & as they are.
func marshalPlain(v any) ([]byte, error) {
	var b bytes.Buffer
	if err := plainjson.WriteLine(&b, v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}
