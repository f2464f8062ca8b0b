package extract

import (
	"slices"
	"testing"

	"saywatt/schema"
)

// TestMarks: CE is a mark in capitals, and beside another. Each mark has a text.
func TestMarks(t *testing.T) {
	held := map[string]bool{}
	for _, c := range []struct {
		text string
		want []string
	}{
		{"It is three C certified, UL listed and RoHS.", []string{"CCC", "UL", "RoHS"}},
		{"It has the PSE mark and the GS mark, and WEEE beside them.", []string{"PSE", "GS", "WEEE"}},
		{"The marks on it are CE, UKCA and FCC.", []string{"CE", "UKCA", "FCC"}},
		{"it has ce and ukca marks", []string{"CE", "UKCA"}},
		{"it has the ukca and ce marks", []string{"UKCA", "CE"}},
		{"On the back stands CE.", []string{"CE"}},
		{"est ce que tout va bien", nil},
	} {
		if got := find(t, c.text).Product.Marks; !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.text, got, c.want)
		}
		for _, mark := range c.want {
			held[mark] = true
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/cues.tsv").Rows {
		if mark := r.Get("value"); r.Get("effect") == "mark" && !held[mark] {
			t.Errorf("cues.tsv:%d: no text of TestMarks has the mark %s", r.Line, mark)
		}
	}
}
