package normalize

import (
	"math"
	"slices"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// bareUnit enters the units a number without one may have, said in the
// mentions first to last: its neighbour's in a list, current behind a voltage,
// voltage before a current, what the property word or the part calls for. It
// returns how likely the number is no quantity.
func (e *engine) bareUnit(first, i int32) float64 {
	m := e.mention(i)
	w := &e.weights
	if e.millions(first == i, m) {
		return w.HeardNoise / w.ListSure
	}
	if first == i && e.inList(i) {
		e.optionFrom(sourceList, m.Unit.Unit, 0, channel.Intact, true)
		e.unitOfBefore(first, i)
		e.unitsAround(first, i)
		return w.ListNoise / w.ListSure
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
	e.unitsAround(first, i)
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

// lnCost is the cost of a probability.
func lnCost(p float64) float32 { return float32(-math.Log(p)) }

// bareOption enters a unit that was not said, taken with probability p, and
// reports whether there is one.
func (e *engine) bareOption(from unitSource, u schema.Unit, p float64) bool {
	if u == "" {
		return false
	}
	e.optionFrom(from, u, e.costs.Of(channel.UnitDropped)+lnCost(p), channel.UnitDropped, false)
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
		e.optionFrom(sourcePattern, u, lnCost(w.PatternUnit), channel.UnitDropped, false)
		p *= 1 - w.PatternUnit
	}
	e.optionFrom(sourceList, m.Unit.Unit, lnCost(p), channel.Intact, true)
	return true
}

// unitOfBefore enters the unit that the quantity right before the mentions first
// to i gives: current behind a voltage, voltage behind a current of levels,
// else its own in a list. It reports whether it gives one.
func (e *engine) unitOfBefore(first, i int32) bool {
	m := e.mention(i)
	joint := e.mention(first).Joint
	w := &e.weights
	if first == 0 || !joint.Close() {
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
	if !n.Joint.Close() || n.From != extract.UnitOwn {
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
	cost := e.costs.Of(channel.UnitDropped)
	named := e.called(m, cost, channel.UnitDropped, prior.TieProperty)
	e.called(m, cost+float32(e.weights.OnlyPart), channel.UnitDropped, prior.TieSubject)
	if m.From == extract.UnitList || m.Ruling != nil { // a list of unlike things: "54.9, 82.4 percent"
		e.called(m, cost+float32(e.weights.OnlySection), channel.UnitDropped, prior.TieSection)
	}
	if m.Ruling != nil { // what can belong where a person said that it does
		e.options = slices.DeleteFunc(e.options, func(o unitOption) bool { return !m.Ruling.Class.Fits(o.kind) })
	}
	return named
}

// recentUnits enters the units that were said not long before the mentions first to
// i, and soon behind. What is learned of the source of a unit makes them likelier or
// less.
func (e *engine) recentUnits(first, i int32) {
	from, to := max(0, first-e.reach.recentBefore), min(int32(len(e.doc.Mentions))-1, i+e.reach.recentBehind)
	for k := from; k <= to; k++ {
		b := e.mention(k)
		if k == first-1 && e.mention(first).Joint == extract.JointAt { // "20 volts at 3": two of a kind are not said so
			continue
		}
		if k >= first && k <= i || b.From != extract.UnitOwn || b.Unit.Manner == extract.MannerHeard {
			continue
		}
		e.bareOption(sourceRecent, degrees(b.Unit.Unit), e.weights.RecentUnit)
	}
}

// degrees is the unit that a bare number has of one said near it: degrees are mostly of
// heat.
func degrees(u schema.Unit) schema.Unit {
	if u == "deg" {
		return "Cel"
	}
	return u
}

// unitsAround enters the units that the mentions first to i may have by what is around
// alone: those said near, and those of the places that they may have.
func (e *engine) unitsAround(first, i int32) {
	e.recentUnits(first, i)
	e.loneUnits(first, i)
	other := schema.KindUnknown
	if first > 0 && e.mention(first).Joint == extract.JointAt { // "20 volts at 3": two of a kind are not said so
		other, _ = e.kindBefore(first)
	}
	e.placeUnits(e.mention(i), other)
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
		e.options[k].by = channel.SignStuck
		e.options[k].cost += e.costs.Of(channel.SignStuck) - e.costs.Of(channel.UnitDropped)
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

// inList reports whether a bare number stands in a list of three or more that
// ends with the unit of all: "5, 9, 12, 15 and 20 volts". Two numbers may be
// unlike things: "9 3, 12 volts".
func (e *engine) inList(i int32) bool {
	if e.mention(i).From != extract.UnitList {
		return false
	}
	n := 1
	for k := i; k > 0 && e.mention(k).Joint.Lists() && e.mention(k-1).From == extract.UnitList; k-- {
		n++
	}
	for k := i + 1; int(k) < len(e.doc.Mentions) && e.mention(k).Joint.Lists(); k++ {
		n++
		if e.mention(k).From != extract.UnitList {
			break
		}
	}
	return n >= 3
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
		if b.From != extract.UnitOwn || b.Unit.Unit.Kind() != kind || !b.Joint.Close() {
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
	return e.scored(&e.nodes[k])
}

// scored is the reading of a node with the best score, the first of several, nil where it
// has none.
func (e *engine) scored(n *node) (best *candidate) {
	for c := n.from; c < n.to; c++ {
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
