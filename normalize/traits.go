package normalize

import (
	"slices"
	"strings"
	"sync"

	"saywatt/extract/feature"
	"saywatt/extract/place"
	"saywatt/normalize/channel"
	"saywatt/schema"
)

// A trait is something that can be seen of a reading before its neighbours are
// asked: what captions did to it and how the number is written, whether its
// value is usual in its place, how much else in the file is garbled. Its weight,
// in nats, is fitted on marked narrations (traits.tsv), around zero: without
// weights the terms of the score stand as they are.

// A family is a sort of traits: one for each combination of its dimensions.
type family struct {
	name  string
	dims  []dimension
	sizes []int32 // of the dimensions
	base  int32   // row of its first trait
	size  int32
}

// A dimension is what a family looks at, by the names of what it may be.
type dimension []string

// What families look at.
var (
	distortionDim = dimension(channel.Names())
	styleDim      = dimension{"none", "digits", "words", "pair", "spell", "mixed", "broken", "sound", "heard", "bare",
		"exact"}
	mannerDim = dimension{"none", "said", "short", "heard"}
	fromDim   = dimension{"none", "own", "group", "list"}
	jointDim  = dimension{"none", "space", "comma", "and", "or", "at", "by", "slash", "plus", "stop", "colon",
		"dash", "word", "to"}
	notDim = dimension{"quantity", "code", "version", "price", "year", "clock", "ordinal", "score", "calendar",
		"idiom", "pronoun", "count"}
	captionsDim = dimension{"punctuated", "plain"}
	digitsDim   = dimension{"0", "1", "2", "3", "4", "5", "6"}
	lastDim     = dimension{"other", "five", "zero"}
	decimalsDim = dimension{"0", "1", "2", "3"}
	shapeDim    = dimension{"usual_grid", "usual", "plausible", "outside", "homeless"}
	levelDim    = dimension{"any", "section", "subject", "property", "none"}
	saidDim     = dimension{"alone", "unlike", "alike", "same"}
	shareDim    = dimension{"sure", "likely", "even", "unlikely", "other"}
	breakDim    = dimension{"whole", "broken"}
	nearDim     = dimension{"clean", "some", "many"}
	oddDim      = dimension{"groundless", "tail", "bare"}
	pointsDim   = dimension{"none_of_few", "none_of_many", "some", "half", "most"}
	soundDim    = dimension{"clear", "near", "apart", "far"}
	ownDim      = dimension{"unseen", "seldom", "usual"}
	askedDim    = dimension{"sure", "likely", "doubtful", "none"}
	pointDim    = dimension{"whole", "point"}
	sectionDim  = dimension{"none", "product", "body", "input", "output", "battery", "cable", "wireless", "teardown",
		"test", "thermal", "closing"}
	qualifierDim = dimension{"none", "about", "at_least", "at_most", "over", "under", "typical", "peak", "minimum",
		"maximum", "nominal", "peak_to_peak"}
)

// roleDimension names the roles, sorted.
func roleDimension() dimension {
	d := dimension{"none"}
	for i := range loadRoles().Roles {
		d = append(d, loadRoles().Roles[i].Name)
	}
	return slices.Compact(slices.Sorted(slices.Values(d)))
}

// classDimension names the places that a quantity can have.
func classDimension() (d dimension) {
	for c := range place.Classes() {
		d = append(d, place.Class(c).String())
	}
	return d
}

func kindDimension() (d dimension) {
	for k := schema.KindUnknown; k <= schema.KindOther; k++ {
		d = append(d, k.String())
	}
	return d
}

// at is the place of a name in a sorted dimension.
func (d dimension) at(name string) int32 {
	i, _ := slices.BinarySearch(d, name)
	return int32(i)
}

// familyTable has the families with the rows of their traits.
type familyTable struct {
	list   []family
	roles  dimension
	ofRole []int32 // place of each role among roles; the last is that of none
	count  int32   // of all traits
}

// loadFamilies makes the table: the names of roles and kinds are tables too.
var loadFamilies = sync.OnceValue(func() *familyTable {
	t := &familyTable{roles: roleDimension()}
	t.list = familiesOf(t.roles, kindDimension())
	for i := range t.list {
		f := &t.list[i]
		f.base, f.size = t.count, 1
		for _, d := range f.dims {
			f.size *= int32(len(d))
			f.sizes = append(f.sizes, int32(len(d)))
		}
		t.count += f.size
	}
	roles := loadRoles().Roles
	for i := range roles {
		t.ofRole = append(t.ofRole, t.roles.at(roles[i].Name))
	}
	t.ofRole = append(t.ofRole, t.roles.at("none"))
	return t
})

