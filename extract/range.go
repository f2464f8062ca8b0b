package extract

// rangeEnd reads the high end of a range behind the number n that starts at
// token i: "to 240", "–240", "-240", "and 16" after between, "/60" where it
// rises.
func (p *parser) rangeEnd(i int, n number) (Num, int, bool) {
	j := p.skipBreak(n.end)
	if j >= len(p.tokens) {
		return Num{}, 0, false
	}
	before := p.opener(i)
	c, _ := p.at(j)
	k := j + 1
	switch c {
	case classTo:
	case classDash:
		if p.tokens[j].Glued != (k < len(p.tokens) && p.tokens[k].Glued) {
			return Num{}, 0, false
		}
	case classAnd:
		if before != classBetween {
			return Num{}, 0, false
		}
	case classUp: // "up to"
		if d, _ := p.at(p.skipBreak(k)); d != classTo || before != classFrom {
			return Num{}, 0, false
		}
		k = p.skipBreak(k) + 1
	case classSlash:
		if before == classSlash || !p.tokens[j].Glued && k < len(p.tokens) && p.tokens[k].Glued { // "5/9/12" is a list
			return Num{}, 0, false
		}
	default:
		// a unit said at both ends: "5 volts to 12 volts", "3.3V-11V"
		if u, ok := p.unit(n.end); ok && u.Manner != MannerHeard {
			j = p.skipBreak(int(u.End))
			c, _ = p.at(j)
			switch c {
			case classTo:
			case classUp: // "from 5 volts up to 12 volts"
				j = p.skipBreak(j + 1)
				if d, _ := p.at(j); d != classTo || before != classFrom {
					return Num{}, 0, false
				}
			case classDash: // with blanks on both sides or on none
				if p.tokens[j].Glued != (j+1 < len(p.tokens) && p.tokens[j+1].Glued) {
					return Num{}, 0, false
				}
			case classAnd:
				if before != classBetween {
					return Num{}, 0, false
				}
			default:
				return Num{}, 0, false
			}
			h, ok := p.number(p.skipBreak(j + 1))
			if !ok || !less(n.num, h.num) {
				return Num{}, 0, false
			}
			v, ok := p.unit(h.end)
			if !ok || v.Unit != u.Unit {
				return Num{}, 0, false
			}
			return h.num, h.end, true
		}
		return Num{}, 0, false
	}
	k = p.skipBreak(k)
	if k >= len(p.tokens) {
		return Num{}, 0, false
	}
	if c == classTo && before != classFrom && p.tokens[k].Kind == TokenWord {
		if d, _ := p.at(k); d == classArticle || d == classFraction {
			return Num{}, 0, false
		}
	}
	h, ok := p.number(k)
	if !ok || h.num.Coef < 0 && c == classDash || !less(n.num, h.num) {
		return Num{}, 0, false
	}
	if c == classSlash {
		if u, ok := p.unit(h.end); !ok || u.Manner == MannerHeard && u.Count < 4 {
			return Num{}, 0, false
		}
	}
	return h.num, h.end, true
}

// opener is the class of the word before token i, a hedge stepped over:
// "between about 5 and 9 volts".
func (p *parser) opener(i int) class {
	b := p.backOne(i)
	if p.word(b) == classQualifier {
		b = p.backOne(b)
	}
	return p.word(b)
}

func less(a, b Num) bool {
	if a.Big != nil || b.Big != nil {
		return a.Decimal().Cmp(b.Decimal()) < 0
	}
	return a.Float() < b.Float()
}
