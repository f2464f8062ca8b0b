package feed

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"sync"

	"saywatt/schema"
)

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
