package table

import (
	"bytes"

	"saywatt/internal/export/testdata/full"

	"testing"

	"saywatt/schema"
)

func TestLevelUnits(t *testing.T) {
	value := func(q string) *schema.Value { return &schema.Value{Quantity: schema.MustQuantity(q)} }
	for _, c := range []struct {
		value *schema.Value
		unit  schema.Unit
		top   bool
		want  string
	}{
		{value("3300 mV"), "V", false, "3.3"},
		{value("0.5 kV"), "V", true, "500"},
		{value("3.0 A"), "A", true, "3.0"},
		{value("2..3 A"), "A", true, "3"},
		{value("2..3 A"), "A", false, "2"},
		{value("65 W"), "A", true, ""}, // of another kind: no number is better than a wrong one
		{value("60 V.A"), "W", true, "60"},
		{nil, "W", true, ""},
	} {
		if got := CellText(in(c.value, c.unit, c.top)); got != c.want {
			t.Errorf("in(%v, %s, %v) = %q, want %q", c.value, c.unit, c.top, got, c.want)
		}
	}
}

func TestCell(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+5 V": "'+5 V", "-40 Cel": "'-40 Cel", "@cmd": "'@cmd", "＝1": "'＝1",
		"5 V = ok": "5 V = ok", "a\x1b[2Jb": `a\x1b[2Jb`, "two\nlines": "two lines", "": "",
	} {
		if got := CSVCell(in); got != want {
			t.Errorf("CSVCell(%q) = %q, want %q", in, got, want)
		}
	}
}

// The formats levels and components have settled columns.
func TestSettledColumns(t *testing.T) {
	r, _ := full.Record(t)
	for _, tab := range []Table{Levels(r), Components(r)} {
		var b bytes.Buffer
		if err := tab.WriteCSV(&b, true); err != nil {
			t.Fatal(err)
		}
		full.Golden(t, "full."+tab.Name+".csv", b.Bytes())
	}
}
