package export

import (
	"strings"
	"testing"

	"saywatt/schema"
)

// A sheet has the title given to the review, and then says what it is of; a title
// without an end is cut.
func TestTitleOf(t *testing.T) {
	for _, c := range []struct{ given, product, title, about string }{
		{"", "Fellwright Tarn", "Fellwright Tarn", ""},
		{"First look", "Fellwright Tarn", "First look", "Fellwright Tarn"},
		{"First look", "", "First look", ""},
		{"", "", "Product without a name", ""},
		{"\x1b", " ", "\\x1b", " "},
		{"", strings.Repeat("tarn", 5000), strings.Repeat("tarn", 49) + "tar…", ""},
	} {
		r := &schema.Record{Source: schema.Source{Title: c.given}, Product: schema.Product{Name: c.product}}
		if got := titleOf(r); got != c.title {
			t.Errorf("%q of %.20q: %q, want %q", c.given, c.product, got, c.title)
		}
		if got := About(r); got != c.about {
			t.Errorf("%q of %.20q: about %q, want %q", c.given, c.product, got, c.about)
		}
	}
}
