package place

import (
	"iter"
	"slices"

	"saywatt/schema"
)

// Ratings yields the numbers of component and rating for one property of
// the given kinds of part, in record order.
func Ratings(r *schema.Record, property string, kinds ...string) iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		for i := range r.Components {
			c := &r.Components[i]
			if !slices.Contains(kinds, c.Kind) {
				continue
			}
			for j := range c.Ratings {
				if c.Ratings[j].Property == property && !yield(i, j) {
					return
				}
			}
		}
	}
}

// Copies is how many equal parts an entry stands for.
func Copies(c *schema.Component) int { return max(c.Count, 1) }

// MostLooked is how often a value is looked at: one said more often is in its place by
// the first of them or by none.
const MostLooked = 64
