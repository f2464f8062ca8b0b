package normalize

import (
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/extract/sound"
	"saywatt/schema"
)

// A unitSource is what gives a number its unit.
type unitSource uint8

const (
	sourceOwn       unitSource = iota // the words behind the number
	sourceList                        // the end of its list
	sourceAlternate                   // a level's other half: amperes behind volts, volts behind amperes
	sourceNeighbour                   // the quantity right before
	sourceNext                        // the quantity right behind
	sourceReckoned                    // a sum or product that it is
	sourceWhole                       // a larger unit before: one hour 48
	sourceSide                        // another side of the body
	sourceBefore                      // the unit said last
	sourceProperty                    // the property word
	sourcePart                        // the part
	sourceSection                     // the section
	sourcePattern                     // what followed the last time
	sourceRecent                      // a unit said not long before
	unitSources
)

var unitSourceNames = [unitSources]string{"own", "list", "alternate", "neighbour", "next", "reckoned", "whole", "side",
	"before",
	"property", "part", "section", "pattern", "recent"}

// option appends a unit the mention may have, once.
func (e *engine) option(u schema.Unit, cost float32, by distortion, literal bool) {
	e.optionFrom(sourceOwn, u, cost, by, literal)
}

// optionFrom is option with the source of the unit.
func (e *engine) optionFrom(from unitSource, u schema.Unit, cost float32, by distortion, literal bool) {
	if u == "" {
		return
	}
	for i := range e.options {
		if e.options[i].unit == u {
			if o := &e.options[i]; cost < o.cost {
				o.cost, o.by, o.literal, o.source = cost, by, literal, from
			}
			return
		}
	}
	o := unitOption{unit: u, cost: cost, by: by, literal: literal, kind: u.Kind(), source: from}
	o.scale, o.offset = scaleOf(u)
	e.options = append(e.options, o)
}

// units lists the units that mention i may have, and returns the probability
// that a bare number is no quantity at all, 0 where a unit was said.
func (e *engine) units(i int32) float64 {
	m := e.mention(i)
	u := m.Unit
	switch {
	case m.From == extract.UnitOwn && u.Manner != extract.MannerHeard:
		if m.Style == extract.StyleExact { // a person wrote it
			e.option(u.Unit, 0, intact, true)
		} else {
			e.clearUnit(m, u.Unit, 0)
			e.millionUnit(m)
		}
		if m.Style == extract.StyleSound { // a number only by sound: perhaps none was said
			p := e.weights.SoundNoise * max(e.weights.SoundUsual,
				e.doc.Lexicon.Share(e.doc.Transcript.Text, e.doc.Tokens[m.First], sound.BeforeUnit))
			if m.Joint == extract.JointSpace || m.Joint == extract.JointComma { // "three amps, well volts"
				p *= e.weights.SoundNext
			}
			return p
		}
		if m.Not == extract.NotCalendar { // a time all the same
			return 0
		}
		if m.Not != extract.NotNothing {
			return e.weights.CalendarNoise
		}
		if u.Manner == extract.MannerShort {
			e.samePrefix(m)
		}
		if u.Manner == extract.MannerShort || e.loneK(m) {
			return e.shortNothing(i)
		}
		return 0
	case m.From == extract.UnitOwn:
		e.heardUnit(m)
		e.millionUnit(m)
		return e.heardNothing(m)
	case m.From == extract.UnitGroup:
		e.option(u.Unit, 0, intact, true)
		return 0
	}
	return e.bareUnit(i, i)
}

// clearUnit enters a unit said clearly, and those it may stand for.
func (e *engine) clearUnit(m *extract.Mention, u schema.Unit, cost float32) {
	if u == "deg" { // degrees of what: the context's role decides
		e.option("Cel", cost+0.1, intact, true)
		e.option("deg", cost+2.2, intact, true)
		return
	}
	e.option(u, cost, intact, true)
	for _, c := range e.costs.confusion[u] {
		e.option(c.unit, cost+c.cost, c.by, false)
	}
}

