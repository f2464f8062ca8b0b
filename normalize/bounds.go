package normalize

import (
	"sync"

	"saywatt/schema"
)

// bounds say how near values that belong together are, from which probability on
// something counts, and how many readings are looked at, from tables/bounds.tsv.
type bounds struct {
	slacks
	shares
	counts
}

// slacks are how near values are that belong together.
type slacks struct {
	powerSlack, powerRounding, powerOver, productSlack, sumSlack, densityUnder, densityOver float64
	nearLow, nearHigh, reckonedSlack, relatedSlack, relatedWide                             float64
}

// shares are from when on something counts.
type shares struct {
	leastWorth, tyingRatio, shareSpread, worthwhile, decided, leastBelonging, belongings float64
	likelyReadings, likelyScore, hopeless, usualRate, rateWeight, likelyAsked, often     float64
	sometimes, usualWords, wordsWeight, usualOpen, openWeight, relatedExact, reasonRatio float64
}

// counts are how many are looked at.
type counts struct {
	times, inOne, relatedReadings, unfinished, lookBack float64
}

// fields are the bounds by their names in the table.
func (b *bounds) fields() map[string]*float64 {
	return map[string]*float64{
		"power_slack": &b.powerSlack, "power_rounding": &b.powerRounding, "power_over": &b.powerOver,
		"product_slack": &b.productSlack, "sum_slack": &b.sumSlack, "density_under": &b.densityUnder,
		"density_over": &b.densityOver, "near_low": &b.nearLow, "near_high": &b.nearHigh,
		"reckoned_slack": &b.reckonedSlack, "related_slack": &b.relatedSlack, "related_wide": &b.relatedWide,
		"related_exact": &b.relatedExact, "reason_ratio": &b.reasonRatio, "least_worth": &b.leastWorth,
		"tying_ratio": &b.tyingRatio, "share_spread": &b.shareSpread, "worthwhile": &b.worthwhile,
		"decided": &b.decided, "least_belonging": &b.leastBelonging, "belongings": &b.belongings,
		"likely_readings": &b.likelyReadings, "likely_score": &b.likelyScore, "hopeless": &b.hopeless,
		"usual_rate": &b.usualRate, "rate_weight": &b.rateWeight, "likely_asked": &b.likelyAsked,
		"often": &b.often, "sometimes": &b.sometimes, "times": &b.times,
		"in_one": &b.inOne, "related_readings": &b.relatedReadings,
		"usual_words": &b.usualWords, "words_weight": &b.wordsWeight, "usual_open": &b.usualOpen,
		"open_weight": &b.openWeight, "unfinished": &b.unfinished, "look_back": &b.lookBack,
	}
}

var loadBounds = sync.OnceValue(func() *bounds {
	b := &bounds{}
	schema.MustReadNumbers(tables, "tables/bounds.tsv", "bound", "n", b.fields())
	return b
})
