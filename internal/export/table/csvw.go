package table

import (
	"io"

	"saywatt/internal/export/plainjson"
)

// MetadataSuffix is what the name of a CSV file has behind it in the name of
// the metadata beside it (W3C, "Model for Tabular Data and Metadata on the
// Web", 5.3: Standard Metadata location).
const MetadataSuffix = "-metadata.json"

// The metadata of a CSV file, as W3C "Metadata Vocabulary for Tabular Data"
// (CSVW, 2015) has it: where the table is, and of each column its name, type,
// bounds and meaning. A unit is described with the vocabulary of QUDT by its UCUM
// code; one that another column names is in the meaning.
type (
	csvwTable struct {
		Context string     `json:"@context"`
		URL     string     `json:"url"`
		Title   string     `json:"dc:title"`
		Schema  csvwSchema `json:"tableSchema"`
	}
	csvwSchema struct {
		Columns []csvwColumn `json:"columns"`
	}
	csvwColumn struct {
		Name        string `json:"name"`
		Titles      string `json:"titles"`
		Description string `json:"dc:description"`
		Datatype    any    `json:"datatype"`
		Unit        string `json:"http://qudt.org/schema/qudt/ucumCode,omitempty"`
	}
	csvwNumber struct {
		Base    string   `json:"base"`
		Minimum *float64 `json:"minimum,omitempty"`
		Maximum *float64 `json:"maximum,omitempty"`
	}
)

// WriteMetadata writes the metadata of the table as a CSV file of the given
// name, which is a name or an address beside the metadata.
func (t Table) WriteMetadata(w io.Writer, name string) error {
	m := csvwTable{Context: "http://www.w3.org/ns/csvw", URL: name, Title: t.Name}
	for _, c := range t.describe() {
		col := csvwColumn{Name: c.Name, Titles: c.Name, Description: c.Means, Datatype: "string"}
		if c.Unit != "" && !relative(c.Unit) {
			col.Unit = c.Unit
		}
		zero, one := 0.0, 1.0
		switch c.Type {
		case cellInteger:
			col.Datatype = "integer"
		case cellDecimal:
			col.Datatype = "decimal"
		case cellProbability:
			col.Datatype = csvwNumber{"double", &zero, &one}
		case cellSeconds:
			col.Datatype = csvwNumber{"decimal", &zero, nil}
		}
		m.Schema.Columns = append(m.Schema.Columns, col)
	}
	return plainjson.Write(w, m)
}

// relative reports whether a unit is that which another column names.
func relative(unit string) bool { return len(unit) > 5 && unit[:5] == "as in" }