// samePrefix enters the units with the prefix of a short form that the part at
// hand calls for: "10 kilo" is kilograms of a station, kilohms of a thermistor.
func (e *engine) samePrefix(m *extract.Mention) {
	u := m.Unit.Unit
	if len(u) < 2 || e.roleFor(m, u.Kind()).level >= matchSubject {
		return
	}
	for _, c := range e.calledUnits(m) {
		if c.level >= matchSubject && c.unit != u && len(c.unit) > 1 && c.unit[0] == u[0] {
			e.option(c.unit, 0, unitDropped, false)
		}
	}
}

// loneK reports whether the unit is a K on its own, which is a kilohm of a
// resistor and much else elsewhere; "kilohms" is not.
func (e *engine) loneK(m *extract.Mention) bool {
	first := e.unitStart(m)
	t := e.doc.Tokens[first]
	text := e.doc.Transcript.Text[t.Start:t.End]
	return m.Unit.Unit == "kOhm" && m.Last-first == 1 && text[0]|0x20 == 'k' && (len(text) == 1 || text[1] == '\'')
}

// shortNothing returns how likely a number with a short form behind it is no
// quantity: 10 K is kilohm of a resistor, 4K a picture.
func (e *engine) shortNothing(i int32) float64 {
	m := e.mention(i)
	first := e.unitStart(m)
	t := e.doc.Tokens[first]
	if m.Last-first == 1 && t.End-t.Start > 1 && e.symbol(m, t) { // no word is written "mA" or "kΩ"
		return 0
	}
	if e.roleFor(m, m.Unit.Unit.Kind()).level >= matchSubject {
		if m.Last-first == 1 && e.symbol(m, t) {
			return e.weights.SymbolNoise
		}
		return e.weights.ShortCalled
	}
	switch {
	case e.loneK(m):
		return e.weights.ShortKilo
	case m.Last-first == 1 && t.End-t.Start >= 4: // micro, nano, pico: no letter by accident
		return e.weights.ShortWord
	case m.Last-first == 1 && e.symbol(m, t):
		return e.weights.SymbolNoise
	}
	return e.weights.ShortLetter
}

// unitStart is the first token of the unit, which the end of a line or cue may
// part from the number.
func (e *engine) unitStart(m *extract.Mention) int32 {
	if m.NumEnd >= m.Last { // the unit is in the number: 4k7
		return m.NumEnd - 1
	}
	if e.doc.Tokens[m.NumEnd].Kind == extract.TokenBreak {
		return m.NumEnd + 1
	}
	return m.NumEnd
}

// symbol reports whether the unit is written by its symbol, letter case kept:
// "12 V", "40 mV", "56 kΩ". The other lone letters mean much else: 4 K, 2 C, 10 a.
func (e *engine) symbol(m *extract.Mention, t extract.Token) bool {
	word := string(e.doc.Transcript.Text[t.Start:t.End])
	switch {
	case word != string(m.Unit.Unit) && word != m.Unit.Unit.Symbol():
		return false
	case len(word) > 1:
		return true
	}
	return word[0] == 'V' || word[0] == 'W' || word[0] == 'A'
}

// heardUnit enters the units that a misheard word may stand for: the table's,
// with its share of the mishearings of that unit, and those that the place
// calls for.
func (e *engine) heardUnit(m *extract.Mention) {
	cost := e.costs.cost[unitMisheard] + float32(e.weights.SoundTemper)*m.Unit.Apart
	e.option(m.Unit.Unit, cost, unitMisheard, false)
	for _, c := range e.costs.confusion[m.Unit.Unit] {
		e.option(c.unit, cost+c.cost, unitMisheard, false)
	}
	e.called(m, cost+ln50+1, unitMisheard, matchSubject)
}

// heardNothing returns how likely a number with words behind it that stand for
// a unit is no quantity.
func (e *engine) heardNothing(m *extract.Mention) float64 {
	u := &m.Unit
	p := e.weights.HeardNoise
	switch {
	case e.roleFor(m, u.Unit.Kind()).level >= matchSubject || e.turn == u.Unit.Kind():
		p = e.weights.CalledNoise
	case u.Apart == 0 && m.Last-e.unitStart(m) > 1:
		p = e.weights.PhraseNoise
	}
	if u.Apart > 0 { // known by its sound alone
		p = min(e.weights.SoundMost, p*math.Exp(e.weights.SoundDoubt*float64(u.Apart)))
	}
	return p
}

