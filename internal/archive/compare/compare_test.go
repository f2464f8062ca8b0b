package compare

import (
	"slices"
	"testing"

	"saywatt/schema"
)

// A level of which no current was said, or a part of which nothing was, says so.
func TestCells(t *testing.T) {
	rows := Rows([]*schema.Record{{Levels: []schema.Level{{Mode: "output",
		Voltage: schema.Value{Quantity: schema.MustQuantity("12 V"), Status: schema.StatusHeard}}},
		Components: []schema.Component{{Kind: "fuse", Status: schema.StatusHeard}}}})
	for label, want := range map[string]string{"output 12 V": "current not stated", "fuse": "seen, nothing more said"} {
		i := slices.IndexFunc(rows, func(r Row) bool { return r.Label == label })
		if i < 0 || rows[i].Cells[0].Text != want {
			t.Errorf("%s: no cell %q in %+v", label, want, rows)
		}
	}
}

// Values measured under other conditions are in rows of their own; how warm it was, or
// for how long, makes none.
func TestConditions(t *testing.T) {
	value := func(q string) *schema.Value { return &schema.Value{Quantity: schema.MustQuantity(q)} }
	for _, c := range []struct {
		condition *schema.Condition
		want      string
	}{
		{nil, ""},
		{&schema.Condition{}, ""},
		{&schema.Condition{Mains: value("230 V"), Current: value("3 A")}, "(230 V mains, 3 A)"},
		{&schema.Condition{Voltage: value("20 V"), Power: value("65 W"), Ambient: value("22 Cel")}, "(20 V, 65 W)"},
		{&schema.Condition{Ambient: value("22 Cel"), Time: value("30 min")}, ""},
	} {
		if got := conditions(c.condition); got != c.want {
			t.Errorf("%+v: %q, want %q", c.condition, got, c.want)
		}
	}
}

// Numbers are rounded to so many digits behind the first that is no zero; those before
// the point stay.
func TestSignificant(t *testing.T) {
	for _, c := range []struct {
		number string
		n      int
		want   string
	}{
		{"0", 3, "0"},
		{"1.3496", 3, "1.35"},
		{"0.0047251", 3, "0.00473"},
		{"12345", 3, "12345"},
		{"12.345", 3, "12.3"},
		{"0.10", 3, "0.1"},
		{"-0.0123456", 4, "-0.01235"},
		{"100.04", 4, "100"},
	} {
		if got := significant(schema.MustDecimal(c.number), c.n).String(); got != c.want {
			t.Errorf("%s to %d digits: %s, want %s", c.number, c.n, got, c.want)
		}
	}
}
