package part

import (
	"sync"

	"saywatt/schema"
)

// bounds say how far what is said of parts is looked at together, from
// tables/bounds.tsv.
type bounds struct{ length, gapWords, ordered int }

// fields are the bounds by their names in the table.
func (b *bounds) fields() map[string]*int {
	return map[string]*int{"length": &b.length, "gap_words": &b.gapWords, "ordered": &b.ordered}
}

// longest is the most that bounds.length can be: memory is made for so many.
const longest = 32

var loadBounds = sync.OnceValue(func() *bounds {
	b := &bounds{}
	schema.MustReadNumbers(tables, "tables/bounds.tsv", "bound", "n", b.fields())
	if b.length > longest {
		panic("part/tables/bounds.tsv: length is more than longest in bounds.go")
	}
	return b
})