// called enters the units of all roles that the context calls for by a
// property word or a part (or, with matchSection, by its section).
func (e *engine) called(m *extract.Mention, cost float32, by distortion, least matchLevel) bool {
	found := false
	for _, c := range e.calledUnits(m) {
		if c.level >= least {
			from := sourceSection
			switch {
			case by != unitDropped:
				from = sourceOwn
			case c.level >= matchProperty:
				from = sourceProperty
			case c.level >= matchSubject:
				from = sourcePart
			}
			e.optionFrom(from, c.unit, cost, by, false)
			found = true
		}
	}
	return found
}

// calledUnit is a unit that a context calls for, and by what.
type calledUnit struct {
	unit  schema.Unit
	level matchLevel
}

// calledUnits lists the units of the roles that fit the mention's context, in
// table order.
func (e *engine) calledUnits(m *extract.Mention) []calledUnit {
	c := e.context(m)
	if c.listed {
		return c.called
	}
	c.listed = true
	subject := e.subject(m)
	for r := range e.roles.roles {
		o := &e.roles.roles[r]
		if level := o.level(); level != matchAny && o.match(&m.Context, subject, &e.weights) > 0 {
			c.called = append(c.called, calledUnit{o.unit, level})
		}
	}
	return c.called
}

// bareUnit enters the units a number without one may have, said in the
// mentions first to last: its neighbour's in a list, current behind a voltage,
// voltage before a current, what the property word or the part calls for. It
// returns how likely the number is no quantity.
func (e *engine) bareUnit(first, i int32) float64 {
	m := e.mention(i)
	w := &e.weights
	if e.millions(m) {
		return w.HeardNoise / listSure
	}
	if first == i && e.inList(i) {
		e.optionFrom(sourceList, m.Unit.Unit, 0, intact, true)
		return w.ListNoise / listSure
	}
	expected := e.listUnit(m)
	expected = e.unitOfBefore(first, i) || expected
	expected = e.unitOfNext(i) || expected
	expected = e.bareOption(sourceReckoned, e.reckoned(first, m), w.ReckonedUnit) || expected
	expected = e.bareOption(sourceWhole, e.subUnit(first, m), w.SubUnit) || expected
	side := e.sideUnit(first, m)
	expected = e.bareOption(sourceSide, side, w.SideUnit) || expected
	if u, p := e.unitBefore(first, i); u != "" {
		e.bareOption(sourceBefore, u, p)
		expected = expected || p == w.NeighbourUnit
	}
	expected = e.calledBare(m) || expected
	e.recentUnits(first, i)
	if side != "" {
		e.unlikeSide(side)
	}
	if m.Not == extract.NotPrice && expected { // "$9 3 amps"
		e.unstick()
		return w.PriceNoise
	}
	if m.Not != extract.NotNothing {
		e.options = e.options[:0]
		return 0
	}
	if len(e.options) == 0 {
		return 0
	}
	return e.bareNoise(m, expected, side)
}

// listSure is how many times less likely noise is where a list or the word
// million vouches for the number; common practice, no source.
const listSure = 10

// lnCost is the cost of a probability.
func lnCost(p float64) float32 { return float32(-math.Log(p)) }

// bareOption enters a unit that was not said, taken with probability p, and
// reports whether there is one.
func (e *engine) bareOption(from unitSource, u schema.Unit, p float64) bool {
	if u == "" {
		return false
	}
	e.optionFrom(from, u, e.costs.cost[unitDropped]+lnCost(p), unitDropped, false)
	return true
}

// listUnit enters the unit of the list that a bare number stands in, and that
// of a pattern which says otherwise. It reports whether it stands in one.
func (e *engine) listUnit(m *extract.Mention) bool {
	if m.From != extract.UnitList {
		return false
	}
	w := &e.weights
	p := w.ListUnit
	if e.turn != schema.KindUnknown && e.turn != m.Unit.Unit.Kind() {
		p = w.UnlikeTurn // "9 3, 12 volts": the 3 is no voltage
	} else if u := e.pattern(m.Unit.Unit.Kind()); u != "" {
		// "96.3 watt hours, 89.2 percent … 54.9, 82.4 percent"
		e.optionFrom(sourcePattern, u, lnCost(w.PatternUnit), unitDropped, false)
		p *= 1 - w.PatternUnit
	}
	e.optionFrom(sourceList, m.Unit.Unit, lnCost(p), intact, true)
	return true
}

