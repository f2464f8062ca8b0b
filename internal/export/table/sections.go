package table

import (
	"fmt"

	"saywatt/internal/export/account"
	"saywatt/schema"
)

// Tables of the sections that sheets have and that hold single values: body,
// claims, the powers of ports in use together, cable. Their columns are in
// tables/columns.tsv.

// valueColumns are the columns of a value in a place.
var valueColumns = []string{"property", "low", "high", "unit", "text", "qualifier", "basis", "status", "confidence",
	"heard", "at", "place_doubt"}

// valueRow is a value in a place as a row of valueColumns.
func valueRow(r *schema.Record, property string, v *schema.Value) []any {
	return []any{property, v.Quantity.Low, v.Quantity.High, string(v.Quantity.Unit), nil, qualifierName(v.Qualifier),
		basisName(v.Basis),
		statusName(v.Status), v.Confidence, heardOf(r, v), timeCell(account.FirstSaid(r, v)), placeDoubt(r, v).Words()}
}

// textRow is what is said in words as a row of valueColumns.
func textRow(property, text string) []any {
	row := make([]any, len(valueColumns))
	row[0], row[4] = property, text
	return row
}

func basisName(b schema.Basis) string {
	if b == schema.BasisUnknown {
		return ""
	}
	return b.String()
}

func qualifierName(q schema.Qualifier) string {
	if q == schema.QualifierNone {
		return ""
	}
	return q.String()
}

// namedValue is a value of a struct of the record by its name there.
type namedValue struct {
	name string
	v    *schema.Value
}

func (t *Table) values(r *schema.Record, all ...namedValue) {
	for _, n := range all {
		if n.v != nil {
			t.Rows = append(t.Rows, valueRow(r, n.name, n.v))
		}
	}
}

func bodyTable(r *schema.Record) Table {
	t := Table{Name: "body", Columns: valueColumns}
	b := &r.Body
	for i := range b.Dimensions { // in the order said
		t.values(r, namedValue{fmt.Sprintf("side_%d", i+1), &b.Dimensions[i]})
	}
	t.values(r, namedValue{"mass", b.Mass}, namedValue{"volume", b.Volume}, namedValue{"density", b.Density},
		namedValue{"display", b.Display})
	for i := range b.Other {
		t.values(r, namedValue{b.Other[i].Property, &b.Other[i].Value})
	}
	for _, m := range b.Materials {
		t.Rows = append(t.Rows, textRow("material", m))
	}
	return t
}

func claimsTable(r *schema.Record) Table {
	t := Table{Name: "claims", Columns: []string{"property", "mode", "port", "protocol", "low", "high", "unit",
		"qualifier", "basis",
		"status", "confidence", "heard", "at", "place_doubt"}}
	for i := range r.Claims {
		c := &r.Claims[i]
		v := &c.Value
		t.Rows = append(t.Rows, []any{c.Property, c.Mode, c.Port, c.Protocol, v.Quantity.Low, v.Quantity.High,
			string(v.Quantity.Unit),
			qualifierName(v.Qualifier), basisName(v.Basis), statusName(v.Status), v.Confidence, heardOf(r, v),
			timeCell(account.FirstSaid(r, v)), placeDoubt(r, v).Words()})
	}
	return t
}

func sharedPowerTable(r *schema.Record) Table {
	t := Table{Name: "shared-power",
		Columns: []string{"mode", "ports", "share", "port", "low", "high", "unit", "status", "confidence", "heard",
			"at", "place_doubt"}}
	row := func(s *schema.Split, share, port string, v *schema.Value) {
		t.Rows = append(t.Rows, []any{s.Mode, s.Ports, share, port, v.Quantity.Low, v.Quantity.High,
			string(v.Quantity.Unit),
			statusName(v.Status), v.Confidence, heardOf(r, v), timeCell(account.FirstSaid(r, v)),
			placeDoubt(r, v).Words()})
	}
	all := r.Splits()
	for i := range all {
		s := &all[i]
		for k, v := range s.Each {
			row(s, "each", s.Port(k), v)
		}
		if s.Total != nil {
			row(s, "total", "", s.Total)
		}
	}
	return t
}

func cableTable(r *schema.Record) Table {
	t := Table{Name: "cable", Columns: valueColumns}
	c := r.Cable
	if c == nil {
		return t
	}
	t.values(r, namedValue{"length", c.Length}, namedValue{"diameter", c.Diameter}, namedValue{"mass", c.Mass},
		namedValue{"voltage", c.Voltage},
		namedValue{"current", c.Current}, namedValue{"power", c.Power}, namedValue{"data_rate", c.DataRate},
		namedValue{"resistance", c.Resistance})
	if c.EMarker != "" {
		t.Rows = append(t.Rows, textRow("emarker", c.EMarker))
	}
	for _, n := range c.Gauge {
		t.Rows = append(t.Rows, textRow("gauge", fmt.Sprintf("%d AWG", n)))
	}
	return t
}
