package extract

import (
	"strings"
	"testing"

	"saywatt/internal/knowledge"
	"saywatt/schema"
)

// TestOneSpelling: what narrations say of a protocol or package is written down as
// package knowledge spells it, so that the rules know it again. A name that it
// does not have is fine: no rule asks for it.
func TestOneSpelling(t *testing.T) {
	plain := strings.NewReplacer(" ", "", "-", "", ".", "")
	for _, c := range []struct {
		words, column string
		names         *schema.Table
	}{
		{"protocolwords", "protocol", knowledge.Protocols()},
		{"packagewords", "family", knowledge.Packages()},
	} {
		spelt := map[string][]string{}
		for _, r := range c.names.Rows {
			key := strings.ToLower(plain.Replace(r.Cells[0]))
			spelt[key] = append(spelt[key], r.Cells[0])
		}
		for _, r := range schema.MustReadTable(tables, "tables/"+c.words+".tsv").Rows {
			name := r.Get(c.column)
			names := spelt[strings.ToLower(plain.Replace(name))]
			if len(names) > 0 && !contains(names, name) {
				t.Errorf("%s.tsv:%d: %q is spelt %q in internal/knowledge/tables", c.words, r.Line, name, names)
			}
		}
	}
}
