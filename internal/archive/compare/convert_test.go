package compare

import (
	"testing"

	"saywatt/schema"
)

// A converted number has four digits, or as many as were said.
func TestConvertedDigits(t *testing.T) {
	for _, c := range []struct {
		said string
		unit schema.Unit
		want string
	}{
		{"95 g", "[lb_av]", "0.2094 lb"},
		{"24 [lb_av]", "g", "10886 g"},
		{"5000 mA.h", "A.h", "5 Ah"},
		{"12345.6 g", "kg", "12.3456 kg"},
		{"0 W", "kW", "0 kW"},
		{"-5 W", "kW", "-0.005 kW"},
		{"95 g", "g", "95 g"},
	} {
		q := schema.MustQuantity(c.said)
		got, ok := converted(&q, c.unit)
		if !ok || got.String() != c.want {
			t.Errorf("%s in %s: %s, %v; want %s", c.said, c.unit, got, ok, c.want)
		}
	}
	if q := schema.MustQuantity("95 g"); true {
		if _, ok := converted(&q, "V"); ok {
			t.Error("grams in volts")
		}
	}
}
