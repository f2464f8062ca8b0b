package table

import (
	"bytes"
	"testing"

	"saywatt/internal/export/testdata/full"
)

func TestTableGoldens(t *testing.T) {
	r, _, changes := full.Changes(t)
	for _, name := range Names {
		tab, ok := Named(r, changes, name)
		if !ok || tab.Name != name || len(tab.Rows) == 0 && name != "shared-power" { // see TestSharedPowerTable
			t.Fatalf("table %s: %v, %d rows", name, ok, len(tab.Rows))
		}
		for i, row := range tab.Rows {
			if len(row) != len(tab.Columns) {
				t.Errorf("%s: row %d has %d cells, %d columns", name, i, len(row), len(tab.Columns))
			}
		}
		var b bytes.Buffer
		if err := tab.WriteCSV(&b, true); err != nil {
			t.Fatal(err)
		}
		if tab.Columns[len(tab.Columns)-1] == "id" && name != "ratings" { // more than the format of that name
			name += ".id"
		}
		full.Golden(t, "full."+name+".csv", b.Bytes())
	}
	if _, ok := Named(r, nil, "horoscope"); ok {
		t.Error("a table of no name")
	}
}
