package normalize

import (
	"bytes"
	"math"
	"strings"
	"unicode"

	"saywatt/extract"
	"saywatt/normalize/channel"
	"saywatt/normalize/prior"
	"saywatt/schema"
)

// unitOption is one unit a mention may have.
type unitOption struct {
	unit          schema.Unit
	cost          float32
	by            channel.Distortion
	literal       bool
	kind          schema.Kind
	scale, offset float64
	source        unitSource
	million       int8 // +1: the number is a million times as much, -1: a millionth (see millionunit.go)
}

// single appends the candidates of one mention.
func (e *engine) single(i int32) {
	m := e.mention(i)
	switch m.Not {
	case extract.NotIdiom, extract.NotYear, extract.NotVersion, extract.NotScore, extract.NotOrdinal, extract.NotClock,
		extract.NotPronoun:
		return
	case extract.NotCode:
		if m.From != extract.UnitOwn || m.Unit.Manner == extract.MannerHeard {
			return
		}
	}
	e.decoder.Single(m)
	e.keepTyped(m)
	e.options = e.options[:0]
	e.setTurn(i)
	nothing := e.units(i)
	if len(e.options) == 0 {
		return
	}
	start := len(e.cands)
	e.product(i, 0)
	e.keepRange(m, start)
	e.addCode(i)
	// a number that long with a unit is no quantity of the trade, but it was said
	if nothing > 0 && !(m.Low.Big != nil && m.From == extract.UnitOwn) {
		e.addNothing(i, nothing)
	}
}

// keepTyped makes garbles unlikely where the unit is written with a letter that
// captions do not write, Ω or µ: a person typed it.
func (e *engine) keepTyped(m *extract.Mention) {
	if m.From != extract.UnitOwn || m.Unit.Manner == extract.MannerHeard {
		return
	}
	t := e.doc.Tokens[e.unitStart(m)]
	if t.Kind != extract.TokenWord || !bytes.ContainsFunc(e.doc.Transcript.Text[t.Start:t.End],
		func(r rune) bool { return r > unicode.MaxASCII && r != '°' }) {
		return
	}
	for k := range e.decoder.List {
		if v := &e.decoder.List[k]; v.By != [2]channel.Distortion{channel.Intact, channel.Intact} {
			v.Cost += float32(e.weights.TypedUnit)
		}
	}
}

// addCode reads three bare digits said of a capacitor as its marking code:
// two digits and the number of zeros, in picofarads (IEC 60062, handbook 4.7
// and 4.10): 226 is 22 µF.
func (e *engine) addCode(i int32) {
	m := e.mention(i)
	if m.From != extract.UnitNone || m.Style != extract.StyleDigits || !strings.HasSuffix(e.subject(m), "capacitor") {
		return
	}
	p, ok := e.decoder.Digits(m)
	// 8 and 9 mean other things (IEC 60062, from memory)
	if !ok || p.N != 3 || p.After != 0 || p.Shown[0] == '0' || p.Shown[2] > '7' {
		return
	}
	n := p.Number(0, 2, 0)
	zeros := int16(p.Shown[2] - '0')
	c := candidate{by: [3]channel.Distortion{channel.Code}, channel: -e.costs.Of(channel.Code), firstMention: i,
		kind: schema.KindCapacitance}
	switch {
	case zeros >= 4:
		c.unit, n.Exp = "uF", zeros-6
	case zeros >= 1:
		c.unit, n.Exp = "nF", zeros-3
	default:
		c.unit = "pF"
	}
	for n.Exp > 0 {
		n.Coef, n.Exp = n.Coef*10, n.Exp-1
	}
	for n.Exp < 0 && n.Coef%10 == 0 {
		n.Coef, n.Exp = n.Coef/10, n.Exp+1
	}
	c.lo, c.hi = n, n
	factor, _ := scaleOf(c.unit)
	c.si = n.Float() * factor
	c.siLo = c.si
	e.weigh(&c, e.rolesFor(m, c.kind), i)
	e.cands = append(e.cands, c)
}

