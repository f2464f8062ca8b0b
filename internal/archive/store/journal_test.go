package store

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"saywatt/schema"
)

var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func line(t testing.TB, d *Decision) []byte {
	t.Helper()
	b, err := AppendLine(nil, d)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.TrimSuffix(b, []byte("\n"))
}

var sampleDecisions = []*Decision{
	{When: noon, Who: "Ada", Act: ActAdded, Review: "tarn", Version: 2, Record: strings.Repeat("ab", 32), Source: strings.Repeat("cd", 32), Product: `Tarn "65"`},
	{When: noon, Act: ActReopened, Review: "tarn", Span: &schema.Span{Start: 3, End: 9}, Heard: "325 amps", Note: "a\nb"},
	{When: noon, Act: ActRemoved, Review: "größe"},
}

func TestLinesReadAsWritten(t *testing.T) {
	for _, d := range sampleDecisions {
		b := line(t, d)
		if bytes.ContainsRune(b, '\n') {
			t.Errorf("a line has a line break: %s", b)
		}
		got, err := parseLine(b)
		if err != nil || !reflect.DeepEqual(got, d) {
			t.Errorf("%s reads as %+v, %v", b, got, err)
		}
	}
}

// No single flipped bit and no cut goes unnoticed.
func TestEveryFlippedBitIsNoticed(t *testing.T) {
	for _, d := range sampleDecisions {
		whole := line(t, d)
		for i := range whole {
			for bit := range 8 {
				b := bytes.Clone(whole)
				b[i] ^= 1 << bit
				if got, err := parseLine(b); err == nil {
					t.Fatalf("byte %d, bit %d: reads as %+v", i, bit, got)
				}
			}
			if _, err := parseLine(whole[:i]); err == nil {
				t.Fatalf("cut at %d: reads", i)
			}
		}
	}
	if _, err := parseLine([]byte(`{"when":1}`)); !errors.Is(err, errHalfLine) {
		t.Errorf("a line without checksum: %v", err)
	}
}

func FuzzParseLine(f *testing.F) {
	for _, d := range sampleDecisions {
		f.Add(line(f, d))
	}
	f.Add([]byte(`{"a":1,"check":"00000000"}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		d, err := parseLine(b)
		if err != nil {
			return
		}
		again, err := AppendLine(nil, d)
		if err != nil {
			return // a time that JSON cannot hold
		}
		if got, err := parseLine(bytes.TrimSuffix(again, []byte("\n"))); err != nil || !got.When.Equal(d.When) ||
			got.Review != d.Review {
			t.Fatalf("%s is written %s, which reads as %+v, %v", b, again, got, err)
		}
	})
}
