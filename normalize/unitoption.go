package normalize

import (
	"math"

	"saywatt/extract"
	"saywatt/extract/sound"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
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
	sourcePlace                       // the places that it may have
	sourceSign                        // a minus
	sourceLone                        // a unit near it that no number has: "in centimetres?"
	unitSources
)

var unitSourceNames = [unitSources]string{"own", "list", "alternate", "neighbour", "next", "reckoned", "whole", "side",
	"before",
	"property", "part", "section", "pattern", "recent", "place", "sign", "lone"}

// option appends a unit the mention may have, once.
func (e *engine) option(u schema.Unit, cost float32, by channel.Distortion, literal bool) {
	e.optionFrom(sourceOwn, u, cost, by, literal)
}

// optionFrom is option with the source of the unit.
func (e *engine) optionFrom(from unitSource, u schema.Unit, cost float32, by channel.Distortion, literal bool) {
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
			e.option(u.Unit, 0, channel.Intact, true)
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
		e.option(u.Unit, 0, channel.Intact, true)
		return 0
	}
	return e.bareUnit(i, i)
}

// clearUnit enters a unit said clearly, and those it may stand for.
func (e *engine) clearUnit(m *extract.Mention, u schema.Unit, cost float32) {
	if u == "deg" { // degrees of what: the context's role decides
		e.option("Cel", cost+0.1, channel.Intact, true)
		e.option("deg", cost+2.2, channel.Intact, true)
		return
	}
	e.option(u, cost, channel.Intact, true)
	for _, c := range e.costs.Confusions(u) {
		e.option(c.Unit, cost+c.Cost, c.By, false)
	}
}

// samePrefix enters the units with the prefix of a short form that the part at
// hand calls for: "10 kilo" is kilograms of a station, kilohms of a thermistor.
func (e *engine) samePrefix(m *extract.Mention) {
	u := m.Unit.Unit
	if len(u) < 2 {
		return
	}
	if m.Last-e.unitStart(m) == 1 && !e.symbol(m, e.doc.Tokens[e.unitStart(m)]) { // "22 micro" of a coil
		for _, o := range e.prefixed(m, u[0]) {
			if o.Unit != u && o.All >= e.weights.PlaceUnit {
				e.option(o.Unit, lnCost(o.All), channel.UnitDropped, false)
			}
		}
	}
	if e.roleFor(m, u.Kind()).tie >= prior.TieSubject {
		return
	}
	for _, c := range e.calledUnits(m) {
		if c.tie >= prior.TieSubject && c.unit != u && len(c.unit) > 1 && c.unit[0] == u[0] {
			e.option(c.unit, 0, channel.UnitDropped, false)
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
	if e.roleFor(m, m.Unit.Unit.Kind()).tie >= prior.TieSubject {
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
	cost := e.costs.Of(channel.UnitMisheard) + float32(e.weights.SoundTemper)*m.Unit.Apart
	e.option(m.Unit.Unit, cost, channel.UnitMisheard, false)
	for _, c := range e.costs.Confusions(m.Unit.Unit) {
		e.option(c.Unit, cost+c.Cost, channel.UnitMisheard, false)
	}
	e.called(m, cost+lnCost(1.0/50)+1, channel.UnitMisheard, prior.TieSubject)
}

// heardNothing returns how likely a number with words behind it that stand for
// a unit is no quantity.
func (e *engine) heardNothing(m *extract.Mention) float64 {
	u := &m.Unit
	p := e.weights.HeardNoise
	switch {
	case e.roleFor(m, u.Unit.Kind()).tie >= prior.TieSubject || e.turn == u.Unit.Kind():
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
func (e *engine) called(m *extract.Mention, cost float32, by channel.Distortion, least prior.Tie) bool {
	found := false
	for _, c := range e.calledUnits(m) {
		if c.tie >= least {
			from := sourceSection
			switch {
			case by != channel.UnitDropped:
				from = sourceOwn
			case c.tie >= prior.TieProperty:
				from = sourceProperty
			case c.tie >= prior.TieSubject:
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
	unit schema.Unit
	tie  prior.Tie
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
	for r := range e.roles.Roles {
		o := &e.roles.Roles[r]
		if tie := o.Tie(); tie != prior.TieAny && o.Fits(&m.Context, subject) {
			c.called = append(c.called, calledUnit{o.Unit, tie})
		}
	}
	return c.called
}
