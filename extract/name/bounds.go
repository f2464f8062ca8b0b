package name

import (
	"sync"

	"saywatt/schema"
)

// bounds say how likely a name must be and how far a product's name reaches, from
// tables/bounds.tsv. How far features reach that are named after what they reach
// (makerWords and the like) is part of the shape of what was learned.
type bounds struct {
	leastPlace, leastMaker, leastOwner float64
	titleItems, titleReach             float64
}

// fields are the bounds by their names in the table.
func (b *bounds) fields() map[string]*float64 {
	return map[string]*float64{
		"least_place": &b.leastPlace,
		"least_maker": &b.leastMaker,
		"least_owner": &b.leastOwner,
		"title_items": &b.titleItems,
		"title_reach": &b.titleReach,
	}
}

var loadBounds = sync.OnceValue(func() *bounds {
	b := &bounds{}
	schema.MustReadNumbers(tables, "tables/bounds.tsv", "bound", "n", b.fields())
	return b
})

// placed, taken and owns report whether a place of such log odds is looked at in the
// whole text, taken for a maker's name, and asked about as that of the product's maker.
func (b *bounds) placed(score float64) bool { return logistic(score) >= b.leastPlace }
func (b *bounds) taken(score float64) bool  { return logistic(score) >= b.leastMaker }
func (b *bounds) owns(score float64) bool   { return logistic(score) >= b.leastOwner }

// titleFrom is the item before which a product's name begins, of n items, and titleEnd
// that before which one from item a ends.
func (b *bounds) titleFrom(n int) int   { return min(n, int(b.titleReach)) }
func (b *bounds) titleEnd(a, n int) int { return min(n, a+int(b.titleItems)) }
