package extract

import "saywatt/schema"

// words reads a number that starts with a number word.
func (p *parser) words(i int) (number, bool) {
	c, v := p.at(i)
	switch c {
	case classArticle:
		return p.afterArticle(i)
	case classPoint: // "point four seven"
		if p.tokens[i].Kind != TokenWord {
			return number{}, false
		}
		n, ok := p.fractionDigits(Num{}, i+1)
		if !ok {
			return number{}, false
		}
		return p.scaled(n), true
	case classFraction: // "half an amp", "quarter inch", "half a million"
		if v != 2 && v != 4 {
			return number{}, false
		}
		f, end, ok := p.fraction(i)
		if !ok {
			return number{}, false
		}
		j := p.over(p.over(p.skipBreak(end), classOf), classArticle)
		if p.startsUnit(j) {
			return number{f, j, StyleWords}, true
		}
		if c, _ := p.at(j); c == classScale {
			return p.scaled(number{f, j, StyleWords}), true
		}
		return number{}, false
	case classDozen:
		return number{}, false
	}
	if f, end, ok := p.fraction(i); ok { // "three quarters of an inch"
		j := p.skipBreak(end)
		if of := p.over(j, classOf); of > j {
			j = p.over(of, classArticle)
		}
		if p.startsUnit(j) {
			return number{f, j, StyleWords}, true
		}
	}
	n, ok := p.cardinal(i)
	if !ok {
		return number{}, false
	}
	if c, _ := p.at(p.skipBreak(n.end)); c == classPoint && n.num.Big == nil {
		if f, ok := p.fractionDigits(n.num, p.skipBreak(n.end)+1); ok {
			if f.style != StyleHeard {
				f.style = StyleWords
			}
			return p.scaled(f), true
		}
	}
	if f, ok := p.addFraction(n); ok {
		f.style = StyleWords
		return f, true
	}
	return p.kilo(n), true
}

// over steps over the word at token j, and a line break behind it, where it is of
// a class.
func (p *parser) over(j int, class class) int {
	if c, _ := p.at(j); c == class {
		return p.skipBreak(j + 1)
	}
	return j
}

// bareHundred reads "hundred watts", "thousand milliamps" as 100 and 1000, as
// people say it; not in "a few hundred", and not behind a number that this
// word did not go with ("20, thousand"). What follows must be a unit or a
// range, so that "hundreds of" and "hundred reviews" stay words.
func (p *parser) bareHundred(i int) (number, bool) {
	if c, v := p.at(i); c == classScale && (v != 3 || p.prefixHere(i)) {
		return number{}, false
	}
	b := p.backOne(i)
	c, _ := p.at(b)
	if c == classOf {
		c, _ = p.at(p.backOne(b))
	}
	if b >= 0 && (c == classVague || p.isNumberWord(b) || p.tokens[b].Kind != TokenWord &&
		p.tokens[b].Kind != TokenPara) {
		return number{}, false
	}
	n, ok := p.cardinal(i)
	if !ok {
		return number{}, false
	}
	if c, _ := p.at(p.skipBreak(n.end)); n.end == i+1 && c != classTo && !p.startsUnit(n.end) {
		return number{}, false // but "hundred and fifty" is a number with whatever is behind
	}
	n.style = StyleBare
	return n, true
}

// afterArticle reads "a hundred", "a thousand", "a half", "a dozen".
func (p *parser) afterArticle(i int) (number, bool) {
	j := p.skipBreak(i + 1)
	switch c, v := p.at(j); c {
	case classHundred, classScale:
		return p.cardinal(i)
	case classDozen:
		return number{Num{Coef: int64(v)}, j + 1, StyleWords}, true
	case classFraction:
		if f, end, ok := p.fraction(j); ok {
			k := p.skipBreak(end)
			if c, _ := p.at(k); c == classOf {
				k = p.skipBreak(k + 1)
			} else if v != 2 && v != 4 { // "a tenth of a volt", but "a fifth" counts
				break
			}
			if c, _ := p.at(k); c == classArticle {
				k = p.skipBreak(k + 1)
			}
			if p.startsUnit(k) {
				return number{f, k, StyleWords}, true
			}
		}
	}
	return number{}, false
}