// keepRange bounds how likely a decimal is that was shown as a range, "3-25"
// for 3.25: less than the range by hyphen_range, as far as the words alone go.
// Another value may prove it.
func (e *engine) keepRange(m *extract.Mention, start int) {
	if !m.Range {
		return
	}
	literal := float32(math.Inf(-1))
	for k := start; k < len(e.cands); k++ {
		if c := &e.cands[k]; c.literal {
			literal = max(literal, c.score)
		}
	}
	limit := literal - float32(e.weights.HyphenRange)
	for k := start; k < len(e.cands); k++ {
		if c := &e.cands[k]; !c.isRange && c.by[0] == channel.PointShownWrong && c.score > limit {
			c.channel -= c.score - limit
			c.score = limit
		}
	}
}

// setTurn notes which kind is due at mention i where voltages and currents
// alternate.
func (e *engine) setTurn(i int32) {
	e.turn = schema.KindUnknown
	m := e.mention(i)
	e.atTurn = m.Joint == extract.JointAt
	if i == 0 || !m.Joint.Close() || e.inList(i) {
		return
	}
	switch k, _ := e.kindBefore(i); k {
	case schema.KindVoltage:
		e.turn = schema.KindCurrent
	case schema.KindCurrent:
		if e.levelTalk(m) && m.Joint == extract.JointComma {
			e.turn = schema.KindVoltage
		}
	}
}

// addNothing appends the candidate that a bare number is no quantity.
func (e *engine) addNothing(i int32, p float64) {
	// The value itself is as free as any count: a share of the small whole numbers.
	m := e.mention(i)
	value := math.Log(prior.CountShare(m.Low))
	if m.Range {
		value += math.Log(prior.CountShare(m.High) * prior.RangeShare())
	}
	if m.Style == extract.StyleSound {
		value = math.Log(0.05) // the word may well have been just that word
	}
	c := candidate{lo: m.Low, hi: m.High, nothing: true, role: -1, firstMention: i,
		channel: -e.costs.Of(channel.Intact), context: float32(math.Log(p)), prior: float32(value)}
	switch { // p is said given the words: that they are no clear unit holds for both
	case m.From == extract.UnitOwn && m.Unit.Manner == extract.MannerHeard:
		c.channel -= e.costs.Of(channel.UnitMisheard)
	case m.From == extract.UnitNone && p <= e.weights.BareLarge:
		c.channel -= e.costs.Of(channel.UnitDropped)
	}
	c.score = c.channel + c.context + c.prior
	e.cands = append(e.cands, c)
}

// isHopeless reports whether the words speak so much against a reading, the best having
// so much, that no value makes up for it.
func (b *bounds) isHopeless(words, best float32) bool { return words < best-float32(b.hopeless) }

// product appends variant × unit as candidates of the mention i; merged says
// how many mentions before it the variants have taken in.
func (e *engine) product(i int32, merged int32) {
	m := e.mention(i)
	start := len(e.cands)
	best := float32(math.Inf(-1))
	keep := float32(e.weights.Keep) // what can still matter is kept, and the literal reading
	for o := range e.options {
		u := &e.options[o]
		r := e.rolesFor(m, u.kind)
		for v := range e.decoder.List {
			va := &e.decoder.List[v]
			lo, hi := va.Lo, va.Hi
			if u.million != 0 {
				lo, hi = byMillion(lo, u.million), byMillion(hi, u.million)
			}
			c := candidate{lo: lo, hi: hi, isRange: va.Range, unit: u.unit, kind: u.kind, role: -1,
				by: [3]channel.Distortion{va.By[0], va.By[1], u.by}, source: u.source,
				literal: va.By[0] == channel.Intact && u.literal && merged == 0,
				channel: -va.Cost - u.cost, firstMention: i - merged}
			if va.Range && !m.Range { // no range was shown
				c.channel -= e.roles.RareRange(u.kind)
			}
			if loadBounds().isHopeless(c.channel, best) {
				continue // even a certain value could not catch up
			}
			c.si = (c.hi.Float() + u.offset) * u.scale
			c.siLo = c.si
			if c.isRange {
				c.siLo = (c.lo.Float() + u.offset) * u.scale
			}
			least := best - keep
			if c.literal {
				least = noLimit
			}
			if !e.weighAbove(&c, r, i, least) {
				continue
			}
			if c.score > best {
				best = c.score
			}
			e.cands = append(e.cands, c)
		}
	}
	k := start
	for j := start; j < len(e.cands); j++ {
		if e.cands[j].score >= best-keep || e.cands[j].literal {
			e.cands[k] = e.cands[j]
			k++
		}
	}
	e.cands = e.cands[:k]
}
