package feed

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saywatt/internal/export/table"
	"saywatt/internal/export/testdata/full"
	"saywatt/schema"
)

// The id of a record is the SHA-256 of its line, as anybody can compute it; a
// feed read again gives the same records and ids.
func TestFeedRoundTrip(t *testing.T) {
	r, _ := full.Record(t)
	var feed bytes.Buffer
	for range 2 {
		if err := Write(&feed, r); err != nil {
			t.Fatal(err)
		}
	}
	var line struct {
		Feed, ID, Source string
		Record           json.RawMessage
	}
	first, _, _ := strings.Cut(feed.String(), "\n")
	if err := json.Unmarshal([]byte(first), &line); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(line.Record)
	if line.Feed != "saywatt/feed/1" || line.ID != hex.EncodeToString(sum[:]) || line.Source != r.Source.SHA256 {
		t.Errorf("line %+v", line)
	}
	var again bytes.Buffer
	if err := ReadRecords(bytes.NewReader(feed.Bytes()), 1<<20,
		func(r *schema.Record, _ *Document) error { return Write(&again, r) }, nil); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(feed.Bytes(), again.Bytes()) {
		t.Error("the feed read and written again differs")
	}
}

// Rows have ids of their own, equal rows different ones; what else is in the
// record does not change them.
func TestFeedRows(t *testing.T) {
	r, _ := full.Record(t)
	r.Levels = append(r.Levels, r.Levels[1]) // said twice
	ids := func() []string {
		tab, _ := table.Named(r, nil, "levels")
		var b bytes.Buffer
		if err := WriteRows(&b, r, tab); err != nil {
			t.Fatal(err)
		}
		var all []string
		for d := json.NewDecoder(&b); ; {
			var line struct {
				ID, Table, Record string
				Row               map[string]any
			}
			if err := d.Decode(&line); err == io.EOF {
				return all
			} else if err != nil {
				t.Fatal(err)
			}
			if line.Table != "levels" || len(line.Record) != 64 || len(line.Row) != len(tab.Columns) {
				t.Errorf("line %+v", line)
			}
			if v, ok := line.Row["v_high"].(float64); !ok || v <= 0 {
				t.Errorf("v_high is %v", line.Row["v_high"])
			}
			all = append(all, line.ID)
		}
	}
	before := ids()
	seen := map[string]bool{}
	for _, id := range before {
		if seen[id] {
			t.Errorf("two rows have the id %s", id)
		}
		seen[id] = true
	}
	if len(before) != len(r.Levels) {
		t.Fatalf("%d lines for %d levels", len(before), len(r.Levels))
	}
	r.Product.Name = "Another name"
	r.Levels = append(r.Levels, schema.Level{Mode: "input", Voltage: r.Levels[0].Voltage})
	if d := cmp.Diff(before, ids()[:len(before)]); d != "" {
		t.Errorf("ids changed (-before +after):\n%s", d)
	}
	r.Levels[1].Port = "USB-C2"
	if after := ids(); after[1] == before[1] {
		t.Error("a row that says something else kept its id")
	}
}

// The id of a row is what the format's specification says: computed by hand.
func TestRowID(t *testing.T) {
	r := &schema.Record{Version: schema.RecordVersion, Source: schema.Source{SHA256: "ab"}}
	tab := table.Table{Name: "t", Columns: []string{"a", "b", "c"},
		Rows: [][]any{{"x<y", nil, schema.MustDecimal("3.50")}}}
	var b bytes.Buffer
	if err := WriteRows(&b, r, tab); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256([]byte(`["ab","t","x<y",null,3.50,0]`))
	if want := `"id":"` + hex.EncodeToString(sum[:]) + `"`; !strings.Contains(b.String(), want) {
		t.Errorf("%s does not have %s", b.String(), want)
	}
	if want := `"row":{"a":"x<y","b":null,"c":3.50}`; !strings.Contains(b.String(), want) {
		t.Errorf("%s does not have %s", b.String(), want)
	}
}