// cardinal reads a whole number in words, of any size: standard English
// ("two hundred and fifty", "nineteen thousand"), pairs ("one twenty",
// "fourteen fifty", "one oh five", "eighteen six fifty"), and digit by digit
// ("three two five", "double five").
func (p *parser) cardinal(i int) (number, bool) {
	total, end := Num{}, i
	style := StyleWords
	last := int32(1 << 20) // scale of the group before: groups must fall
	for {
		j := p.joint(end)
		if end > i {
			var goesOn bool
			if j, goesOn = p.overAnd(j, last); !goesOn {
				break
			}
		}
		g, gEnd, gStyle, ok := p.group(j)
		if end == i && !ok {
			g, gEnd, gStyle, ok = p.bareMagnitude(j)
		}
		if !ok || gStyle != StyleWords && end > i {
			break
		}
		scale := int32(0)
		if gStyle == StyleWords || gStyle == StylePair {
			scale, gEnd = p.scaleWords(gEnd)
		}
		if end > i && (scale >= last || last == 0) {
			break
		}
		add := shift(Num{Coef: g}, scale)
		if end > i {
			add = plus(total, add)
		}
		total, style, end, last = add, gStyle, gEnd, scale
		if scale == 0 {
			break
		}
	}
	return number{total, end, style}, end > i
}

// overAnd steps over an "and" inside a number in words at token j, behind a group
// of scale last: "two thousand and ten". It reports whether the number may go
// on.
func (p *parser) overAnd(j int, last int32) (int, bool) {
	if !p.isAnd(j) {
		return j, true
	}
	k := p.skipBreak(j + 1)
	if p.noAnd || p.fractionHere(k) {
		return j, false
	}
	if last <= 3 {
		return k, true
	}
	switch c, _ := p.at(k); c {
	case classDigitWord, classTeen, classTens, classArticle:
		return k, true
	}
	return j, false
}

// bareMagnitude reads a number that begins with its magnitude: "hundred and ten
// watts", "thousand watts".
func (p *parser) bareMagnitude(j int) (v int64, end int, style Style, ok bool) {
	switch c, _ := p.at(j); c {
	case classHundred:
		return p.hundreds(1, j)
	case classScale:
		return 1, j, StyleWords, true
	}
	return 0, 0, 0, false
}

// scaleWords adds up the scales from token end on, and returns the token behind.
func (p *parser) scaleWords(end int) (int32, int) {
	scale := int32(0)
	for {
		k := p.skipBreak(end)
		c, v := p.at(k)
		if c != classScale || p.prefixHere(k) {
			return scale, end
		}
		scale += v
		end = k + 1
	}
}

// prefixHere reports whether the scale word at token k opens a unit by the
// phrase table: "million hours" is what captions show for milliamp hours. The
// reading engine keeps the literal scale as another reading.
func (p *parser) prefixHere(k int) bool {
	_, n := p.x.units.match(p.tokens, k)
	return n > 0
}

// group reads a number below 1000, a pair reading or a digit string.
func (p *parser) group(i int) (v int64, end int, style Style, ok bool) {
	c, w := p.at(i)
	switch c {
	case classArticle:
		j := p.skipBreak(i + 1)
		if c, _ := p.at(j); c == classHundred {
			return p.hundreds(1, j)
		} else if c == classScale {
			return 1, j, StyleWords, true
		}
		return 0, i, 0, false
	case classRepeat:
		if d, _ := p.at(p.skipBreak(i + 1)); d == classDigitWord {
			return p.spelled(i)
		}
		return 0, i, 0, false
	case classDigitWord:
		v, end = int64(w), i+1
	case classTeen:
		v, end = int64(w), i+1
	case classTens:
		v, end = int64(w), i+1
		if d, u := p.at(p.joint(end)); d == classDigitWord && u > 0 && p.tokens[p.joint(end)].Kind == TokenWord &&
			!p.isLetterO(p.joint(end)) {
			v, end = v+int64(u), p.joint(end)+1
		} else if u, after := p.oneBySound(p.joint(end)); u > 0 {
			return v + u, after, StyleHeard, true
		}
	default:
		return 0, i, 0, false
	}
	j := p.joint(end)
	switch d, _ := p.at(j); {
	case d == classHundred:
		return p.hundreds(v, j)
	case c == classDigitWord && (d == classDigitWord || d == classRepeat):
		if s, e, st, ok := p.spelled(i); ok {
			return s, e, st, true
		}
	case d == classTeen || d == classTens || d == classDigitWord && v >= 10:
		if c == classDigitWord && v == 0 {
			break
		}
		if s, e, ok := p.pair(v, j); ok {
			return s, e, StylePair, true
		}
	}
	return v, end, StyleWords, true
}

