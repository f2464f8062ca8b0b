package export

import (
	"bytes"
	"testing"

	"saywatt/internal/export/testdata/full"
	"saywatt/schema"
)

// What the goldens show is a record that the program itself reads.
func TestFullRecordIsARecord(t *testing.T) {
	r, _ := full.Record(t)
	var b bytes.Buffer
	if err := r.Write(&b); err != nil {
		t.Fatal(err)
	}
	again, err := schema.ReadRecord(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	var c bytes.Buffer
	if err := again.Write(&c); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b.Bytes(), c.Bytes()) {
		t.Error("the record read and written again differs")
	}
}
