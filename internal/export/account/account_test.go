package account

import (
	"testing"

	"saywatt/schema"
)

func TestAccountOf(t *testing.T) {
	open := schema.Said{Status: schema.StatusOpen}
	part := schema.Component{Status: schema.StatusOpen}
	for _, c := range []struct {
		name string
		r    schema.Record
		want int
	}{
		{"nothing", schema.Record{}, 0},
		{"open quantity", schema.Record{Quantities: []schema.Said{open}}, 1},
		{"open part number", schema.Record{Components: []schema.Component{part}}, 1},
		{"both", schema.Record{Quantities: []schema.Said{open}, Components: []schema.Component{part}}, 2},
		{"error", schema.Record{Findings: []schema.Finding{{Severity: schema.SeverityError}}}, 0},
	} {
		if got := Of(&c.r).Ear; got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}
