package export

import "saywatt/schema"

// ratingsTable has one row a rating of a part, where the components format has
// one row a part; all ratings are in it, sizes and thresholds too.
//
//	component   number of the part in the record, from 1
//	board … package  as of the components format
//	property    what the rating is of: voltage, current, capacitance, …
//	low, high   its ends; a single value has low = high
//	unit        UCUM code
//	tolerance, tolerance_unit  what it may be off by, "±1 %"
//	basis       claimed, label, measured or derived
//	status, confidence, heard, at  of the value
func ratingsTable(r *schema.Record) Table {
	t := Table{Name: "ratings", Columns: []string{"component", "board", "kind", "count", "maker", "part", "package", "property",
		"low", "high", "unit", "tolerance", "tolerance_unit", "basis", "status", "confidence", "heard", "at"}}
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
			at := timeCell(firstTold(r, v))
			if at == nil {
				at = timeCell(c.At)
			}
			t.Rows = append(t.Rows, []any{i + 1, c.Board, c.Kind, count, c.Maker, c.Part, c.Package, c.Ratings[k].Property,
				v.Quantity.Low, v.Quantity.High, string(v.Quantity.Unit), tolerance, unit, basis,
				statusName(v.Status), v.Confidence, heardOf(r, v), at})
		}
	}
	return t
}