func TestReadRecordsErrors(t *testing.T) {
	r, _ := full.Record(t)
	var line, document, feed bytes.Buffer
	r.WriteLine(&line)
	r.Write(&document)
	Write(&feed, r)
	stop := errors.New("enough")
	for _, c := range []struct {
		name, in string
		limit    int64
		records  int
		err      string
	}{
		{"none", " \n", 1 << 20, 0, ""},
		{"lines, documents and a feed", line.String() + document.String() + feed.String(), 1 << 20, 3, ""},
		{"byte order mark", "\ufeff" + line.String(), 1 << 20, 1, ""},
		{"half a record", line.String() + line.String()[:200], 1 << 20, 1, "record 2, line 2: unexpected EOF"},
		{"no JSON", line.String() + "WEBVTT", 1 << 20, 1, "record 2, line 2: this is no JSON from column 1 on"},
		{"unknown field", line.String() + `{"horoscope":1}`, 1 << 20, 1, `record 2, line 2: record: json: unknown field "horoscope"`},
		{"another feed", `{"feed":"saywatt/feed/9"}`, 1 << 20, 0, "record 1, line 1: " + errFeed.Error()},
		{"rows", `{"feed":"saywatt/feed/1","table":"levels","record":"ab","row":{}}`, 1 << 20, 0, "record 1, line 1: " + ErrRows.Error()},
		{"too large", line.String(), 1000, 0, "record 1, line 1: " + ErrLargeRecord.Error()},
		{"stopped", line.String() + line.String(), 1 << 20, 1, "enough"},
	} {
		n := 0
		err := ReadRecords(strings.NewReader(c.in), c.limit, func(*schema.Record, *Document) error {
			n++
			if c.name == "stopped" {
				return stop
			}
			return nil
		}, nil)
		if n != c.records || (err == nil) != (c.err == "") || err != nil && !strings.HasPrefix(err.Error(), c.err) {
			t.Errorf("%s: %d records, %v; want %d, %s", c.name, n, err, c.records, c.err)
		}
	}
}

// endless is a feed without end, of which so many records are read.
type endless struct {
	line []byte
	left []byte
	n    int
}

func (e *endless) Read(p []byte) (int, error) {
	if len(e.left) == 0 {
		if e.n == 0 {
			return 0, io.EOF
		}
		e.n--
		e.left = e.line
	}
	n := copy(p, e.left)
	e.left = e.left[n:]
	return n, nil
}

// A feed takes the memory of a record, however long it is.
func TestEndlessFeed(t *testing.T) {
	r, _ := full.Record(t)
	var line bytes.Buffer
	r.WriteLine(&line)
	const records = 1000
	n, most := 0, uint64(0)
	var before runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	err := ReadRecords(&endless{line: line.Bytes(), n: records}, 1<<20, func(r *schema.Record, _ *Document) error {
		if n++; n%200 == 0 {
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapAlloc)
		}
		return Write(io.Discard, r)
	}, nil)
	if err != nil || n != records {
		t.Fatal(n, err)
	}
	if most > before.HeapAlloc+4<<20 {
		t.Errorf("%d records of %d bytes held %d bytes of memory", records, line.Len(), most-before.HeapAlloc)
	}
}

func FuzzReadRecords(f *testing.F) {
	f.Add([]byte(`{"feed":"saywatt/feed/1","record":{"version":"saywatt/record/1"}}`))
	f.Add([]byte(`{"version":"saywatt/record/1","source":{"file":"","sha256":"","format":""},"product":{},"body":{},"quantities":[],"counts":{"said":0,"heard":0,"repaired":0,"open":0,"settled":0,"unplaced":0,"withdrawn":0},"cautions":[]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var out bytes.Buffer
		if err := ReadRecords(bytes.NewReader(b), 1<<20, func(r *schema.Record, _ *Document) error {
			for _, tab := range table.All(r, nil) {
				if err := tab.WriteCSV(io.Discard, true); err != nil {
					return err
				}
			}
			return Write(&out, r)
		}, nil); err != nil {
			return
		}
		again := new(bytes.Buffer)
		if err := ReadRecords(bytes.NewReader(out.Bytes()), 4<<20,
			func(r *schema.Record, _ *Document) error { return Write(again, r) }, nil); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(out.Bytes(), again.Bytes()) {
			t.Fatal("the feed read and written again differs")
		}
	})
}

func BenchmarkFeed(b *testing.B) {
	r, _ := full.Record(b)
	var line bytes.Buffer
	r.WriteLine(&line)
	b.SetBytes(int64(line.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if err := ReadRecords(bytes.NewReader(line.Bytes()), 1<<20,
			func(r *schema.Record, _ *Document) error { return Write(io.Discard, r) }, nil); err != nil {
			b.Fatal(err)
		}
	}
}
