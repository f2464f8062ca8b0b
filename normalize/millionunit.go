package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// millions reads a bare number that ends in the word million as one with a
// milli unit, where its place calls for one: "165 million" of a transistor is
// 165 mΩ. The number is read again without the word.
func (e *engine) millions(alone bool, m *extract.Mention) bool {
	if m.From != extract.UnitNone || !e.doc.Lexicon.IsMillion(e.doc.Tokens[m.NumEnd-1]) {
		return false
	}
	cost := e.costs.Of(channel.UnitMisheard) + float32(e.weights.MillionAlone)
	e.called(m, cost, channel.UnitMisheard, prior.TieSubject)
	if u := e.milliBefore(m); u != "" {
		e.option(u, cost, channel.UnitMisheard, false)
	}
	for _, u := range e.prefixed(m, 'm') {
		if u.All >= e.weights.PlaceUnit {
			e.optionFrom(sourcePlace, u.Unit, cost+lnCost(u.All), channel.UnitMisheard, false)
		}
	}
	k := 0
	for _, o := range e.options {
		if withPrefix(o.unit, 'm') && o.kind != schema.KindLength && o.kind != schema.KindArea {
			e.options[k] = o
			k++
		}
	}
	e.options = e.options[:k]
	if k == 0 {
		return false
	}
	if alone { // the number without the word may be garbled itself
		n := *m
		n.NumEnd, n.Low, n.High = m.NumEnd-1, byMillion(m.Low, -1), byMillion(m.High, -1)
		e.decoder.Single(&n)
		return true
	}
	for k := range e.decoder.List {
		v := &e.decoder.List[k]
		v.Lo, v.Hi = byMillion(v.Lo, -1), byMillion(v.Hi, -1)
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
		by      = channel.UnitMisheard
		literal bool
	)
	switch {
	case m.Range || m.Low.Big != nil || m.Low.Coef > 1e11:
		return
	case m.Unit.Manner == extract.MannerHeard && len(u) > 1 && u[0] == 'm' &&
		e.doc.Lexicon.IsMillion(e.doc.Tokens[e.unitStart(m)]):
		u, million, by, literal = u[1:], 1, channel.Intact, true
	case e.doc.Lexicon.IsMillion(e.doc.Tokens[m.NumEnd-1]):
		for k := range e.options {
			e.options[k].cost += float32(-math.Log(1 - e.weights.MillionMilli))
		}
		u, million, cost = "m"+u, -1, e.costs.Of(channel.Intact)+m.Unit.Apart+float32(-math.Log(e.weights.MillionMilli))
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
