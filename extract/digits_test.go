package extract

import (
	"strings"
	"testing"

	"saywatt/extract/transcript"
)

// A number keeps all its digits or is not read at all; what follows it is read
// as ever.
func TestLongNumbers(t *testing.T) {
	for _, c := range []struct {
		digits int
		read   bool
	}{{17, true}, {18, true}, {19, true}, {25, true}, {MaxDigits, true}, {MaxDigits + 1, false},
		{2*MaxDigits + 1, false}, {100_000, false}} {
		nines := strings.Repeat("9", c.digits)
		tr, err := transcript.Parse("long", []byte("It says "+nines+" volts. Then 20 watts."))
		if err != nil {
			t.Fatal(err)
		}
		d := Find(tr)
		var got []string
		for i := range d.Mentions {
			got = append(got, d.Mentions[i].Quantity().String())
		}
		want, unread := []string{nines + " V", "20 W"}, 0
		if !c.read {
			want, unread = want[1:], 1
		}
		if strings.Join(got, ";") != strings.Join(want, ";") {
			t.Errorf("%d nines: read %.60q, want %.60q", c.digits, got, want)
		}
		if u := d.Unread(); len(u) != unread ||
			unread == 1 && (u[0].Start != len("It says ") || u[0].End != len("It says ")+c.digits) {
			t.Errorf("%d nines: unread are %v, want %d", c.digits, u, unread)
		}
	}
	// the point, grouping commas and leading zeros do not count as digits that matter
	for _, c := range []struct{ heard, want string }{
		{"0." + strings.Repeat("3", 30) + " volts", "0." + strings.Repeat("3", 30) + " V"},
		{"." + strings.Repeat("3", 20) + " volts", "0." + strings.Repeat("3", 20) + " V"},
		{"100,000,000,000,000,000,001 volts", "100000000000000000001 V"},
	} {
		f := ParseQuantities(c.heard)
		if len(f) != 1 || f[0].Quantity.String() != c.want {
			t.Errorf("%q: read %v, want %s", c.heard, f, c.want)
		}
	}
}
