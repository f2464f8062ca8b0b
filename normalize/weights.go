package normalize

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"saywatt/schema"
)

// Weights are the engine's named weights. Each is the row of tables/weights.tsv
// of its name: RoleProperty is role_property. The rows have the numbers, and say
// where they are from.
type Weights struct {
	// probability of the kind that a property word calls for
	RoleProperty float64
	// probability of a kind that the part spoken of has
	RoleSubject float64
	// probability of a kind that the section has
	RoleSection float64
	// probability of any other kind
	RoleAny float64
	// what another role keeps where words near name a measured property: "no load" is no load's power
	RoleNamed float64
	// share of values that repeat one said before of the same role
	RepeatShare float64
	// probability that a number with a word that often stands for a unit is no quantity where its place calls
	// for that unit
	CalledNoise float64
	// probability that a number with a word that often stands for a unit is no quantity
	HeardNoise float64
	// the same where several words stand for the unit
	PhraseNoise float64
	// how much likelier than its share among the words before units without a number a word makes it that no
	// number was said
	SoundNoise float64
	// probability that a sum of money stands where a level is read out
	PriceNoise float64
	// probability of the kind whose turn it is where voltages and currents alternate
	LevelTurn float64
	// how many quantities the counts of the table weigh against those of the file itself
	Adapt float64
	// probability that a bare number with no sign of a unit is no quantity
	BareNoise float64
	// probability that a bare number is no quantity where its place calls for one
	BareExpected float64
	// probability that a bare number in a list has its neighbour's unit
	NeighbourUnit float64
	// probability that a bare number has the unit of one quantity near it, though nothing else says so
	RecentUnit float64
	// extra cost of a garbled number whose unit is written with a letter that captions do not write
	TypedUnit float64
	// probability that a bare number has a unit that stands near it without a number
	LoneUnit float64
	// least probability of a unit that is entered because numbers have it in a place that the number may be of
	PlaceUnit float64
	// extra cost of a unit that only the part spoken of calls for
	OnlyPart float64
	// extra cost of a unit that only the section calls for
	OnlySection float64
	// extra cost of reading "million" without a unit behind it as a unit with milli
	MillionAlone float64
	// how many times less likely it is that a number is no quantity where a list or the word million vouches for it
	ListSure float64
	// probability that a bare number next to a voltage is its current, or before a current its voltage
	AlternateUnit float64
	// likelihood ratio of an exact physical identity between three quantities said close together
	Identity float64
	// likelihood ratio of volt times ampere giving a power said for the same port
	LevelPower float64
	// likelihood ratio of volt times ampere above the power given
	LevelOver float64
	// likelihood ratio of a measured voltage within five percent of the level under test
	NearLevel float64
	// likelihood ratio of parts giving a total said elsewhere (said right behind them: identity)
	Sum float64
	// probability above which a reading stands
	Threshold float64
	// times that a value may lie outside what is plausible in its place and still stand as heard
	Beyond float64
	// probability that a bare number is a quantity above which it is reported
	Emit float64
	// readings further than this below the best are dropped before joint evidence
	Keep float64
	// likelihood ratio of a plausible density of the product (and its inverse for an absurd one)
	Density float64
	// kg/m3, low end of usual densities (handbook 5.4, common practice)
	DensityLow float64
	// kg/m3, high end (handbook 5.4, common practice)
	DensityHigh float64
	// power to which the evidence of a rule is taken: rules overlap with each other and with the priors
	RuleTemper float64
	// lowest likelihood ratio that one case of a rule may give: that the case itself is misplaced is never far
	// off
	RuleAgainst float64
	// highest likelihood ratio that one case of a rule may give: that of an identity
	RuleFor float64
	// share of its weight that a current keeps right behind another current where levels are read out
	OutOfTurn float64
	// likelihood ratio of three edges said from the longest to the shortest
	SizeOrder float64
	// likelihood ratio of three edges said with the longest first, the others as it comes: 3 of 12, 2 of 12 by
	// chance
	SizeFirst float64
	// likelihood ratio of three edges said otherwise: none of 12, 8 of 12 by chance
	SizeOther float64
	// probability that a bare number has its list's unit although, where voltages and currents alternate, the
	// other kind is due
	UnlikeTurn float64
	// share of numbers with a unit symbol in its own letter case behind them (12 V, 40 mV) that are no quantity
	SymbolNoise float64
	// share of bare numbers that are the product or the quotient of the two quantities before, within 2 %,
	// which are meant so; common practice, no source
	ReckonedUnit float64
	// share of "million" between a number and a unit that was milli: shared garbles, row 6, dozens
	MillionMilli float64
	// extra cost of reading digits behind a bare point (.8) as a number of their own right behind another
	// number
	BarePoint float64
	// a rule that is kept where any of its values is larger by this part of it or smaller is an inequality, and
	// speaks for none
	RuleSlack float64
	// evidence of a rule below this many nats, where it is kept, counts for nothing: an inequality is kept by
	// most wrong readings too
	Equality float64
	// share of values that are of the magnitude of others said for the same role in the review
	AlikeShare float64
	// decades: how far from another value that reaches
	AlikeWidth float64
	// probability that the bare numbers of a list have the unit said behind its last
	ListUnit float64
	// probability that the bare number of a pair has the unit that stood there the last time a pair ended so
	PatternUnit float64
	// extra cost of a stray number right before another, with nothing between
	StraySpace float64
	// probability that a bare number is no quantity in a list that ends with a unit, or behind "volts at"
	ListNoise float64
	// the least probability that a value above everything that is plausible for its kind in any place is
	// something the engine has no model of: never enough to stand
	UnmodelledAbsurd float64
	// the same of a number that the captions mark with a question mark: who wrote them was not sure of it
	MarkedUnsure float64
	// likelihood ratio of a rating that the user's glossary knows of the part (common practice, no source)
	KnownRating float64
	// nats by which a range shown with a hyphen, a dash or points between is likelier than the decimal that
	// captions may show so (3-25 for 3.25), until another value speaks for that
	HyphenRange float64
	// how many times likelier a value must make another place than the likeliest by its words, before the value
	// is given that place
	PlaceSwitch float64
	// the same, where the likeliest by its words is no field of the record
	PlaceLeave float64
	// how many times beyond the plausible bounds of every place that it may have a value must be, to be beyond
	// all reason
	PlaceSlack float64
	// likelihood ratio of volt times ampere that fall short of, or go a little past, the power given
	LevelShort float64
	// likelihood ratio of a measured voltage that is not within five percent of the level under test
	NearOther float64
	// probability that a number with a unit is no quantity where the words around make it a price, a year or
	// the like
	CalendarNoise float64
	// probability that a number with a short form behind it is no quantity where its part or property calls for
	// that unit
	ShortCalled float64
	// probability that a number with a lone K behind it is no quantity
	ShortKilo float64
	// probability that a number with micro, nano or pico behind it is no quantity
	ShortWord float64
	// probability that a number with another lone letter behind it is no quantity
	ShortLetter float64
	// share of bare numbers with a noun right behind them that count nothing
	CountNoun float64
	// probability of the place that a value is given, below which the record lists what else it may belong to
	PlaceDoubt float64
	// probability that a bare number right behind a larger unit is in the next smaller one: one hour 48
	SubUnit float64
	// probability that a bare number that is called a side has the unit of the length said before it (that it
	// is a quantity at all: 21 of 23)
	SideUnit float64
	// probability that a bare number has the unit of the quantity before it, nothing else being known of it: 51
	// of 204 in the marked narrations
	UnitBefore float64
	// probability that a bare number above a dozen, or one with a point, is no quantity where no noun follows:
	// 69 of 221 in the marked narrations
	BareLarge float64
	// how much likelier it gets that a number with words behind it that sound like a unit is no quantity, a nat
	// that the sounds are apart
	SoundDoubt float64
	// the most probability of that
	SoundMost float64
	// share of a word that was never counted, before a unit without a number
	SoundUsual float64
	// what sound_noise keeps right behind another quantity, where a unit word without a number hardly stands
	SoundNext float64
	// power to which the evidence of a unit's sound is taken: the words shown were chosen among those that make
	// sense to the recogniser, not by sound alone
	SoundTemper float64
}