// familiesOf lists the sorts of traits. The second group is of numbers that are no
// quantity, the third of the doubt whether a node has a right reading.
func familiesOf(roleDim, kindDim dimension) []family {
	return []family{
		{name: "way.style.captions", dims: []dimension{distortionDim, styleDim, captionsDim}},
		{name: "way.kind", dims: []dimension{distortionDim, kindDim}},
		{name: "way.digits.last", dims: []dimension{distortionDim, digitsDim, lastDim}},
		{name: "way.digits.decimals", dims: []dimension{distortionDim, digitsDim, decimalsDim}},
		{name: "way.shape", dims: []dimension{distortionDim, shapeDim}},
		{name: "way.level", dims: []dimension{distortionDim, levelDim}},
		{name: "way.joint", dims: []dimension{distortionDim, jointDim}},
		{name: "way.unit", dims: []dimension{distortionDim, fromDim, mannerDim}},
		{name: "way.said", dims: []dimension{distortionDim, saidDim}},
		{name: "way.break", dims: []dimension{distortionDim, breakDim}},
		{name: "way.near", dims: []dimension{distortionDim, nearDim}},
		{name: "way.rate", dims: []dimension{distortionDim}},
		{name: "shape.level", dims: []dimension{shapeDim, levelDim}},
		{name: "kind.digits.decimals", dims: []dimension{kindDim, digitsDim, decimalsDim}},
		{name: "kind.shape", dims: []dimension{kindDim, shapeDim}},
		{name: "place", dims: []dimension{shareDim}},
		{name: "role.decimals", dims: []dimension{roleDim, decimalsDim}},
		{name: "way.points", dims: []dimension{distortionDim, pointsDim}},
		{name: "way.section", dims: []dimension{distortionDim, sectionDim}},
		{name: "way.qualifier", dims: []dimension{distortionDim, qualifierDim}},
		{name: "before.kind.joint", dims: []dimension{kindDim, kindDim, jointDim}},
		{name: "way.sound", dims: []dimension{distortionDim, soundDim}},
		{name: "role.size", dims: []dimension{roleDim, sizeSteps.dimension()}},
		{name: "kind.mantissa", dims: []dimension{kindDim, mantissaDimension()}},
		{name: "kind.before", dims: []dimension{kindDim, ratioDimension()}},
		{name: "kind.after", dims: []dimension{kindDim, ratioDimension()}},
		{name: "pair.before", dims: []dimension{kindDim, kindDim, pairSteps.dimension()}},
		{name: "pair.after", dims: []dimension{kindDim, kindDim, pairSteps.dimension()}},
		{name: "kind.decimals.near", dims: []dimension{kindDim, decimalsDim, nearDecimalsDim}},
		{name: "kind.unit.near", dims: []dimension{kindDim, nearUnitDim, fromDim}},
		{name: "way.class", dims: []dimension{distortionDim, classDimension()}},
		{name: "class.kind.size", dims: []dimension{classDimension(), kindDim, pairSteps.dimension()}},
		{name: "way.echo", dims: []dimension{distortionDim, echoDim}},
		{name: "source.kind", dims: []dimension{unitSourceNames[:], kindDim}},
		{name: "source.joint", dims: []dimension{unitSourceNames[:], jointDim}},
		{name: "source.class", dims: []dimension{unitSourceNames[:], classDimension()}},
		{name: "turn.kind", dims: []dimension{turnDim, kindDim}},
		{name: "way.alike", dims: []dimension{distortionDim, alikeDim}},
		{name: "kind.alike", dims: []dimension{kindDim, alikeDim}},
		{name: "way.before", dims: []dimension{distortionDim, besideDim}},
		{name: "way.words", dims: []dimension{distortionDim}},
		{name: "unit.same", dims: []dimension{distortionDim}},
		{name: "unit.other", dims: []dimension{distortionDim}},

		{name: "no.style.captions", dims: []dimension{styleDim, captionsDim}},
		{name: "no.unit", dims: []dimension{fromDim, mannerDim}},
		{name: "no.not", dims: []dimension{notDim}},
		{name: "no.joint", dims: []dimension{jointDim}},
		{name: "no.digits.last", dims: []dimension{digitsDim, lastDim}},
		{name: "no.share", dims: nil},
		{name: "no.sound.own", dims: []dimension{soundDim, ownDim}},
		{name: "no.sound.asked", dims: []dimension{soundDim, askedDim}},
		{name: "no.sound.digits", dims: []dimension{digitsDim, pointDim}},
		{name: "no.sound.word.own", dims: []dimension{soundDim, ownDim}},
		{name: "no.sound.word.asked", dims: []dimension{askedDim}},
		{name: "no.unit.words"},

		{name: "doubt.captions", dims: []dimension{captionsDim}},
		{name: "doubt.odd", dims: []dimension{oddDim}},
		{name: "doubt.elided", dims: []dimension{fromDim, jointDim, shareDim}},
		{name: "doubt.source", dims: []dimension{unitSourceNames[:], kindDim}},
		{name: "doubt.turn", dims: []dimension{turnDim}},
		{name: "doubt.way", dims: []dimension{distortionDim, captionsDim}},
		{name: "doubt.shape", dims: []dimension{shapeDim, levelDim}},
		{name: "doubt.place", dims: []dimension{shareDim}},
		{name: "doubt.style", dims: []dimension{styleDim}},
		{name: "doubt.kind", dims: []dimension{kindDim}},
		{name: "doubt.near", dims: []dimension{nearDim}},
		{name: "doubt.rate", dims: []dimension{captionsDim}},
		{name: "doubt.sound", dims: []dimension{soundDim}},
		{name: "doubt.sound.asked", dims: []dimension{askedDim}},
		{name: "doubt.sound.word", dims: []dimension{soundDim}},
		{name: "doubt.sound.word.asked", dims: []dimension{askedDim}},
		{name: "doubt.before", dims: []dimension{besideDim, captionsDim}},
		{name: "doubt.behind", dims: []dimension{besideDim, captionsDim}},
		{name: "doubt.words", dims: []dimension{captionsDim}},
		{name: "doubt.open", dims: []dimension{captionsDim}},
		{name: "doubt.belief.captions", dims: []dimension{beliefDim, captionsDim}},
		{name: "doubt.belief.way", dims: []dimension{beliefDim, distortionDim}},
		{name: "doubt.belief.kind", dims: []dimension{beliefDim, kindDim}},
	}
}

