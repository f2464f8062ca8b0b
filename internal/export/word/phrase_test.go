package word

import (
	"strings"
	"testing"
)

func TestTogether(t *testing.T) {
	for in, want := range map[string]string{
		"20 V and 3.25 A": "20~V and 3.25~A", "7 levels were": "7~levels were", "at 9, not": "at 9, not", "5 50 V": "5 50~V", "": "",
	} {
		if got := strings.ReplaceAll(KeepUnits(in), NBSP, "~"); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
