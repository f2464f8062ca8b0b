package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saywatt/internal/export/testdata/full"
)

// Patterns of XML Schema 1.1 part 2 (W3C, 2012), sections 3.3.3, 3.3.5 and 3.4.13,
// by which CSVW validates cells ("Model for Tabular Data and Metadata on the Web",
// 6.4); names of columns are those of "Metadata Vocabulary for Tabular Data", 5.6.
var (
	xsdTypes = map[string]*regexp.Regexp{
		"string":  regexp.MustCompile(`(?s)^.*$`),
		"integer": regexp.MustCompile(`^[-+]?[0-9]+$`),
		"decimal": regexp.MustCompile(`^[-+]?([0-9]+(\.[0-9]*)?|\.[0-9]+)$`),
		"double":  regexp.MustCompile(`^[-+]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([Ee][-+]?[0-9]+)?$`),
	}
	csvwName     = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_.]*$`) // no underscore begins it; URI template variable
	csvwProperty = regexp.MustCompile(`^(dc:[a-z]+|https?://[^ ]+)$`)
	csvwOwn      = []string{"@context", "url", "tableSchema", "columns", "name", "titles", "datatype"}
)

// A csvwFile is metadata as a validator of CSVW reads it, and the rows it is of.
type csvwFile struct {
	t    *testing.T
	name string
	meta map[string]any
	rows [][]string
}

// Every table with every cell that it can have is valid CSV on the Web: the
// metadata has the properties that W3C defines and no other, its columns are those
// of the header line, and each cell is of its column's type and within its bounds.
func TestCSVW(t *testing.T) {
	r, _, changes := full.Changes(t)
	for _, tab := range All(r, changes) {
		tab = tab.OfReview(r)
		var meta, text bytes.Buffer
		if err := tab.WriteMetadata(&meta, tab.Name+".csv"); err != nil {
			t.Fatal(err)
		}
		if err := tab.WriteCSV(&text, true); err != nil {
			t.Fatal(err)
		}
		f := csvwFile{t: t, name: tab.Name}
		var err error
		if f.rows, err = csv.NewReader(&text).ReadAll(); err != nil {
			t.Fatalf("%s: %v", tab.Name, err)
		}
		if err := json.Unmarshal(meta.Bytes(), &f.meta); err != nil {
			t.Fatalf("%s: %v", tab.Name, err)
		}
		f.check()
	}
}

func (f *csvwFile) check() {
	f.properties("", f.meta)
	if f.meta["@context"] != "http://www.w3.org/ns/csvw" || f.meta["url"] != f.name+".csv" {
		f.t.Errorf("%s: context %v, url %v", f.name, f.meta["@context"], f.meta["url"])
	}
	columns := f.meta["tableSchema"].(map[string]any)["columns"].([]any)
	if len(columns) != len(f.rows[0]) {
		f.t.Fatalf("%s: %d columns in the metadata, %d in the header", f.name, len(columns), len(f.rows[0]))
	}
	met := map[string]bool{}
	for i, c := range columns {
		c := c.(map[string]any)
		name, _ := c["name"].(string)
		if !csvwName.MatchString(name) || met[name] || c["titles"] != f.rows[0][i] {
			f.t.Errorf("%s: column %d is named %q and titled %v, the header has %q",
				f.name, i, name, c["titles"], f.rows[0][i])
		}
		met[name] = true
		if means, _ := c["dc:description"].(string); means == "" {
			f.t.Errorf("%s.%s: no meaning", f.name, name)
		}
		for _, row := range f.rows[1:] {
			f.cell(f.name+"."+name, c["datatype"], row[i])
		}
	}
}

// properties holds the names of properties against those that there are.
func (f *csvwFile) properties(where string, of map[string]any) {
	for _, name := range slices.Sorted(maps.Keys(of)) {
		if !slices.Contains(csvwOwn, name) && !csvwProperty.MatchString(name) {
			f.t.Errorf("%s%s: no property %q", f.name, where, name)
		}
		switch v := of[name].(type) {
		case map[string]any:
			if name != "datatype" {
				f.properties(where+"."+name, v)
			}
		case []any:
			for _, one := range v {
				f.properties(where+"."+name, one.(map[string]any))
			}
		}
	}
}

// cell holds a cell against the type of its column; an empty one is null.
func (f *csvwFile) cell(where string, datatype any, cell string) {
	if cell == "" {
		return
	}
	base, _ := datatype.(string)
	bounds, derived := datatype.(map[string]any)
	if derived {
		base, _ = bounds["base"].(string)
	}
	pattern := xsdTypes[base]
	if pattern == nil || !pattern.MatchString(cell) {
		f.t.Errorf("%s: %q is no %v", where, cell, datatype)
		return
	}
	for _, bound := range slices.Sorted(maps.Keys(bounds)) {
		if bound == "base" {
			continue
		}
		limit, ok := bounds[bound].(float64)
		x, err := strconv.ParseFloat(strings.TrimPrefix(cell, "+"), 64)
		if !ok || err != nil || bound == "minimum" && x < limit || bound == "maximum" && x > limit ||
			bound != "minimum" && bound != "maximum" {
			f.t.Errorf("%s: %s %v of %q", where, bound, bounds[bound], cell)
		}
	}
}
