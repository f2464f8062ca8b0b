package word

import (
	"math"
	"strings"
	"testing"

	"saywatt/schema"
)

func TestQuantityForPeople(t *testing.T) {
	ten := schema.MustQuantity("10 kOhm")
	ten.Tolerance = &schema.Tolerance{Value: schema.MustDecimal("1"), Unit: "%"}
	for _, c := range []struct {
		q    schema.Quantity
		want string
	}{
		{schema.MustQuantity("3.25 A"), "3.25 A"},
		{schema.MustQuantity("3.3..21 V"), "3.3–21 V"},
		{schema.MustQuantity("-10..-5 Cel"), "-10 to -5 °C"},
		{schema.MustQuantity("5000 mA.h"), "5000 mAh"},
		{schema.MustQuantity("20000 mA.h"), "20 000 mAh"},
		{schema.MustQuantity("1234567.25 W"), "1 234 567.25 W"},
		{schema.MustQuantity("-12345 V"), "-12 345 V"},
		{ten, "10 kΩ ± 1 %"},
	} {
		if got := strings.ReplaceAll(Quantity(&c.q), NBSP, " "); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestPercentNeverClaimsCertainty(t *testing.T) {
	for p, want := range map[float64]string{0: "<1", 0.0099: "<1", 0.01: "1", 0.5: "50", 0.994: "99", 0.995: ">99",
		1: ">99", math.NaN(): "<1"} {
		if got := Percent(p); got != want+NBSP+"%" {
			t.Errorf("percent(%v) = %q, want %q", p, got, want)
		}
	}
}
