package alike

import "testing"

func TestKey(t *testing.T) {
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"Castrivel", "castor Vell", true},
		{"Castrivel", "castry well", true},
		{"Fennovar", "fenno far", true},
		{"Bexholm", "Becks home", true},
		{"Yondrel", "yon drill", true},
		{"Ulvendor", "owl vendor", true},
		{"Hadrelle", "Hard Elle", true},
		{"Wendrosk", "when Drosk", true},
		{"Corvessa", "core Vesa", true},
		{"Castrivel", "Corvessa", false},
		{"Bexholm", "Brannick", false},
		{"Yondrel", "Ulvendor", false},
		{"Meldorf", "Tolvane", false},
		{"Drosk", "Druskane", false},
	} {
		if got := Sounds(Key(c.a), Key(c.b)); got != c.same {
			t.Errorf("%s (%s) and %s (%s): alike %v, want %v", c.a, Key(c.a), c.b, Key(c.b), got, c.same)
		}
	}
}