// unitOfBefore enters the unit that the quantity right before the mentions first
// to i gives: current behind a voltage, voltage behind a current of levels,
// else its own in a list. It reports whether it gives one.
func (e *engine) unitOfBefore(first, i int32) bool {
	m := e.mention(i)
	joint := e.mention(first).Joint
	w := &e.weights
	if first == 0 || !close(joint) || e.inList(i) {
		return false
	}
	k, u := e.kindBefore(first)
	currents := m.From == extract.UnitList && m.Unit.Unit.Kind() == schema.KindCurrent
	switch {
	case k == schema.KindVoltage && !currents:
		amps, volts := w.AlternateUnit, w.UnlikeTurn
		if e.readOut(first) { // a display: 9.34, 9.35, 9.36
			amps, volts = volts, amps
		}
		e.bareOption(sourceAlternate, "A", amps)
		if joint == extract.JointComma || joint == extract.JointSpace {
			e.bareOption(sourceNeighbour, "V", volts)
		}
		return true
	case k == schema.KindCurrent && e.levelTalk(m):
		return e.bareOption(sourceAlternate, "V", w.AlternateUnit)
	}
	switch joint {
	case extract.JointComma, extract.JointAnd, extract.JointPlus, extract.JointOr:
		return e.bareOption(sourceNeighbour, u, w.NeighbourUnit)
	}
	return false
}

// unitOfNext enters the unit that the quantity right behind mention i gives:
// voltage before a current, watts in a sum of powers. It reports whether it
// gives one.
func (e *engine) unitOfNext(i int32) bool {
	if int(i)+1 >= len(e.doc.Mentions) {
		return false
	}
	n := e.mention(i + 1)
	if !close(n.Joint) || n.From != extract.UnitOwn {
		return false
	}
	switch n.Unit.Unit.Kind() {
	case schema.KindCurrent:
		if n.Joint != extract.JointComma || e.levelTalk(e.mention(i)) {
			return e.bareOption(sourceNext, "V", e.weights.AlternateUnit)
		}
	case schema.KindPower:
		if n.Joint == extract.JointPlus {
			return e.bareOption(sourceNext, "W", e.weights.NeighbourUnit)
		}
	}
	return false
}

// calledBare enters the units that the place of a bare number calls for, and
// reports whether a property word does.
func (e *engine) calledBare(m *extract.Mention) bool {
	cost := e.costs.cost[unitDropped]
	named := e.called(m, cost, unitDropped, matchProperty)
	e.called(m, cost+onlyPart, unitDropped, matchSubject)
	if m.From == extract.UnitList || m.Ruling != nil { // a list of unlike things: "54.9, 82.4 percent"
		e.called(m, cost+onlySection, unitDropped, matchSection)
	}
	if m.Ruling != nil { // what can belong where a person said that it does
		e.options = slices.DeleteFunc(e.options, func(o unitOption) bool { return !m.Ruling.Class.Fits(o.kind) })
	}
	return named
}

// Extra costs of a unit that only a part, or only the section, calls for: about
// one in two, and one in four; common practice, no source.
const (
	onlyPart    = 0.7
	onlySection = 1.4
)

// How many quantities before a bare number, and behind it, may have its unit though
// nothing else says so, and how likely each is; what is learned of the source of a
// unit makes it more or less. Common practice, no source.
const (
	recentBefore = 8
	recentBehind = 3
	recentUnit   = 0.05
)

// recentUnits enters the units that were said not long before the mentions first to
// i, and soon behind.
func (e *engine) recentUnits(first, i int32) {
	from, to := max(0, first-recentBefore), min(int32(len(e.doc.Mentions))-1, i+recentBehind)
	for k := from; k <= to; k++ {
		b := e.mention(k)
		if k == first-1 && e.mention(first).Joint == extract.JointAt { // "20 volts at 3": two of a kind are not said so
			continue
		}
		if k >= first && k <= i || b.From != extract.UnitOwn || b.Unit.Manner == extract.MannerHeard {
			continue
		}
		u := b.Unit.Unit
		if u == "deg" {
			u = "Cel"
		}
		e.bareOption(sourceRecent, u, recentUnit)
	}
}

