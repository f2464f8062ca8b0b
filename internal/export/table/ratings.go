package table

import (
	"saywatt/internal/export/account"
	"saywatt/schema"
)

// ratingsTable has one row a rating of a part, where the components format has
// one row a part; all ratings are in it, sizes and thresholds too.
func ratingsTable(r *schema.Record) Table {
	t := Table{Name: "ratings", Columns: []string{"component", "board", "kind", "count", "maker", "part", "package",
		"property",
		"low", "high", "unit", "tolerance", "tolerance_unit", "basis", "status", "confidence", "heard", "at",
		"place_doubt", "id"}}
	for i := range r.Components {
		c := &r.Components[i]
		var count any
		if c.Count > 0 {
			count = c.Count
		}
		for k := range c.Ratings {
			v := &c.Ratings[k].Value
			var tolerance, unit any
			if q := v.Quantity.Tolerance; q != nil {
				tolerance, unit = q.Value, string(q.Unit)
			}
			basis := ""
			if v.Basis != schema.BasisUnknown {
				basis = v.Basis.String()
			}
			at := timeCell(account.FirstSaid(r, v))
			if at == nil {
				at = timeCell(c.At)
			}
			t.Rows = append(t.Rows, []any{i + 1, c.Board, c.Kind, count, c.Maker, c.Part, c.Package,
				c.Ratings[k].Property,
				v.Quantity.Low, v.Quantity.High, string(v.Quantity.Unit), tolerance, unit, basis,
				statusName(v.Status), v.Confidence, heardOf(r, v), at, placeDoubt(r, v).Words(), c.ID})
		}
	}
	return t
}
