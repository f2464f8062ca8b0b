package normalize

import (
	"embed"
	"fmt"
	"math"
	"strconv"
	"sync"

	"saywatt/schema"
)

//go:embed tables/*.tsv
var tables embed.FS

// distortion is one row of distortions.tsv.
type distortion uint8

// The distortions, in the order of the table; a test holds the two together.
const (
	intact distortion = iota
	pointLost
	pointWordLost
	pointShownWrong
	pointMisheard
	zeroLost
	splitNumber
	andJoin
	teenTy
	homophone
	toAs2
	toLost
	rangeMerged
	mergedNumbers
	digitDropped
	tensLost
	signStuck
	unitDropped
	unitMisheard
	unitSwapped
	hourLost
	prefixLost
	letterCase
	prefixWrong
	code
	stray
	distortionEnd
)

var distortionNames = [distortionEnd]string{"intact", "point_lost", "point_word_lost", "point_shown_wrong",
	"point_misheard", "zero_lost",
	"split_number", "and_join", "teen_ty", "homophone", "to_as_2", "to_lost", "range_merged", "merged_numbers",
	"digit_dropped", "tens_lost", "sign_stuck", "unit_dropped", "unit_misheard", "unit_swapped",
	"hour_lost", "prefix_lost", "letter_case", "prefix_wrong", "code", "stray"}

// costs holds everything the engine's tables say about the channel: what
// captions do to spoken quantities.
type costs struct {
	cost      [distortionEnd]float32 // -ln P
	words     [distortionEnd]string
	n, of     [distortionEnd]float64 // the table's counts
	confusion map[schema.Unit][]confusion
	decimals  map[schema.Unit]formShare
	anyUnit   formShare
}

// formShare weighs values said with a decimal point against whole ones in a
// unit, relative to all units: factors for the density of the prior.
type formShare struct{ with, without float64 }

// confusion is one way for a clear unit to stand for another.
type confusion struct {
	unit schema.Unit
	by   distortion
	cost float32 // of the distortion and the share together
}

// Weights are the engine's named weights, from tables/weights.tsv.
type Weights struct {
	RoleProperty, RoleSubject, RoleSection, RoleAny, RoleNamed                                      float64
	UsualShare, PlausibleShare, Floor, RepeatShare                                                  float64
	BareNoise, BareExpected                                                                         float64
	HeardNoise, CalledNoise, PhraseNoise                                                            float64
	SoundDoubt, SoundMost, SoundUsual, SoundNext, SoundTemper                                       float64
	SoundNoise, PriceNoise                                                                          float64
	Density, DensityLow, DensityHigh                                                                float64
	RuleTemper, RuleAgainst, OutOfTurn, SizeOrder, SizeFirst, SizeOther, PatternUnit, RuleFor       float64
	UnlikeTurn, BarePoint, WordsTail, PairTail, Equality, SymbolNoise, ReckonedUnit, MillionMilli   float64
	AlikeShare, AlikeWidth, ListNoise                                                               float64
	LevelShort, NearOther, CalendarNoise, ShortCalled, ShortKilo, ShortWord, ShortLetter, CountNoun float64
	ListUnit, StraySpace, CommaPoint, ToPoint, HyphenRange, TeenPoint, GroupedPoint                 float64
	LevelTurn, Adapt                                                                                float64
	NeighbourUnit, AlternateUnit                                                                    float64
	Identity, LevelPower, LevelOver, NearLevel, Sum                                                 float64
	UnmodelledAbsurd                                                                                float64
	PlaceSwitch, PlaceSlack, PlaceDoubt                                                             float64
	DigitAlone, StopRange, SubUnit, SideUnit, UnitBefore, BareLarge                                 float64
	KnownRating                                                                                     float64
	Threshold, Beyond, Emit, Keep, RuleSlack, LearnedWorth                                          float64
}

// DefaultThreshold is the probability above which a reading stands.
func DefaultThreshold() float64 { return loadWeights().Threshold }

