package validate

import "saywatt/schema"

// manyArgs is how many values of a case count as another one.
const manyArgs = 32

// mostCases bounds the cases of one rule that are judged. A rule that holds
// all values of one sort against each other finds a number that grows with the
// square of what was said; reviews have one case or less for a quantity. A
// text made to be hostile has its first cases judged: by then there are more
// findings of that rule than anybody reads.
func mostCases(r *schema.Record) int {
	const each, least = 2, 1 << 12
	return each*len(r.Quantities) + least
}

// mostLevels is how many levels a reading is held against: more than any product
// has.
const mostLevels = 256

// mostOfPort is how many levels a claim is held against: more than any port has.
const mostOfPort = 64

// mostSaid is how many quantities a finding names: one said again and again is
// known from the first.
const mostSaid = 64
