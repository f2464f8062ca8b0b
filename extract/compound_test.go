package extract

import (
	"math"
	"testing"

	"saywatt/schema"
)

// compounds.tsv: every row has the factor of its units, and its source.
func TestCompounds(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/compounds.tsv").Rows {
		u, next := schema.Unit(r.Get("large")), schema.Unit(r.Get("small"))
		big, ok1 := u.Info()
		small, ok2 := next.Info()
		if !ok1 || !ok2 || u.Kind() != next.Kind() || r.Get("source") == "" {
			t.Fatalf("compounds.tsv:%d: %s and %s", r.Line, u, next)
		}
		got, factor := Words().Smaller(u)
		if got != next || math.Abs(big.Scale/small.Scale-float64(factor)) > 1e-9 {
			t.Errorf("compounds.tsv:%d: %s has %d %s", r.Line, u, factor, got)
		}
	}
	if u, n := Words().Smaller("V"); u != "" || n != 0 {
		t.Errorf("a volt has %d %s", n, u)
	}
}
