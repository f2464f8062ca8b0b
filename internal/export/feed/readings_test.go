package feed

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"saywatt/internal/export/testdata/full"
	"saywatt/schema"
)

func readingsOf(t *testing.T, r *schema.Record) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteReadings(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestReadingsGolden(t *testing.T) {
	r, _ := full.Record(t)
	full.Golden(t, "full.readings.jsonl", readingsOf(t, r))
}

// Every line of the readings format carries the contract's keys in order, and
// quotes the bytes of its span.
// What was heard is words with single spaces, whatever stands between them in
// the bytes of the span: those are in the source, in their order.
func TestReadingsQuoteTheSource(t *testing.T) {
	r, source := full.Record(t)
	d := json.NewDecoder(bytes.NewReader(readingsOf(t, r)))
	d.UseNumber()
	n := 0
	for ; ; n++ {
		var line struct {
			Span  [2]int
			Heard string
			Why   []string
		}
		if err := d.Decode(&line); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		if want := strings.Join(strings.Fields(line.Heard), " "); line.Heard != want || want == "" {
			t.Errorf("line %d: heard %q", n+1, line.Heard)
		}
		rest := string(source[line.Span[0]:line.Span[1]])
		for _, word := range strings.Fields(line.Heard) {
			_, after, ok := strings.Cut(rest, word)
			if !ok {
				t.Errorf("line %d: heard %q, and %q is not in %q", n+1, line.Heard, word, rest)
			}
			rest = after
		}
		if line.Why == nil {
			t.Errorf("line %d: why is not a list", n+1)
		}
	}
	if n != r.Counts.Said {
		t.Errorf("%d lines, %d quantities said", n, r.Counts.Said)
	}
}

// The words of a record are said though the source is another encoding.
func TestReadingsOfUTF16(t *testing.T) {
	r := &schema.Record{Quantities: []schema.Said{{
		Number: 1, Span: schema.Span{Start: 2, End: 8}, Heard: "5 Ω", Kind: schema.KindResistance,
		Quantity: schema.MustQuantity("5 Ohm"), Status: schema.StatusHeard, Confidence: 1,
	}}}
	got := string(readingsOf(t, r))
	want := `{"file":"","at":null,"span":[2,8],"heard":"5 Ω","kind":"resistance","value":5,"unit":"Ohm","status":"heard",` +
		`"confidence":1,"readings":[],"place":"","why":[]}` + "\n"
	if got != want {
		t.Errorf("got  %swant %s", got, want)
	}
}
