package extract

import (
	"slices"
	"testing"
)

// TestMarks: CE is a mark in capitals, and beside another.
func TestMarks(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"The marks on it are CE, UKCA and FCC.", []string{"CE", "UKCA", "FCC"}},
		{"it has ce and ukca marks", []string{"CE", "UKCA"}},
		{"it has the ukca and ce marks", []string{"UKCA", "CE"}},
		{"On the back stands CE.", []string{"CE"}},
		{"est ce que tout va bien", nil},
	} {
		if got := find(t, c.text).Product.Marks; !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.text, got, c.want)
		}
	}
}
