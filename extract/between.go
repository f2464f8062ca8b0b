package extract

import "saywatt/schema"

// Joint says what stands between a mention and the one before.
type Joint uint8

// The joints.
const (
	JointNone  Joint = iota // other words
	JointSpace              // nothing, or a line break
	JointComma
	JointAnd
	JointOr
	JointAt
	JointBy
	JointSlash
	JointPlus
	JointStop  // a full stop or question mark
	JointColon // a colon
	JointDash  // a hyphen or dash
	JointWord  // one word that is no part of the grammar: 6 boys 8
	JointTo    // the word to, where no range was read
)

// Close reports whether a joint keeps two numbers in one breath.
func (j Joint) Close() bool { return j != JointNone && j != JointWord }

// Lists reports whether a joint is one between the items of a list.
func (j Joint) Lists() bool { return j == JointComma || j == JointAnd || j == JointOr }

// join sets how m hangs on the mention before, reads products and marks the
// one before as withdrawn where the speaker corrects himself.
func (p *parser) join(dst []Mention, m *Mention) {
	prev := &dst[len(dst)-1]
	m.Joint = p.jointBetween(int(prev.Last), int(m.First))
	p.joinProduct(dst, m)
	if m.Qualifier != schema.QualifierNone {
		hedge := p.backOne(int(m.First))
		if p.word(hedge) == classStop { // "5 amps max. 20 volts"
			hedge--
		}
		if hedge < int(p.hedgeEnd(prev)) || hedge == p.skipBreak(int(prev.Last)) && prev.Qualifier == m.Qualifier {
			// "30 min 20 s", "65 watts max 20 volts": the word was the one before's
			m.Qualifier = p.qualifierBehind(int(m.Last))
		}
	}
	if !p.correction(int(prev.Last), int(m.First)) {
		return
	}
	switch {
	case prev.From == UnitNone:
		prev.Withdrawn = true
		for k := len(dst) - 1; k >= 0 && m.HasUnit() && dst[k].Withdrawn && dst[k].From == UnitNone; k-- {
			dst[k].Unit, dst[k].From = m.Unit, UnitList // "65, no wait, 67, sorry, 68 watts"
		}
	case m.From == UnitNone && m.Not == NotNothing && p.ends(int(m.Last)): // "20 volts, I mean 12"
		prev.Withdrawn = true
		m.Unit, m.From = prev.Unit, UnitList
	case prev.Unit.Unit.Kind() == m.Unit.Unit.Kind():
		prev.Withdrawn = true
	}
}

// joinProduct makes m and the mention before one product, or one code, where they
// are tied so: "52 by 41", "15 centimetres by 7 by 2"; "gen 2x2", "SOT-23-6".
func (p *parser) joinProduct(dst []Mention, m *Mention) {
	if m.Joint != JointBy && m.Joint != JointDash {
		return
	}
	prev := &dst[len(dst)-1]
	if m.Joint == JointBy {
		if prev.From == UnitNone && prev.Not == NotNothing {
			if prev.Group < 0 {
				prev.Group = int32(len(dst) - 1)
			}
			m.Group = prev.Group
		}
		if m.From == UnitNone && m.Not == NotNothing && prev.Unit.Unit.Kind() == schema.KindLength {
			m.Unit, m.From = prev.Unit, UnitGroup
		}
	}
	glued := p.tokens[m.First].Glued && p.tokens[m.First-1].Glued
	if m.From == UnitNone && glued && (prev.Not == NotCode || prev.Not == NotVersion) {
		m.Not = prev.Not
	}
}

// jointBetween classifies the tokens [i, j) between two mentions.
func (p *parser) jointBetween(i, j int) Joint {
	joint := JointSpace
	for ; i < j; i++ {
		c, _ := p.at(i)
		var k Joint
		switch c {
		case classComma, classSemicolon:
			k = JointComma
		case classAnd:
			k = JointAnd
		case classOr:
			k = JointOr
		case classAt:
			k = JointAt
		case classBy:
			k = JointBy
		case classSlash:
			k = JointSlash
		case classPlus:
			k = JointPlus
		case classFiller, classQualifier: // "15 volts 3 amps, then 25 amps"
			if joint == JointSpace && p.tokens[i].Kind == TokenWord && p.x.Function(p.tokens[i]) {
				joint = JointComma // "out of 74 so 84 percent" is no number cut in two
			}
			continue
		case classStop:
			k = JointStop
		case classColon:
			k = JointColon
		case classDash, classTilde, classDots:
			k = JointDash
		case classTo:
			k = JointTo
		case classNone:
			switch p.tokens[i].Kind {
			case TokenBreak:
				continue
			case TokenWord:
				k = JointWord
			default:
				return JointNone
			}
		default:
			return JointNone
		}
		if joint == JointSpace || joint == JointComma && k != JointWord {
			joint = k
			continue
		}
		return JointNone
	}
	return joint
}