// DefaultThreshold is the probability above which a reading stands.
func DefaultThreshold() float64 { return loadWeights().Threshold }

var loadWeights = sync.OnceValue(func() Weights {
	var w Weights
	if err := readWeights(schema.MustReadTable(tables, "tables/weights.tsv"), &w); err != nil {
		panic(err)
	}
	return w
})

// readWeights sets each field of w from the row of its name, and refuses a field
// without a row and a row without a field.
func readWeights(t *schema.Table, w *Weights) error {
	fields := map[string]reflect.Value{}
	v := reflect.ValueOf(w).Elem()
	for i := range v.NumField() {
		fields[rowName(v.Type().Field(i).Name)] = v.Field(i)
	}
	for _, r := range t.Rows {
		name := r.Get("name")
		f, ok := fields[name]
		if !ok {
			return fmt.Errorf("weights.tsv:%d: unknown weight %s: Weights in weights.go has no such field, or "+
				"the row stands twice", r.Line, name)
		}
		x, err := strconv.ParseFloat(r.Get("value"), 64)
		if err != nil {
			return fmt.Errorf("weights.tsv:%d: %w", r.Line, err)
		}
		f.SetFloat(x)
		delete(fields, name)
	}
	for i := range v.NumField() {
		if name := rowName(v.Type().Field(i).Name); fields[name].IsValid() {
			return fmt.Errorf("weights.tsv: no weight %s, which Weights in weights.go has", name)
		}
	}
	return nil
}

// rowName is the name of a field in the table: role_property of RoleProperty.
func rowName(field string) string {
	var name strings.Builder
	for i, c := range field {
		if i > 0 && unicode.IsUpper(c) {
			name.WriteByte('_')
		}
		name.WriteRune(unicode.ToLower(c))
	}
	return name.String()
}