// The families by name, in the order of the table above.
const (
	wayStyle = iota
	wayKind
	wayDigits
	wayDecimals
	wayShape
	wayLevel
	wayJoint
	wayUnit
	waySaid
	wayBreak
	wayNear
	wayRate
	shapeLevel
	kindDigits
	kindShape
	placeShare
	roleDecimals
	wayPoints
	waySection
	wayQualifier
	beforeKind
	waySound
	roleSize
	kindMantissa
	kindBefore
	kindAfter
	pairBefore
	pairAfter
	kindDecimalsNear
	kindUnitNear
	wayClass
	classKindSize
	wayEcho
	sourceKind
	sourceJoint
	sourceClass
	turnKind
	wayAlike
	kindAlike
	wayBefore
	wayWords
	unitSame
	unitOther
	noStyle
	noUnit
	noNot
	noJoint
	noDigits
	noShare
	noSoundOwn
	noSoundAsked
	noSoundDigits
	noWordOwn
	noWordAsked
	noUnitWords
	doubtCaptions
	doubtOdd
	doubtElided
	doubtSource
	doubtTurn
	doubtWay
	doubtShape
	doubtPlace
	doubtStyle
	doubtKind
	doubtNear
	doubtRate
	doubtSound
	doubtSoundAsked
	doubtWord
	doubtWordAsked
	doubtBefore
	doubtBehind
	doubtWords
	doubtOpen
	doubtBelief
	doubtBeliefWay
	doubtBeliefKind
)

// TraitNames lists the names of all traits, in the order of their rows.
func TraitNames() []string {
	t := loadFamilies()
	names := make([]string, 0, t.count)
	for i := range t.list {
		f := &t.list[i]
		for k := range f.size {
			suffix, rest := "", k
			for d := len(f.dims) - 1; d >= 0; d-- {
				n := int32(len(f.dims[d]))
				suffix = " " + f.dims[d][rest%n] + suffix
				rest /= n
			}
			names = append(names, f.name+suffix)
		}
	}
	return names
}

// Traits are the weights of the traits, by row.
type Traits []float64

// DefaultTraits returns the weights of the table.
func DefaultTraits() Traits { return slices.Clone(loadTraits()) }

// ReadTraits has the table read where it was not yet.
func ReadTraits() { loadTraits() }

var loadTraits = sync.OnceValue(func() Traits {
	families := loadFamilies()
	w := make(Traits, families.count)
	feature.EachNumber("traits.tsv", traitsTable, "trait", "weight", func(name string, weight float64) {
		row, ok := families.row(name)
		if !ok {
			panic("traits.tsv: unknown trait " + name)
		}
		w[row] = weight
	})
	return w
})

// row finds the row of a trait by its name: the family, and what it is in each of
// the dimensions.
func (t *familyTable) row(name string) (int32, bool) {
	called, rest, _ := strings.Cut(name, " ")
	i := slices.IndexFunc(t.list, func(f family) bool { return f.name == called })
	if i < 0 {
		return 0, false
	}
	row := int32(0)
	for _, d := range t.list[i].dims {
		var word string
		word, rest, _ = strings.Cut(rest, " ")
		at := slices.Index(d, word)
		if at < 0 {
			return 0, false
		}
		row = row*int32(len(d)) + int32(at)
	}
	return t.list[i].base + row, rest == ""
}
