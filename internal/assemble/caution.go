package assemble

import (
	"strings"
	"sync"

	"saywatt/internal/knowledge"
	"saywatt/schema"
)

// cautionTable holds the cautions that go with records, and cautionkinds.tsv.
type cautionTable struct {
	rows   []cautionRow
	byKind map[string][]string // what the record holds with a kind of part
}

type cautionRow struct{ when, text string }

var loadCautions = sync.OnceValue(func() *cautionTable {
	t := &cautionTable{byKind: map[string][]string{}}
	for _, r := range knowledge.Cautions().Rows {
		if r.Get("text") != "-" {
			t.rows = append(t.rows, cautionRow{r.Get("when"), r.Get("text")})
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/cautionkinds.tsv").Rows {
		t.byKind[r.Get("kind")] = r.List("holds")
	}
	return t
})

// cautions returns the cautions that go with the record, in the order of the
// table: those for every record, and those for what it speaks of.
func cautions(r *schema.Record) []string {
	holds := map[string]bool{"always": true, "opened": len(r.Components) > 0}
	for i := range r.Levels {
		l := &r.Levels[i]
		if l.Protocol == schema.MainsProtocol || l.Port == schema.MainsPort || strings.HasSuffix(l.Mode, "input") &&
			l.Voltage.Quantity.SI() >= loadBounds().mainsFloor {
			holds["mains"] = true
		}
	}
	for i := range r.Components {
		for _, what := range loadCautions().byKind[r.Components[i].Kind] {
			holds[what] = true
		}
	}
	if b := r.Battery; b != nil {
		holds["lithium"] = true
		holds["series"] = b.Cell.Series > 1
		holds["air"] = b.Pack.Energy != nil || b.Cell.Energy != nil || b.Pack.Capacity != nil
	}
	for i := range r.Measurements {
		if r.Measurements[i].Value.Quantity.Unit.Kind() == schema.KindTemperature {
			holds["temperature"] = true
		}
	}
	if strings.Contains(r.Product.Kind, "magnetic") {
		holds["magnet"] = true
	}
	if strings.Contains(r.Product.Kind, "power station") {
		holds["mains"], holds["lithium"] = true, true
	}
	var out []string
	for _, c := range loadCautions().rows {
		if holds[c.when] {
			out = append(out, c.text)
		}
	}
	return out
}
