package index

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saywatt/schema"
)

func TestSortable(t *testing.T) {
	for _, c := range []struct{ number, want string }{
		{"0", "5"},
		{"0.000", "5"},
		{"12.5", "6501125"},
		{"1", "65001"},
		{"100", "65021"},
		{"0.0047", "649747"},
		{"0.5", "64995"},
		{"-12.5", "4498874~"},
	} {
		if got := Sortable(schema.MustDecimal(c.number)); got != c.want {
			t.Errorf("%s is spelled %s, want %s", c.number, got, c.want)
		}
	}
}

// Spellings sort as numbers do, and read back as the number.
func TestSortableKeepsTheOrder(t *testing.T) {
	number := rapid.Custom(func(t *rapid.T) schema.Decimal {
		return schema.NewDecimal(rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "digits"),
			rapid.Int32Range(-18, 12).Draw(t, "exponent"))
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := number.Draw(t, "a"), number.Draw(t, "b")
		if got, want := strings.Compare(Sortable(a), Sortable(b)), a.Cmp(b); got != want {
			t.Fatalf("%s %s and %s %s compare %d, want %d", a, Sortable(a), b, Sortable(b), got, want)
		}
		if back, ok := Unsortable(Sortable(a)); !ok || !back.Equal(a) {
			t.Fatalf("%s is spelled %s, read as %s", a, Sortable(a), back)
		}
	})
}