// unlikeSide makes other units of length less likely than that of the side said
// just before: of two sides the unit is the same.
func (e *engine) unlikeSide(side schema.Unit) {
	for k := range e.options {
		if o := &e.options[k]; o.kind == schema.KindLength && o.unit != side {
			o.cost += lnCost(1 - e.weights.SideUnit)
		}
	}
}

// unstick makes a sign of money stuck to the number the cause of all options.
func (e *engine) unstick() {
	for k := range e.options {
		e.options[k].by = signStuck
		e.options[k].cost += e.costs.cost[signStuck] - e.costs.cost[unitDropped]
	}
}

// bareNoise returns how likely a bare number with units to choose from is no
// quantity.
func (e *engine) bareNoise(m *extract.Mention, expected bool, side schema.Unit) float64 {
	w := &e.weights
	p := w.BareNoise
	if !e.small(m) && !e.counts(m) {
		p = w.BareLarge
	}
	switch {
	case m.From == extract.UnitList, e.atTurn && e.turn == schema.KindCurrent:
		p = w.ListNoise
	case expected:
		p = w.BareExpected
	}
	if side == "" && e.counts(m) {
		p = 1 - (1-p)*w.CountNoun
	}
	return p
}

// millions reads a bare number that ends in the word million as one with a
// milli unit, where its place calls for one: "165 million" of a transistor is
// 165 mΩ. The number is read again without the word.
func (e *engine) millions(m *extract.Mention) bool {
	if m.From != extract.UnitNone || !e.doc.Lexicon.IsMillion(e.doc.Tokens[m.NumEnd-1]) {
		return false
	}
	e.called(m, e.costs.cost[unitMisheard]+0.7, unitMisheard, matchSubject)
	if u := e.milliBefore(m); u != "" {
		e.option(u, e.costs.cost[unitMisheard]+0.7, unitMisheard, false)
	}
	k := 0
	for _, o := range e.options {
		if o.unit[0] == 'm' && o.unit != "mm" && o.unit != "m" && o.unit != "min" {
			e.options[k] = o
			k++
		}
	}
	e.options = e.options[:k]
	if k == 0 {
		return false
	}
	for v := range e.variants {
		e.variants[v].lo = byMillion(e.variants[v].lo, -1)
		e.variants[v].hi = byMillion(e.variants[v].hi, -1)
	}
	return true
}

// milliBefore returns the last unit with milli among the few mentions before.
func (e *engine) milliBefore(m *extract.Mention) schema.Unit {
	for k, n := len(e.nodes)-1, int32(0); k >= 0 && n < e.reach.milli; k, n = k-1, n+1 {
		if b := e.mention(e.nodes[k].last - 1); b.From == extract.UnitOwn && len(b.Unit.Unit) > 1 &&
			b.Unit.Unit[0] == 'm' {
			switch b.Unit.Unit.Kind() {
			case schema.KindResistance, schema.KindCurrent, schema.KindVoltage, schema.KindCharge, schema.KindPower:
				return b.Unit.Unit
			}
		}
	}
	return ""
}

// byMillion multiplies a number by a million, or divides it.
func byMillion(n extract.Num, sign int8) extract.Num {
	for k := 0; k < 6; k++ {
		switch {
		case sign > 0 && n.Exp < 0:
			n.Exp++
		case sign > 0:
			n.Coef *= 10
		case n.Exp <= 0 && n.Coef%10 == 0:
			n.Coef /= 10
		default:
			n.Exp--
		}
	}
	return n
}

// millionUnit enters the other reading of "million" before a unit said: 10
// million volts is 10 mV or, literally, ten megavolts.
func (e *engine) millionUnit(m *extract.Mention) {
	u := m.Unit.Unit
	var (
		million int8
		cost    float32
		by      = unitMisheard
		literal bool
	)
	switch {
	case m.Range || m.Low.Big != nil || m.Low.Coef > 1e11:
		return
	case m.Unit.Manner == extract.MannerHeard && len(u) > 1 && u[0] == 'm' &&
		e.doc.Lexicon.IsMillion(e.doc.Tokens[e.unitStart(m)]):
		u, million, by, literal = u[1:], 1, intact, true
	case e.doc.Lexicon.IsMillion(e.doc.Tokens[m.NumEnd-1]):
		for k := range e.options {
			e.options[k].cost += float32(-math.Log(1 - e.weights.MillionMilli))
		}
		u, million, cost = "m"+u, -1, e.costs.cost[intact]+m.Unit.Apart+float32(-math.Log(e.weights.MillionMilli))
	default:
		return
	}
	if _, ok := u.Info(); !ok {
		return
	}
	o := unitOption{unit: u, cost: cost, by: by, literal: literal, kind: u.Kind(), million: million}
	o.scale, o.offset = scaleOf(u)
	e.options = append(e.options, o)
}

