package schema

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"
)

// A record written piece by piece is what encoding/json makes of the whole.
func TestWriteIsEncodingJSON(t *testing.T) {
	said := func(i int) Said {
		q := MustQuantity("3.25 A")
		return Said{Number: i + 1, Heard: `"quantities": [] <3.25> & "quantities":[] amps`, Kind: KindCurrent, Quantity: q, Status: StatusOpen, Confidence: 0.5,
			Readings: []Reading{{Quantity: q, Confidence: 0.5, Terms: []Term{{Name: "prior", Score: -1.5}}}},
			Why:      []string{"so"}}
	}
	for _, n := range []int{0, 1, 2, 5000} { // the last is more than one piece
		r := Record{Version: RecordVersion, Source: Source{File: `"quantities":[]`, Problems: []string{`"quantities": []`}}, Cautions: []string{`"quantities":[]`},
			Quantities: []Said{}}
		for i := range n {
			r.Quantities = append(r.Quantities, said(i))
		}
		var line, document, wantLine, wantDocument bytes.Buffer
		e := json.NewEncoder(&wantLine)
		e.SetEscapeHTML(false)
		f := json.NewEncoder(&wantDocument)
		f.SetEscapeHTML(false)
		f.SetIndent("", "  ")
		for _, err := range []error{r.WriteLine(&line), r.Write(&document), e.Encode(&r), f.Encode(&r)} {
			if err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(line.Bytes(), wantLine.Bytes()) {
			t.Errorf("%d quantities: the line differs", n)
		}
		if !bytes.Equal(document.Bytes(), wantDocument.Bytes()) {
			t.Errorf("%d quantities: the document differs: %.2000s", n, document.Bytes())
		}
	}
	if err := (&Record{Version: RecordVersion, Quantities: []Said{{}}}).WriteLine(new(bytes.Buffer)); err == nil {
		t.Error("a quantity without kind was written")
	}
	r := Record{Version: RecordVersion}
	for i := range 5000 {
		r.Quantities = append(r.Quantities, said(i))
	}
	if err := r.WriteLine(broken{}); err != errBroken {
		t.Errorf("a broken writer gives %v", err)
	}
}

var errBroken = fmt.Errorf("broken")

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errBroken }
