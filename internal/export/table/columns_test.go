package table

import (
	"bytes"
	"encoding/json"
	"testing"

	"saywatt/internal/export/testdata/full"
	"saywatt/schema"
)

// Every column of every table has a row in the dictionary, whose type its
// cells have, and every row is of a column.
func TestDictionary(t *testing.T) {
	r, _, changes := full.Changes(t)
	used := map[[2]string]bool{{"*", "review"}: true, {"*", "file"}: true}
	for _, tab := range All(r, changes) {
		for i, c := range tab.describe() {
			if c.Means == "" || c.Table != tab.Name {
				t.Errorf("%s: column %s is not in the dictionary", tab.Name, tab.Columns[i])
				continue
			}
			used[[2]string{tab.Name, c.Name}] = true
			for k, row := range tab.Rows {
				ok := true
				switch v := row[i].(type) {
				case nil:
				case string:
					ok = c.Type == cellString
				case int:
					ok = c.Type == cellInteger
				case float64:
					ok = c.Type == cellProbability && v >= 0 && v <= 1
				case schema.Decimal:
					ok = c.Type == cellDecimal
				case schema.Seconds:
					ok = c.Type == cellSeconds
				default:
					ok = false
				}
				if !ok {
					t.Errorf("%s: row %d: %s is %T %v, and a %v in the dictionary", tab.Name, k, c.Name, row[i], row[i],
						c.Type)
				}
			}
		}
	}
	for _, c := range loadDictionary().all {
		if !used[[2]string{c.Table, c.Name}] {
			t.Errorf("the dictionary has %s.%s, which no table has", c.Table, c.Name)
		}
		if c.Unit != "" && !relative(c.Unit) {
			if _, err := schema.ParseUnit(c.Unit); err != nil {
				t.Errorf("%s.%s: %v", c.Table, c.Name, err)
			}
		}
	}
	var b bytes.Buffer
	if err := WriteDictionary(&b); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "dictionary.csv", b.Bytes())
}

// The metadata beside CSV is what CSVW has, for a table with its review in
// front too.
func TestMetadata(t *testing.T) {
	r, _ := full.Record(t)
	tab, _ := Named(r, nil, "levels")
	var b bytes.Buffer
	if err := tab.OfReview(r).WriteMetadata(&b, "levels.csv"); err != nil {
		t.Fatal(err)
	}
	full.Golden(t, "levels.csv-metadata.json", b.Bytes())
	var m struct {
		Schema struct {
			Columns []struct{ Name string } `json:"columns"`
		} `json:"tableSchema"`
	}
	if err := json.Unmarshal(b.Bytes(), &m); err != nil || len(m.Schema.Columns) != len(tab.Columns)+2 {
		t.Errorf("%d columns, %v", len(m.Schema.Columns), err)
	}
}

// The powers of ports in use together have a row each and one for their total.
func TestSharedPowerTable(t *testing.T) {
	r := full.Claiming("output-shared USB-C+USB-A 45", "output-shared USB-C+USB-A 18?", "output-shared USB-C+USB-A 63",
		"output-shared A+B+C 30")
	tab, _ := Named(r, nil, "shared-power")
	var b bytes.Buffer
	if err := tab.WriteCSV(&b, false); err != nil {
		t.Fatal(err)
	}
	const want = "output-shared,USB-C+USB-A,each,USB-C,45,45,W,heard,0,,,\r\n" +
		"output-shared,USB-C+USB-A,each,USB-A,18,18,W,open,0,,,\r\n" +
		"output-shared,USB-C+USB-A,total,,63,63,W,heard,0,,,\r\n" +
		"output-shared,A+B+C,total,,30,30,W,heard,0,,,\r\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}
