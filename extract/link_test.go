package extract

import (
	"testing"

	"saywatt/schema"
)

// links.tsv: every phrase links the quantity behind it.
func TestLinkRows(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/links.tsv").Rows {
		want, ok := ParseLink(r.Get("link"))
		if !ok || r.Get("source") == "" {
			t.Fatalf("links.tsv:%d: %q", r.Line, r.Get("link"))
		}
		d := find(t, "here "+r.Get("phrase")+" 20 volts")
		if n := len(d.Mentions); n == 0 || d.Mentions[n-1].Link&want == 0 {
			t.Errorf("links.tsv:%d: %q is no link of %q", r.Line, r.Get("phrase"), r.Get("link"))
		}
	}
}

func TestLinks(t *testing.T) {
	for _, c := range []struct {
		text string
		want []Link // of each mention
	}{
		{"20 volts and 3.25 amps, which is 65 watts", []Link{0, 0, LinkResult}},
		{"45 watts and 65 watts, 110 watts together", []Link{0, 0, LinkTotal}},
		{"four of 100 nanofarads each", []Link{0, LinkShare | LinkEach}},
		{"29 centimetres long, 19 deep", []Link{LinkSide, LinkSide}},
		{"that's what I said before all of these words came and went by as many as there were of them today and then on the day before yesterday, 5 volts", []Link{0}},
	} {
		d := find(t, c.text)
		if len(d.Mentions) != len(c.want) {
			t.Errorf("%q: %d mentions", c.text, len(d.Mentions))
			continue
		}
		for i, want := range c.want {
			if got := d.Mentions[i].Link; got != want {
				t.Errorf("%q: mention %d has links %b, want %b", c.text, i, got, want)
			}
		}
	}
}

// functionwords.tsv: every word opens another part of the sentence.
func TestFunctionWords(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/functionwords.tsv").Rows {
		d := find(t, "5 "+r.Get("word"))
		if n := len(d.Tokens); n < 2 || !d.Lexicon.Function(d.Tokens[1]) || r.Get("source") == "" {
			t.Errorf("functionwords.tsv:%d: %q", r.Line, r.Get("word"))
		}
	}
}
