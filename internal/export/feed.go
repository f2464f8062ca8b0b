package export

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
	"sync"

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
// A feed of a table has one line a row instead (see TableNames), in place of
// record the keys
//
//	record  id of the record the row is from
//	review  name of the review (ReviewName), left out where it has none
//	file    name of the file that was read (see ShownPath)
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

// WriteFeed writes a record as one line of the feed.
func WriteFeed(w io.Writer, r *schema.Record) error {
	line, id, err := identified(r)
	if err != nil {
		return err
	}
	return WriteJSONLine(w, feedLine{Feed: feedVersion, ID: id, Source: r.Source.SHA256, Record: line})
}

// WriteFeedRows writes the rows of a table of a record as lines of the feed.
func WriteFeedRows(w io.Writer, r *schema.Record, t Table) error {
	_, record, err := identified(r)
	if err != nil {
		return err
	}
	return WriteFeedRowsOf(w, record, r, t)
}

// WriteFeedRowsOf is WriteFeedRows where the id of the record is known.
func WriteFeedRowsOf(w io.Writer, record string, r *schema.Record, t Table) error {
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
			Review: ReviewName(&r.Source),
			File:   shownFile(&r.Source), Table: t.Name, Row: object.Bytes()}
		line.Record, _ = json.Marshal(record) // a string
		if err := WriteJSONLine(w, line); err != nil {
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
	if err := WriteJSONLine(&b, v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// IsRecords reports whether text is of records rather than captions; see
// TellRecords. What could be either is taken for a record.
func IsRecords(text []byte) bool {
	records, _ := TellRecords(text)
	return records
}

// TellRecords distinguishes records and feeds from captions, which may be JSON too, by
// the beginning of the text: an object whose first member is one of a record or
// of a line of the feed. known is false where more bytes may change the answer.
func TellRecords(head []byte) (records, known bool) {
	const mark = "\ufeff"
	if strings.HasPrefix(mark, string(head)) {
		return false, false
	}
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte(mark)), " \t\r\n")
	if len(head) == 0 {
		return false, false
	}
	if head[0] != '{' {
		return false, true
	}
	if head = head[1:]; len(head) > 0 && (head[0] >= '0' && head[0] <= '9' || head[0] == '\\') {
		return false, true // what other forms of captions have behind a brace
	}
	head = bytes.TrimLeft(head, " \t\r\n")
	if len(head) == 0 {
		return true, false
	}
	if head[0] != '"' {
		return true, true
	}
	name, rest, whole := bytes.Cut(head[1:], []byte(`"`))
	switch {
	case !whole:
		return len(name) <= maxMember, len(name) > maxMember
	case !recordMembers()[string(name)]:
		return false, true
	case string(name) != "version":
		return true, true
	}
	// Captions in JSON may have a version too; that of a record is ours.
	const ours = `"saywatt/`
	rest = bytes.TrimLeft(rest, " \t\r\n:")
	if len(rest) < len(ours) {
		may := strings.HasPrefix(ours, string(rest))
		return may, !may
	}
	return bytes.HasPrefix(rest, []byte(ours)), true
}

// RecordBehind reports whether a line behind the first begins a record or a line of the
// feed: what stands before it is stray, since no captions have such lines.
func RecordBehind(head []byte) bool {
	for at := bytes.IndexByte(head, '\n'); at >= 0; {
		head = bytes.TrimLeft(head[at+1:], " \t\r\n")
		if isOurs(head) {
			return true
		}
		at = bytes.IndexByte(head, '\n')
	}
	return false
}

// isOurs reports whether text begins with an object that says in its first member that
// it is a record or a line of the feed.
func isOurs(text []byte) bool {
	for _, want := range []string{"{", `"`} {
		rest, ok := bytes.CutPrefix(text, []byte(want))
		if !ok {
			return false
		}
		text = bytes.TrimLeft(rest, " \t\r\n")
	}
	name, rest, _ := bytes.Cut(text, []byte(`"`))
	if string(name) != "version" && string(name) != "feed" {
		return false
	}
	return bytes.HasPrefix(bytes.TrimLeft(rest, " \t\r\n:"), []byte(`"saywatt/`))
}

// maxMember is room for the longest name of a member.
const maxMember = 64

// recordMembers are the members of a record and of a line of the feed.
var recordMembers = sync.OnceValue(func() map[string]bool {
	all := map[string]bool{}
	for _, t := range []reflect.Type{reflect.TypeFor[schema.Record](), reflect.TypeFor[feedLine]()} {
		for i := range t.NumField() {
			name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			all[name] = true
		}
	}
	for _, name := range []string{"id", "file", "review"} { // other documents begin with one
		delete(all, name)
	}
	return all
})

// Errors of reading records.
var (
	ErrLargeRecord = errors.New("a record is larger than allowed")
	errFeed        = errors.New("a feed of an unknown version")
	ErrRows        = errors.New("rows of a table, and not records: " +
		"those are what \"emit --to jsonl\" writes without --table")
)

// ReadRecords reads records as they come, JSON documents one after another or
// lines of the feed, and hands each to do before the next is read: a feed may
// be endless, and takes the memory of one record. Records are read strictly
// (schema.ReadRecord). One that cannot be read goes to broken, and those behind
// it are read (EachDocument); nil for broken ends the reading with its error. An
// error of do or broken ends it too, and is returned as it is.
func ReadRecords(r io.Reader, limit int64, do func(*schema.Record, *Document) error,
	broken func(*DocumentError) error) error {
	if broken == nil {
		broken = func(e *DocumentError) error { return e }
	}
	return EachDocument(r, limit, func(d *Document) error {
		rec, err := readOne(d.Text)
		if err != nil {
			return broken(&DocumentError{Number: d.Number, Line: d.Line, Err: err})
		}
		return do(rec, d)
	}, broken)
}

// readOne reads a record, or the record of a line of the feed.
func readOne(raw json.RawMessage) (*schema.Record, error) {
	var line struct {
		Feed   string          `json:"feed"`
		Table  string          `json:"table"`
		Record json.RawMessage `json:"record"`
	}
	if err := json.Unmarshal(raw, &line); err == nil && line.Feed != "" {
		switch {
		case line.Feed != feedVersion:
			return nil, errFeed
		case line.Table != "":
			return nil, ErrRows
		case len(line.Record) == 0:
			return nil, fmt.Errorf("record: %w: record", schema.ErrMissing)
		}
		if err := schema.CheckKeys(raw); err != nil {
			return nil, err
		}
		raw = line.Record
	}
	rec, err := schema.ReadRecord(bytes.NewReader(raw))
	if err == nil && rec.Source.File == "" {
		return nil, fmt.Errorf("record: %w: source.file", schema.ErrMissing)
	}
	return rec, err
}

// budget lets through so many bytes for each record.
type budget struct {
	r           io.Reader
	limit, left int64
}

func (b *budget) Read(p []byte) (int, error) {
	if b.left <= 0 {
		return 0, ErrLargeRecord
	}
	if int64(len(p)) > b.left {
		p = p[:b.left]
	}
	n, err := b.r.Read(p)
	b.left -= int64(n)
	return n, err
}

// RecordOf gives the record of a line of the feed, and any other document as it
// is.
func RecordOf(document []byte) []byte {
	var line struct {
		Feed   string          `json:"feed"`
		Record json.RawMessage `json:"record"`
	}
	if err := json.Unmarshal(document, &line); err == nil && line.Feed != "" && len(line.Record) > 0 &&
		line.Record[0] == '{' {
		return line.Record
	}
	return document
}
