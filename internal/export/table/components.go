package table

import (
	"strings"

	"saywatt/schema"
)

// Components has one row a part or a set of equal parts, in the order of
// the record:
//
//	board    main, upright, BMS, …
//	kind     bulk capacitor, fuse, …
//	count    how many; empty where not given
//	maker    as said
//	part     part number as said
//	package  package code in its standard spelling
//	ratings  in the order said, sizes and thresholds of protection left out, "250 V; 2 A":
//	         number, space, UCUM unit; a range as "100..240 V", a tolerance as "10 kOhm ±1 %"
//	status   the least sure of its parts
//	at       seconds, when it was said; empty where untimed
func Components(r *schema.Record) Table {
	t := Table{Name: "components",
		Columns: []string{"board", "kind", "count", "maker", "part", "package", "ratings", "status", "at"}}
	for i := range r.Components {
		c := &r.Components[i]
		var count any
		if c.Count > 0 {
			count = c.Count
		}
		t.Rows = append(t.Rows, []any{c.Board, c.Kind, count, c.Maker, c.Part, c.Package, ratings(c.Ratings),
			statusName(c.Status), timeCell(c.At)})
	}
	return t
}

func ratings(all []schema.Rating) string {
	var b strings.Builder
	for i := range all {
		q := &all[i].Value.Quantity
		// a size, or where a protector acts: the sheet and the record have them
		if q.Unit.Kind() == schema.KindLength || all[i].Property == "threshold" {
			continue
		}
		if b.Len() > 0 {
			b.WriteString("; ")
		}
		b.WriteString(q.Low.String())
		if q.Range {
			b.WriteString("..")
			b.WriteString(q.High.String())
		}
		if q.Unit != "" {
			b.WriteString(" ")
			b.WriteString(string(q.Unit))
		}
		if t := q.Tolerance; t != nil {
			b.WriteString(" ±")
			b.WriteString(t.Value.String())
			b.WriteString(" ")
			b.WriteString(string(t.Unit))
		}
	}
	return b.String()
}
