package extract

import ()

// fraction is the digits behind a point, as far as they are read.
type fraction struct {
	number
	got    int  // digits
	single bool // one by one so far
}

// push adds a number of so many digits.
func (f *fraction) push(v int64, digits int) {
	for range digits {
		f.num.Coef *= 10
		f.num.Exp--
	}
	f.num.Coef += v
	f.got += digits
}

// fractionDigits reads what stands after a point: digit words, a tens or
// teen word, or digit tokens; "point oh five", "point twenty five",
// "point 9 6".
func (p *parser) fractionDigits(whole Num, i int) (number, bool) {
	f := fraction{number: number{num: whole, style: StyleWords}, single: true}
	for f.got < p.x.length.fraction {
		j := p.joint(i)
		if j >= len(p.tokens) {
			break
		}
		end, more := p.fractionPart(&f, i, j)
		if end > 0 {
			i, f.end = end, end
		}
		if !more {
			break
		}
	}
	return f.number, f.got > 0
}

// fractionPart reads the next digits of a fraction at token j, the one before
// them ending at i. It returns the token behind, 0 for an end that stays as it
// was, and whether more may follow.
func (p *parser) fractionPart(f *fraction, i, j int) (end int, more bool) {
	c, v := p.at(j)
	switch {
	case c == classDigitWord && (f.got == 0 || p.tokens[j].Kind == TokenWord):
		f.push(int64(v), 1)
		return j + 1, true
	case c == classRepeat:
		d, w := p.at(j + 1)
		if d != classDigitWord {
			return 0, false
		}
		for range v {
			f.push(int64(w), 1)
		}
		return j + 2, true
	case c == classTeen && f.got == 0:
		f.push(int64(v), 2)
		return j + 1, true
	case c == classTens && f.got <= 1:
		f.push(int64(v), 2)
		end = j + 1
		if d, w := p.at(p.joint(end)); d == classDigitWord && w > 0 {
			f.num.Coef += int64(w)
			end = p.joint(end) + 1
		}
		return end, false
	case p.tokens[j].Kind == TokenNumber:
		return p.fractionToken(f, i, j)
	}
	return p.fractionBySound(f, i, j), false
}

// fractionToken is fractionPart for a token of digits.
func (p *parser) fractionToken(f *fraction, i, j int) (end int, more bool) {
	d, isWhole, _ := p.digitsAt(j) // too long ones end below
	t := p.tokens[j]
	size := int(t.End - t.Start)
	if !isWhole || size > 6 || p.text[t.Start] >= 0x80 {
		return i, false
	}
	if f.got > 0 {
		if size > 1 || p.tokens[i-1].Kind != TokenNumber || p.startsUnit(j+1) && !f.single {
			return i, false
		}
		f.style = StyleBroken
	}
	f.push(d.Coef, size)
	f.single = f.single && size == 1
	return j + 1, true
}

// fractionBySound reads a word that sounds like a digit at token j, and one digit
// behind it: "for eight volts". It returns the end of the fraction.
func (p *parser) fractionBySound(f *fraction, i, j int) int {
	d, ok := p.digitBySound(j, f.got)
	if !ok {
		return i
	}
	f.push(d, 1)
	f.style, i = StyleHeard, j+1
	k := p.skipBreak(i)
	if k >= len(p.tokens) || f.got != 1 {
		return i
	}
	if c, v := p.at(k); c == classDigitWord {
		f.push(int64(v), 1)
		return k + 1
	}
	if t := p.tokens[k]; t.Kind == TokenNumber && t.End-t.Start == 1 {
		f.push(int64(p.text[t.Start]-'0'), 1)
		return k + 1
	}
	return i
}

// addFraction reads "and a half", "and three quarters" behind a number.
func (p *parser) addFraction(n number) (number, bool) {
	j := p.skipBreak(n.end)
	c, _ := p.at(j)
	in := c == classIn && p.word(p.skipBreak(j+1)) == classArticle // "three in a quarter amps": and
	if c == classAnd || in {
		j = p.skipBreak(j + 1)
		if c, _ = p.at(j); c == classArticle {
			j = p.skipBreak(j + 1)
		}
		f, end, ok := p.fraction(j)
		if in && ok && !p.startsUnit(end) {
			return n, false
		}
		if ok && n.num.Exp == 0 && n.num.Big == nil {
			return p.scaled(number{plus(n.num, f), end, StyleMixed}), true
		}
		return n, false
	}
	// "3 1/2"
	if j < len(p.tokens) && p.tokens[j].Kind == TokenNumber && !p.tokens[j].Glued {
		if c, _ := p.at(j + 1); c == classSlash && p.tokens[j+1].Glued {
			if f, ok := p.slashFraction(j); ok {
				return number{plus(n.num, f.num), f.end, StyleMixed}, true
			}
		}
	}
	return n, false
}

// fraction reads "half", "quarter", "three quarters", "one tenth".
func (p *parser) fraction(i int) (Num, int, bool) {
	c, v := p.at(i)
	if c == classFraction {
		f, ok := ratio(1, int64(v))
		return f, i + 1, ok
	}
	if c == classDigitWord && v > 0 {
		j := p.joint(i + 1)
		if c, w := p.at(j); c == classFraction && v < w {
			f, ok := ratio(int64(v), int64(w))
			return f, j + 1, ok
		}
	}
	return Num{}, i, false
}