// isLetterO keeps "twenty oh five" from reading as 20+0.
func (p *parser) isLetterO(i int) bool {
	_, v := p.at(i)
	return v == 0
}

// fractionHere keeps "and three quarters" from reading as three.
func (p *parser) fractionHere(i int) bool {
	_, _, ok := p.fraction(i)
	return ok
}

// hundreds reads on behind "v hundred".
func (p *parser) hundreds(v int64, i int) (int64, int, Style, bool) {
	v *= 100
	end := i + 1
	j := p.joint(end)
	c, w := p.at(j)
	if c == classAnd {
		if p.noAnd {
			return v, end, StyleWords, true
		}
		j = p.skipBreak(j + 1)
		if u, after := p.oneBySound(j); u > 0 { // "two hundred and for volts"
			return v + u, after, StyleHeard, true
		}
		if c, w = p.at(j); c != classTens && c != classTeen && (c != classDigitWord || w == 0) || p.fractionHere(j) {
			return v, end, StyleWords, true
		}
	}
	switch c {
	case classDigitWord:
		if d, _ := p.at(p.joint(j + 1)); d == classHundred { // "one hundred | two hundred forty"
			break
		}
		if w > 0 {
			v, end = v+int64(w), j+1
		}
	case classTeen:
		v, end = v+int64(w), j+1
	case classTens:
		v, end = v+int64(w), j+1
		if d, u := p.at(p.joint(end)); d == classDigitWord && u > 0 {
			v, end = v+int64(u), p.joint(end)+1
		} else if u, after := p.oneBySound(p.joint(end)); u > 0 {
			return v + u, after, StyleHeard, true
		}
	}
	return v, end, StyleWords, true
}

// pair reads on behind the first half v of a pair reading: "one | twenty",
// "fourteen | fifty", "twenty | oh five"; and "eighteen | six fifty".
func (p *parser) pair(v int64, i int) (int64, int, bool) {
	c, w := p.at(i)
	switch c {
	case classTeen:
		return v*100 + int64(w), i + 1, true
	case classTens:
		low, end := int64(w), i+1
		if d, u := p.at(p.joint(end)); d == classDigitWord && u > 0 {
			low, end = low+int64(u), p.joint(end)+1
		}
		return v*100 + low, end, true
	case classDigitWord:
		j := p.joint(i + 1)
		d, u := p.at(j)
		switch {
		case w == 0 && d == classDigitWord: // "one oh five"
			return v*100 + int64(u), j + 1, true
		case w > 0 && d == classHundred && v >= 10: // "twenty-six eight hundred", a cell format or a charge
			low, end, _, ok := p.hundreds(int64(w), j)
			if u, said := p.unit(p.skipBreak(end)); said && u.Unit.Kind() != schema.KindCharge {
				return 0, i, false
			}
			return v*1000 + low, end, ok
		case w > 0 && d == classTens: // "eighteen six fifty", a cell format and no quantity
			low, end, _ := p.pair(int64(w), j)
			if p.startsUnit(p.skipBreak(end)) {
				return 0, i, false
			}
			return v*1000 + low, end, true
		}
	}
	return 0, i, false
}

// spelled reads digit words one by one: "three two five", "double five",
// "one oh five".
func (p *parser) spelled(i int) (int64, int, Style, bool) {
	v, end, n := int64(0), i, 0
	for n < 12 {
		j := end
		if n > 0 {
			j = p.joint(end)
		}
		c, w := p.at(j)
		switch c {
		case classDigitWord:
			if d, _ := p.at(p.joint(j + 1)); d == classHundred { // "eight | two hundred"
				return v, end, StyleSpell, n > 0
			}
			v, n, end = v*10+int64(w), n+1, j+1
			continue
		case classRepeat:
			if d, u := p.at(p.skipBreak(j + 1)); d == classDigitWord {
				for range w {
					v, n = v*10+int64(u), n+1
				}
				end = p.skipBreak(j+1) + 1
				continue
			}
		case classTens, classTeen:
			if n == 1 { // "six fifty" is a pair, "four twenty two" too
				if s, e, ok := p.pair(v, j); ok {
					return s, e, StylePair, true
				}
			}
			if n == 2 { // "two two fifty": leave the tail to the reading engine
				return v, end, StyleSpell, true
			}
		}
		break
	}
	return v, end, StyleSpell, n > 1
}
