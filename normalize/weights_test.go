package normalize

import (
	"slices"
	"strings"
	"testing"

	"saywatt/schema"
)

// TestReadWeights: a row without a field and a field without a row are named.
func TestReadWeights(t *testing.T) {
	whole := schema.MustReadTable(tables, "tables/weights.tsv")
	var w Weights
	if err := readWeights(whole, &w); err != nil || w != loadWeights() {
		t.Fatal(err)
	}
	short := *whole
	short.Rows = short.Rows[1:]
	twice := *whole
	twice.Rows = append(slices.Clone(whole.Rows), whole.Rows[0])
	for _, c := range []struct {
		table *schema.Table
		want  string
	}{
		{&short, "no weight role_property"},
		{&twice, "unknown weight role_property"},
	} {
		if err := readWeights(c.table, &w); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}
