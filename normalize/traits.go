package normalize

import (
	"math"
	"slices"
	"strings"
	"sync"

	"saywatt/extract"
	"saywatt/extract/feature"
	"saywatt/extract/place"
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
	distortionDim = dimension(distortionNames[:])
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
	for i := range loadRoles().roles {
		d = append(d, roleTrait(&loadRoles().roles[i]))
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
	roles := loadRoles().roles
	for i := range roles {
		t.ofRole = append(t.ofRole, t.roles.at(roleTrait(&roles[i])))
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

// seenTrait is a trait with how much of it was seen.
type seenTrait struct {
	row   int32
	value float32
}

// traitList collects the traits of a reading.
type traitList struct {
	seen     []seenTrait
	families *familyTable
}

// add enters the trait of a family at the indices of its dimensions.
func (l *traitList) add(fam int, value float32, at ...int) {
	f := &l.families.list[fam]
	row := int32(0)
	for i, a := range at {
		n := f.sizes[i]
		row = row*n + min(max(int32(a), 0), n-1)
	}
	l.seen = append(l.seen, seenTrait{f.base + row, value})
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

// nodeView is what is seen of a node, whatever the reading.
type nodeView struct {
	m        *extract.Mention
	digits   int
	last     int
	broken   int
	near     int
	rate     float32
	captions int
	ear      heardView
	at       int // index of the node
	before   int // the words beside it, by besideDim
	behind   int
}

// usualRate is the share of quantities that captions garble, to measure a
// file's own against: that of the marked narrations.
const usualRate = 0.2

// rateWeight is how many quantities of the usual rate are added to a file's own.
const rateWeight = 6

// garbled reports whether captions did anything to a reading but leave its unit
// out, which speakers do too.
func (c *candidate) garbled() bool {
	for _, d := range c.by {
		if d != intact && d != unitDropped {
			return !c.nothing
		}
	}
	return false
}

// experience adds the weights of the traits to the score of every reading. How
// much of the file is garbled, and of what stands near, is read off the first
// pass, without the node itself.
func (e *engine) experience() {
	e.observe(func(c *candidate, l []seenTrait) {
		sum := e.traits.sum(l)
		if e.keep {
			c.kept = int32(len(e.kept))
			e.kept = append(e.kept, slices.Clone(l))
		}
		if e.without&PartTraits != 0 {
			sum = 0
		}
		c.trait = float32(sum)
		c.score += c.trait
	})
	for i := range e.nodes {
		sortCandidates(e.cands[e.nodes[i].from:e.nodes[i].to])
	}
}

// observe shows the traits of every reading of every node that nobody decided.
func (e *engine) observe(show func(*candidate, []seenTrait)) {
	garbled := make([]float64, len(e.nodes))
	total, count := 0.0, 0.0
	for i := range e.nodes {
		n := &e.nodes[i]
		for k := n.from; k < n.to; k++ {
			if c := &e.cands[k]; c.garbled() {
				garbled[i] += c.posterior
			}
		}
		if n.to > n.from {
			total += garbled[i]
			count++
		}
	}
	list := traitList{families: loadFamilies()}
	e.countPoints()
	e.lookAround()
	e.views = empty(e.views, len(e.nodes))[:len(e.nodes)]
	clear(e.views)
	for i := range e.nodes {
		n := &e.nodes[i]
		if n.settled || n.to == n.from {
			continue
		}
		v := e.view(n)
		v.rate = float32(math.Log((total - garbled[i] + rateWeight*usualRate) / (count - 1 + rateWeight) / usualRate))
		v.near = nearBin(garbled, i)
		v.at = i
		v.before, v.behind = e.beside(n)
		e.views[i] = v
		for k := n.from; k < n.to; k++ {
			list.seen = list.seen[:0]
			e.see(&list, n, &v, &e.cands[k])
			show(&e.cands[k], list.seen)
		}
	}
}

// garbledNear is how many quantities to each side say how garbled the captions
// are here; common practice, no source.
const garbledNear = 3

// nearBin tells how much of what stands near is garbled.
func nearBin(garbled []float64, i int) int {
	sum := 0.0
	for k := max(0, i-garbledNear); k <= min(len(garbled)-1, i+garbledNear); k++ {
		if k != i {
			sum += garbled[k]
		}
	}
	switch {
	case sum < 0.5:
		return 0
	case sum < 1.5:
		return 1
	}
	return 2
}

// view looks at a node.
func (e *engine) view(n *node) nodeView {
	m := e.mention(n.last - 1)
	v := nodeView{m: m}
	v.captions = boolInt(e.plain)
	v.ear = e.heardView(m)
	if p, ok := e.pieceOf(m); ok {
		v.digits = p.n
		switch p.digits[p.n-1] {
		case '5':
			v.last = 1
		case '0':
			v.last = 2
		}
	}
	for _, t := range e.doc.Tokens[m.First:m.Last] {
		if t.Kind == extract.TokenBreak {
			v.broken = 1
		}
	}
	return v
}

// How much of a trait is seen scales the pull of its weight towards nothing: the
// priors know most of how many digits are usual, nothing knows of bare numbers.
const (
	slight = 0.5
	strong = 3
)

// see lists the traits of a reading.
func (e *engine) see(l *traitList, n *node, v *nodeView, c *candidate) {
	m := v.m
	if c.nothing {
		l.add(noStyle, 1, int(m.Style), v.captions)
		l.add(noUnit, 1, int(m.From), int(m.Unit.Manner))
		l.add(noNot, 1, int(m.Not))
		l.add(noJoint, 1, int(m.Joint))
		l.add(noDigits, 1, v.digits, v.last)
		l.add(noShare, c.context)
		switch ear := &v.ear; ear.what {
		case heardUnit:
			l.add(noSoundOwn, 1, ear.apart, ear.own)
			l.add(noSoundAsked, 1, ear.apart, ear.asked)
			l.add(noSoundDigits, 1, v.digits, boolInt(m.Low.Exp < 0))
		case heardNumber:
			l.add(noWordOwn, 1, ear.apart, ear.own)
			l.add(noWordAsked, 1, ear.asked)
		}
		return
	}
	shape, level := e.shape(c)
	decimals := max(0, int(-c.hi.Exp))
	done := [3]distortion{distortionEnd, distortionEnd, distortionEnd}
	for k, d := range c.by {
		if k > 0 && (d == intact || d == done[0] || d == done[1]) {
			continue
		}
		if d == intact && (c.by[1] != intact || c.by[2] != intact) {
			continue
		}
		done[k] = d
		w := int(d)
		l.add(wayStyle, 1, w, int(m.Style), v.captions)
		l.add(wayKind, 1, w, int(c.kind))
		l.add(wayDigits, 1, w, v.digits, v.last)
		l.add(wayDecimals, 1, w, v.digits, decimals)
		l.add(wayShape, 1, w, shape)
		l.add(wayLevel, 1, w, level)
		l.add(wayJoint, 1, w, int(m.Joint))
		l.add(wayUnit, 1, w, int(m.From), int(m.Unit.Manner))
		l.add(waySaid, 1, w, saidBin(c))
		l.add(wayBreak, 1, w, v.broken)
		l.add(wayNear, 1, w, v.near)
		l.add(wayRate, v.rate, w)
		l.add(wayBefore, 1, w, v.before)
		l.add(wayPoints, 1, w, e.points(c.kind))
		if v.ear.what == heardUnit {
			l.add(waySound, 1, w, v.ear.apart)
		}
		l.add(waySection, 1, w, int(m.Context.Section))
		l.add(wayQualifier, 1, w, int(m.Qualifier))
	}
	l.add(shapeLevel, 1, shape, level)
	l.add(kindDigits, slight, int(c.kind), significant(c.hi).n, decimals)
	l.add(kindShape, 1, int(c.kind), shape)
	l.add(placeShare, 1, placeBin(m, c))
	role := len(e.roles.roles)
	if c.role >= 0 {
		role = int(c.role)
	}
	r := int(l.families.ofRole[role])
	l.add(roleDecimals, 1, r, decimals)
	e.seeSize(l, v, c, r)
	e.seeNeighbours(l, v, c)
	before := 0
	if i := n.last - 2; i >= 0 && e.mention(i).From == extract.UnitOwn {
		before = int(e.mention(i).Unit.Unit.Kind())
	}
	if m.From != extract.UnitOwn {
		l.add(beforeKind, 1, before, int(c.kind), int(m.Joint))
		e.seeSource(l, v, c)
	}
}

func roleTrait(o *role) string { return o.name }

// saidBin tells how a value stands to the others said for its role.
func saidBin(c *candidate) int {
	switch {
	case c.repeat > 0.7:
		return 3
	case c.repeat > 0:
		return 2
	case c.repeat < -0.1:
		return 1
	}
	return 0
}

// placeBin tells how sure the place is that a reading is for.
func placeBin(m *extract.Mention, c *candidate) int {
	switch {
	case len(m.Places) == 0:
		return 0
	case c.place > 0:
		return 4
	}
	switch p := m.Places[0].P; {
	case p >= 0.95:
		return 0
	case p >= 0.8:
		return 1
	case p >= 0.5:
		return 2
	}
	return 3
}

// shape tells where a value lies in the range of its role, and what ties the
// role to the words around.
func (e *engine) shape(c *candidate) (shape, level int) {
	if c.role < 0 {
		return 4, 4
	}
	o := &e.roles.roles[c.role]
	level = int(o.level())
	switch {
	case c.si < o.lo*(1-sameValue) || c.si > o.hi*(1+sameValue):
		return 3, level
	case c.si < o.usualLo || c.si > o.usualHi:
		return 2, level
	case o.preferred(c):
		return 0, level
	}
	return 1, level
}

// preferred reports whether a value is on the grid of its role.
func (o *role) preferred(c *candidate) bool {
	for i := range o.grid {
		g := &o.grid[i]
		if g.isSpan == c.isRange && g.lo.has(c.siLo) && g.hi.has(c.si) {
			return true
		}
	}
	if o.perDecade == nil || c.isRange || c.si <= 0 {
		return false
	}
	m := inDecade(c.si)
	for k := range o.perDecade {
		if o.perDecade[k].has(m) {
			return true
		}
	}
	return false
}

// points tells how many of the numbers of a kind are shown with a decimal point.
func (e *engine) points(k schema.Kind) int {
	n, with := e.shown[k][0], e.shown[k][1]
	switch {
	case n < 4 && with == 0:
		return 0
	case with == 0:
		return 1
	case with*4 < n:
		return 2
	case with*4 < n*3:
		return 3
	}
	return 4
}

func (e *engine) countPoints() {
	e.shown = [schema.KindOther + 1][2]int{}
	for i := range e.doc.Mentions {
		m := &e.doc.Mentions[i]
		if m.From != extract.UnitOwn || m.Not != extract.NotNothing {
			continue
		}
		k := m.Unit.Unit.Kind()
		e.shown[k][0]++
		if m.Low.Exp < 0 || m.High.Exp < 0 {
			e.shown[k][1]++
		}
	}
}