// correction reports whether the words between token i and the mention at
// token j take back what was said before: "20, sorry, 12 volts".
func (p *parser) correction(i, j int) bool {
	for i < j {
		c, _ := p.at(i)
		if c != classComma && c != classStop && c != classDash && c != classPoint && p.tokens[i].Kind != TokenBreak {
			break
		}
		i++
	}
	_, n := p.x.correct.match(p.tokens, i)
	if n == 0 {
		return false
	}
	for i += n; i < j; i += n {
		n = 1
		if c, _ := p.at(i); c == classComma || p.tokens[i].Kind == TokenBreak {
			continue
		}
		if _, n = p.x.correct.match(p.tokens, i); n == 0 { // "sorry, I mean"
			_, n = p.x.goOn.match(p.tokens, i) // "sorry, it is"
		}
		if n == 0 {
			return false
		}
	}
	return i == j
}

// ends reports whether no word that a bare number could count stands at token
// i, breaks skipped.
func (p *parser) ends(i int) bool {
	i = p.skipBreak(i)
	return i >= len(p.tokens) || p.tokens[i].Kind != TokenWord || p.word(i) != classNone
}

// spread hands the unit of the last mention back over its product, and over
// the bare numbers of its list where only commas and "and"/"or" stand
// between.
func (p *parser) spread(dst []Mention) {
	last := &dst[len(dst)-1]
	if last.Group >= 0 {
		for k := int(last.Group); k < len(dst)-1; k++ {
			if dst[k].From == UnitNone {
				dst[k].Unit, dst[k].From = last.Unit, UnitGroup
			}
		}
		return
	}
	joint := last.Joint
	if k := len(dst) - 2; k >= 0 && p.bothEnds(&dst[k], last) {
		dst[k].Unit, dst[k].From = last.Unit, UnitGroup
		if joint == JointOr {
			p.spreadList(dst[:k], last, dst[k].Joint)
		}
		return
	}
	if k := len(dst) - 2; k >= 0 && dst[k].Group >= 0 && dst[k].From == UnitNone {
		// "152.4 by 81 by 27 6 millimetres": the last edge may be broken in two
		switch joint {
		case JointSpace, JointDash, JointStop, JointColon, JointComma:
			for g := int(dst[k].Group); g <= k; g++ {
				if dst[g].From == UnitNone {
					dst[g].Unit, dst[g].From = last.Unit, UnitGroup
				}
			}
			last.Group = dst[k].Group
		}
		return
	}
	p.spreadList(dst[:len(dst)-1], last, joint)
}

// spreadList hands the unit of the last mention back over the bare numbers of its list,
// which end dst; joint is what stands behind them.
func (p *parser) spreadList(dst []Mention, last *Mention, joint Joint) {
	for k := len(dst) - 1; k >= 0; k-- {
		m := &dst[k]
		switch joint {
		case JointComma, JointAnd, JointOr, JointSlash, JointPlus:
		default:
			return
		}
		if m.From != UnitNone || m.Not != NotNothing || m.Group >= 0 || m.Last != m.NumEnd || p.alone(m, last) {
			return
		}
		m.Unit, m.From = last.Unit, UnitList
		joint = m.Joint
	}
}

// bothEnds reports whether a bare number and the last mention are the two ends of what
// changed, or one of them meant, and so have one unit: "from 20 to 80 percent", "from
// 65 to 45 watts", "12 or 24 volts".
func (p *parser) bothEnds(m, last *Mention) bool {
	if last.Joint != JointTo && last.Joint != JointOr {
		return false
	}
	if m.From != UnitNone || m.Not != NotNothing || m.Group >= 0 || m.Range || last.Range || p.alone(m, last) {
		return false
	}
	if last.Joint == JointOr {
		return less(m.Low, last.Low) && m.Last == m.NumEnd
	}
	kind := last.Unit.Unit.Kind()
	if less(last.Low, m.Low) {
		return p.x.changes[kind].when != changeNever && p.opener(int(m.First)) == classFrom
	}
	return p.twoValues(int(m.First), kind)
}

// alone reports whether a number is not of the list that ends with another: one ends in
// "million", which captions show for a unit, and the other does not ("5 million and 1
// percent").
func (p *parser) alone(m, last *Mention) bool {
	million := func(m *Mention) bool { return p.x.IsMillion(p.tokens[m.NumEnd-1]) }
	return million(m) && !million(last)
}

// feetAndInches adds inches to the feet right before them: "5 feet 2 inches"
// is one length, 62 inches.
func (p *parser) feetAndInches(dst []Mention, m *Mention) bool {
	if m.Unit.Unit != "[in_i]" || len(dst) == 0 || m.Joint != JointSpace && m.Joint != JointAnd || m.Range {
		return false
	}
	f := &dst[len(dst)-1]
	if f.Unit.Unit != "[ft_i]" || f.From != UnitOwn || f.Range || f.Low.Exp != 0 || f.Low.Coef > 1e6 {
		return false
	}
	f.Low = plus(Num{Coef: f.Low.Coef * 12}, m.Low)
	f.High, f.Unit, f.Last, f.Style = f.Low, m.Unit, m.Last, StyleExact
	f.Unit.Manner = MannerSaid
	return true
}