var loadWeights = sync.OnceValue(func() Weights {
	var w Weights
	fields := map[string]*float64{"role_property": &w.RoleProperty, "role_subject": &w.RoleSubject,
		"role_section": &w.RoleSection,
		"role_any":     &w.RoleAny, "role_named": &w.RoleNamed, "usual_share": &w.UsualShare,
		"plausible_share": &w.PlausibleShare, "floor": &w.Floor,
		"repeat_share": &w.RepeatShare, "bare_noise": &w.BareNoise, "heard_noise": &w.HeardNoise,
		"called_noise": &w.CalledNoise, "phrase_noise": &w.PhraseNoise,
		"sound_noise": &w.SoundNoise, "price_noise": &w.PriceNoise, "level_turn": &w.LevelTurn,
		"rule_temper":  &w.RuleTemper,
		"rule_against": &w.RuleAgainst, "rule_for": &w.RuleFor, "out_of_turn": &w.OutOfTurn,
		"unlike_turn": &w.UnlikeTurn, "list_noise": &w.ListNoise, "list_unit": &w.ListUnit,
		"pattern_unit": &w.PatternUnit, "stray_space": &w.StraySpace,
		"comma_point": &w.CommaPoint, "to_point": &w.ToPoint, "hyphen_range": &w.HyphenRange,
		"teen_point": &w.TeenPoint, "grouped_point": &w.GroupedPoint, "alike_share": &w.AlikeShare,
		"alike_width": &w.AlikeWidth, "bare_point": &w.BarePoint, "words_tail": &w.WordsTail, "pair_tail": &w.PairTail,
		"million_milli": &w.MillionMilli, "reckoned_unit": &w.ReckonedUnit, "symbol_noise": &w.SymbolNoise,
		"equality": &w.Equality, "size_order": &w.SizeOrder, "size_first": &w.SizeFirst, "size_other": &w.SizeOther,
		"density":     &w.Density,
		"density_low": &w.DensityLow, "density_high": &w.DensityHigh, "adapt": &w.Adapt,
		"bare_expected":  &w.BareExpected,
		"neighbour_unit": &w.NeighbourUnit, "alternate_unit": &w.AlternateUnit, "identity": &w.Identity,
		"level_power": &w.LevelPower, "level_over": &w.LevelOver, "near_level": &w.NearLevel, "sum": &w.Sum,
		"known_rating": &w.KnownRating,
		"threshold":    &w.Threshold, "beyond": &w.Beyond, "emit": &w.Emit, "keep": &w.Keep}
	fields["rule_slack"], fields["learned_worth"] = &w.RuleSlack, &w.LearnedWorth
	fields["digit_alone"] = &w.DigitAlone
	fields["stop_range"] = &w.StopRange
	fields["sub_unit"] = &w.SubUnit
	fields["side_unit"] = &w.SideUnit
	fields["bare_large"] = &w.BareLarge
	fields["unit_before"] = &w.UnitBefore
	fields["level_short"], fields["near_other"], fields["calendar_noise"] = &w.LevelShort, &w.NearOther,
		&w.CalendarNoise
	fields["short_called"], fields["short_kilo"], fields["short_word"] = &w.ShortCalled, &w.ShortKilo, &w.ShortWord
	fields["short_letter"], fields["count_noun"] = &w.ShortLetter, &w.CountNoun
	fields["unmodelled_absurd"] = &w.UnmodelledAbsurd
	fields["place_switch"] = &w.PlaceSwitch
	fields["place_doubt"] = &w.PlaceDoubt
	fields["place_slack"] = &w.PlaceSlack
	fields["sound_doubt"], fields["sound_most"] = &w.SoundDoubt, &w.SoundMost
	fields["sound_usual"], fields["sound_next"], fields["sound_temper"] = &w.SoundUsual, &w.SoundNext, &w.SoundTemper
	for _, r := range schema.MustReadTable(tables, "tables/weights.tsv").Rows {
		f, ok := fields[r.Get("name")]
		if !ok {
			panic("weights.tsv: unknown weight " + r.Get("name"))
		}
		v, err := strconv.ParseFloat(r.Get("value"), 64)
		if err != nil {
			panic(err)
		}
		*f = v
		delete(fields, r.Get("name"))
	}
	for name := range fields {
		panic("weights.tsv: no weight " + name)
	}
	return w
})

var loadCosts = sync.OnceValue(func() *costs {
	c := &costs{confusion: map[schema.Unit][]confusion{}}
	rows := schema.MustReadTable(tables, "tables/distortions.tsv").Rows
	if len(rows) != int(distortionEnd) {
		panic(fmt.Sprintf("distortions.tsv: %d rows, want %d", len(rows), distortionEnd))
	}
	byName := map[string]distortion{}
	for i, r := range rows {
		if r.Get("name") != distortionNames[i] {
			panic("distortions.tsv: row order: " + r.Get("name"))
		}
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		of, err2 := strconv.ParseFloat(r.Get("of"), 64)
		if err1 != nil || err2 != nil || of < n {
			panic("distortions.tsv: counts of " + r.Get("name"))
		}
		c.n[i], c.of[i] = n, of
		c.cost[i] = costOf(n, of)
		c.words[i] = r.Get("words")
		byName[r.Get("name")] = distortion(i)
	}
	for _, r := range schema.MustReadTable(tables, "tables/unitconfusions.tsv").Rows {
		by, ok := byName[r.Get("distortion")]
		if !ok {
			panic("unitconfusions.tsv: distortion " + r.Get("distortion"))
		}
		share, err := strconv.ParseFloat(r.Get("share"), 64)
		if err != nil {
			panic(err)
		}
		heard := schema.Unit(r.Get("heard"))
		c.confusion[heard] = append(c.confusion[heard],
			confusion{schema.Unit(r.Get("meant")), by, c.cost[by] - float32(math.Log(share))})
	}
	c.readDecimals()
	return c
})

// readDecimals reads decimals.tsv, smoothed with two imagined values at the
// overall share.
func (c *costs) readDecimals() {
	c.decimals = map[schema.Unit]formShare{}
	overall := 0.0
	for _, r := range schema.MustReadTable(tables, "tables/decimals.tsv").Rows {
		n, err1 := strconv.ParseFloat(r.Get("n"), 64)
		with, err2 := strconv.ParseFloat(r.Get("with"), 64)
		if err1 != nil || err2 != nil {
			panic("decimals.tsv: counts of " + r.Get("unit"))
		}
		if overall == 0 { // the first row is *
			overall = with / n
			c.anyUnit = formShare{1, 1}
			continue
		}
		share := (with + 2*overall) / (n + 2)
		c.decimals[schema.Unit(r.Get("unit"))] = formShare{share / overall, (1 - share) / (1 - overall)}
	}
}

// form returns the factor for a number said in the unit: with a point or
// without.
func (c *costs) form(u schema.Unit, decimal bool) float64 {
	f, ok := c.decimals[u]
	if !ok {
		f = c.anyUnit
	}
	if decimal {
		return f.with
	}
	return f.without
}