// inList reports whether a bare number stands in a list of three or more that
// ends with the unit of all: "5, 9, 12, 15 and 20 volts". Two numbers may be
// unlike things: "9 3, 12 volts".
func (e *engine) inList(i int32) bool {
	if e.mention(i).From != extract.UnitList {
		return false
	}
	n := 1
	for k := i; k > 0 && listed(e.mention(k).Joint) && e.mention(k-1).From == extract.UnitList; k-- {
		n++
	}
	for k := i + 1; int(k) < len(e.doc.Mentions) && listed(e.mention(k).Joint); k++ {
		n++
		if e.mention(k).From != extract.UnitList {
			break
		}
	}
	return n >= 3
}

func listed(j extract.Joint) bool {
	return j == extract.JointComma || j == extract.JointAnd || j == extract.JointOr
}

// close reports whether a joint keeps two numbers in one breath.
func close(j extract.Joint) bool {
	switch j {
	case extract.JointNone, extract.JointWord:
		return false
	}
	return true
}

// pattern returns the unit that stood before a quantity of the kind the last
// time that two were said in one breath, "" where it was of the same kind or
// none was. Levels and sizes have turns of their own.
func (e *engine) pattern(kind schema.Kind) schema.Unit {
	switch kind {
	case schema.KindVoltage, schema.KindCurrent, schema.KindLength:
		return ""
	}
	for k := len(e.nodes) - 1; k > 0 && k > len(e.nodes)-int(e.reach.pattern); k-- {
		a, b := e.mention(e.nodes[k-1].last-1), e.mention(e.nodes[k].last-1)
		if b.From != extract.UnitOwn || b.Unit.Unit.Kind() != kind || !close(b.Joint) {
			continue
		}
		if a.From == extract.UnitOwn && a.Unit.Unit.Kind() != kind {
			return a.Unit.Unit
		}
		return ""
	}
	return ""
}

// levelTalk reports whether the mention stands where levels are read out.
func (e *engine) levelTalk(m *extract.Mention) bool {
	return m.Context.Subject < 0 || e.subject(m) == ""
}

// readOut reports whether mention i repeats the value before it to within a
// tenth, with a decimal point: an instrument being read out.
func (e *engine) readOut(i int32) bool {
	m := e.mention(i)
	b := e.bestBefore(i)
	if b == nil || m.Low.Exp >= 0 || b.hi.Exp >= 0 {
		return false
	}
	return agrees(m.Low.Float(), b.hi.Float(), 0.1)
}

// kindBefore returns kind and unit that the node before mention i has by its
// best reading so far.
func (e *engine) kindBefore(i int32) (schema.Kind, schema.Unit) {
	if b := e.bestBefore(i); b != nil && !b.nothing {
		return b.kind, b.unit
	}
	return schema.KindUnknown, ""
}

// bestBefore returns the best reading so far of the node right before mention
// i, nil where none is.
func (e *engine) bestBefore(i int32) *candidate {
	k := len(e.nodes) - 1
	for k > 0 && e.nodes[k].last > i { // a merge looks past the node it takes in
		k--
	}
	if k < 0 || e.nodes[k].last != i {
		return nil
	}
	var best *candidate
	for c := e.nodes[k].from; c < e.nodes[k].to; c++ {
		if o := &e.cands[c]; best == nil || o.score > best.score {
			best = o
		}
	}
	return best
}

// counts reports whether a noun follows the bare number at once, so that it
// probably counts things: "3 ports", "two of them".
func (e *engine) counts(m *extract.Mention) bool {
	t := e.doc.Tokens
	j := int(m.Last)
	if j < len(t) && t[j].Kind == extract.TokenBreak {
		j++
	}
	return j < len(t) && t[j].Kind == extract.TokenWord && !e.doc.Lexicon.Known(t[j]) && !e.doc.Lexicon.Function(t[j])
}
