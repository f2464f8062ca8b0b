package extract

import "saywatt/schema"

// qualifier reads the hedge before the number or behind the unit.
func (p *parser) qualifier(m *Mention) schema.Qualifier {
	if i := p.backOne(int(m.First)); i >= 0 {
		if q := p.qualifierBefore(i); q != schema.QualifierNone {
			return q
		}
	}
	return p.qualifierBehind(int(m.Last))
}

// qualifierBefore reads the hedge that ends at token i.
func (p *parser) qualifierBefore(i int) schema.Qualifier {
	e := &p.x.entries[p.tokens[i].Word]
	switch e.class {
	case classQualifier:
		// an arrow: "->"
		if p.tokens[i].Glued && i > 0 && p.tokens[i].Kind == TokenSign && p.tokens[i-1].Kind == TokenSign {
			return schema.QualifierNone
		}
		if _, ok := p.peakToPeak(i, -1); ok {
			return schema.QualifierPeakToPeak
		}
		return e.qualifier
	case classTilde:
		if p.alternating(i) {
			return schema.QualifierNone
		}
		return schema.QualifierAbout
	case classStop: // "approx. 12 volts"
		if i == 0 || !p.tokens[i].Glued {
			break
		}
		if p.word(i-1) == classQualifier {
			return p.x.entries[p.tokens[i-1].Word].qualifier
		}
		if p.circa(i - 1) {
			return schema.QualifierAbout
		}
	case classNone:
		return p.orEqual(i)
	case classOf: // "a maximum of 5 amps"
		if b := p.backOne(i); p.word(b) == classQualifier {
			return p.x.entries[p.tokens[b].Word].qualifier
		}
	case classTo: // "up to"
		if p.word(p.backOne(i)) == classUp {
			return schema.QualifierAtMost
		}
	case classLeast:
		return schema.QualifierAtLeast
	case classMost:
		return schema.QualifierAtMost
	case classThan:
		b := p.backOne(i)
		no := p.word(p.backOne(b)) == classNo // "no more than"
		switch p.word(b) {
		case classMore:
			if no {
				return schema.QualifierAtMost
			}
			return schema.QualifierOver
		case classLess:
			if no {
				return schema.QualifierAtLeast
			}
			return schema.QualifierUnder
		}
	}
	return schema.QualifierNone
}

// circa reports whether a small c with a full stop stands for about: "c. 20 W",
// not "USB-c. 20 W".
func (p *parser) circa(i int) bool {
	t := p.tokens[i]
	if t.Glued || t.End-t.Start != 1 || p.text[t.Start] != 'c' {
		return false
	}
	return i == 0 || p.tokens[i-1].Kind != TokenNumber && !p.letter(i-1) && !p.guarded(i-1, guardPortName)
}

// orEqual reads the sign = behind < or >.
func (p *parser) orEqual(i int) schema.Qualifier {
	if t := p.tokens[i]; i == 0 || t.Kind != TokenSign || !t.Glued || p.text[t.Start] != '=' {
		return schema.QualifierNone
	}
	switch p.qualifierBefore(i - 1) {
	case schema.QualifierUnder:
		return schema.QualifierAtMost
	case schema.QualifierOver:
		return schema.QualifierAtLeast
	}
	return schema.QualifierNone
}

// HedgeEnd is the token behind a mention and the word behind it that hedges it: "45
// millivolts peak to peak", "5 amps max".
func (d *Document) HedgeEnd(m *Mention) int32 {
	return (&parser{x: d.Lexicon, text: d.Transcript.Text, tokens: d.Tokens}).hedgeEnd(m)
}

func (p *parser) hedgeEnd(m *Mention) int32 {
	i := p.skipBreak(int(m.Last))
	if next, ok := p.peakToPeak(i, 1); ok {
		return int32(next)
	}
	if p.word(i) == classQualifier && p.qualifierBehind(i) != schema.QualifierNone {
		return int32(i) + 1
	}
	return m.Last
}

// peakToPeak reports whether "peak to peak" starts at token i and, step being -1, whether
// it ends there; next is the token beyond.
func (p *parser) peakToPeak(i, step int) (next int, ok bool) {
	for n := range 3 {
		if to := p.word(i) == classTo; n == 1 && !to || n != 1 && !p.isPeak(i) {
			return i, false
		}
		for i += step; i >= 0 && i < len(p.tokens) &&
			(p.tokens[i].Kind == TokenBreak || p.word(i) == classDash && p.tokens[i].Glued); i += step {
		}
	}
	return i, true
}

func (p *parser) isPeak(i int) bool {
	return p.word(i) == classQualifier && p.x.entries[p.tokens[i].Word].qualifier == schema.QualifierPeak
}

// qualifierBehind reads the hedge that starts at token i: "5 amps max", "20
// volts or more".
func (p *parser) qualifierBehind(i int) schema.Qualifier {
	i = p.skipBreak(i)
	if i >= len(p.tokens) {
		return schema.QualifierNone
	}
	e := &p.x.entries[p.tokens[i].Word]
	switch e.class {
	case classQualifier:
		if _, ok := p.peakToPeak(i, 1); ok {
			return schema.QualifierPeakToPeak
		}
		switch e.qualifier {
		case schema.QualifierMaximum, schema.QualifierMinimum, schema.QualifierPeak, schema.QualifierTypical,
			schema.QualifierNominal:
			return e.qualifier
		}
	case classOr:
		j := p.skipBreak(i + 1)
		if p.word(p.skipBreak(j+1)) == classThan {
			return schema.QualifierNone
		}
		switch p.word(j) {
		case classMore:
			return schema.QualifierAtLeast
		case classLess:
			return schema.QualifierAtMost
		}
	}
	return schema.QualifierNone
}

// tolerance reads "± 5 %", "plus or minus five percent" behind a mention.
func (p *parser) tolerance(m *Mention) {
	j := p.skipBreak(int(m.Last))
	c, _ := p.at(j)
	k := j + 1
	switch c {
	case classTolerance:
	case classPlus:
		d, _ := p.at(k)
		if d == classOr {
			k++
			d, _ = p.at(k)
		} else if d == classSlash {
			k++
			d, _ = p.at(k)
		}
		if d != classMinus && d != classDash {
			return
		}
		k++
	default:
		return
	}
	n, ok := p.number(p.skipBreak(k))
	if !ok {
		return
	}
	u, ok := p.unit(n.end)
	if !ok || u.Manner == MannerHeard {
		return
	}
	if m.From == UnitNone && u.Unit != "%" { // "20 ± 0.1 mm": one unit for both
		m.Unit, m.From = u, UnitOwn
	}
	if u.Unit != "%" && u.Unit.Kind() != m.Unit.Unit.Kind() {
		return
	}
	m.Tolerance = &schema.Tolerance{Value: n.num.Decimal(), Unit: u.Unit}
	m.Last = u.End
}
