package extract

import "unicode/utf8"

// maxPower bounds the powers of ten that are read.
const maxPower = 30

// power reads a power of ten behind the digits n, as people write it (SI
// Brochure 9, 5.4.4 and 5.4.6; ISO 80000-1, 7.3): "2.2e3 ohms", "5x10^3 W",
// "3.2 × 10−7 A", "10³ Ω". Where that could be something else a unit must
// follow.
func (p *parser) power(n number, whole bool) (number, bool) {
	if n.num.Big != nil || n.num.Coef == 0 {
		return n, false
	}
	if e, end, ok := p.exponentLetter(n.end); ok && (!whole || p.unitFollows(end)) {
		return number{shift(n.num, e), end, StyleExact}, true
	}
	if p.word(n.end) == classBy {
		if j := n.end + 1; p.isTen(j) {
			if e, end, ok := p.exponent(j + 1); ok && (p.raised10(j+1) || p.unitFollows(end)) {
				return number{shift(n.num, e), end, StyleExact}, true
			}
		}
		return n, false
	}
	if whole && p.isTen(n.end-1) {
		if c, _ := p.at(n.end); c == classDash { // "10-20 W" is a range
			return n, false
		}
		if e, end, ok := p.exponent(n.end); ok && (p.raised10(n.end) || p.unitFollows(end)) {
			return number{shift(Num{Coef: 1}, e), end, StyleExact}, true
		}
	}
	return n, false
}

// raised10 reports whether the exponent at token i is marked as one, by a caret
// or raised digits.
func (p *parser) raised10(i int) bool {
	c := p.word(i)
	return c != classMinus && c != classDash
}

// unitFollows reports whether a unit that is not merely heard stands at token i.
func (p *parser) unitFollows(i int) bool {
	u, ok := p.unit(i)
	return ok && u.Manner != MannerHeard
}

// isTen reports whether token i is the number 10.
func (p *parser) isTen(i int) bool {
	return i >= 0 && i < len(p.tokens) && p.tokens[i].Kind == TokenNumber &&
		string(p.text[p.tokens[i].Start:p.tokens[i].End]) == "10"
}

// exponentLetter reads e3, E-3, e+3 glued behind a number.
func (p *parser) exponentLetter(i int) (int32, int, bool) {
	if !p.letter(i) || !p.tokens[i].Glued || p.text[p.tokens[i].Start]|0x20 != 'e' {
		return 0, i, false
	}
	return p.signedPower(i + 1)
}

// exponent reads what stands behind the base 10: ^3, ^-3, ³, ⁻³, or a glued
// minus and digits, which is what is left of a raised exponent.
func (p *parser) exponent(i int) (int32, int, bool) {
	if i >= len(p.tokens) || !p.tokens[i].Glued {
		return 0, i, false
	}
	if p.tokens[i].Kind == TokenSign && p.text[p.tokens[i].Start] == '^' {
		return p.signedPower(i + 1)
	}
	if e, end, ok := p.raisedPower(i); ok {
		return e, end, true
	}
	if c := p.word(i); c == classMinus || c == classDash {
		return p.signedPower(i)
	}
	return 0, i, false
}

// signedPower reads a whole number of at most two digits, with a sign or
// without, all glued.
func (p *parser) signedPower(i int) (int32, int, bool) {
	minus := false
	if i < len(p.tokens) && p.tokens[i].Glued && p.tokens[i].Kind == TokenSign {
		switch p.word(i) {
		case classMinus, classDash:
			minus = true
		case classPlus:
		default:
			return 0, i, false
		}
		i++
	}
	if i >= len(p.tokens) || !p.tokens[i].Glued || p.tokens[i].Kind != TokenNumber {
		return 0, i, false
	}
	n, whole, ok := p.digitsAt(i)
	if !ok || !whole || n.Big != nil || n.Coef > maxPower {
		return 0, i, false
	}
	if minus {
		return -int32(n.Coef), i + 1, true
	}
	return int32(n.Coef), i + 1, true
}

// raisedPower reads superscript digits that start with token i: ³, ⁻⁷, ¹².
func (p *parser) raisedPower(i int) (int32, int, bool) {
	start := int(p.tokens[i].Start)
	at, e, digits, minus := start, int32(0), 0, false
scan:
	for at < len(p.text) {
		r, size := utf8.DecodeRune(p.text[at:])
		d := int32(-1)
		switch {
		case r == 0x207B && at == start:
			minus = true
		case r == 0x207A && at == start:
		case r == 0xB9:
			d = 1
		case r == 0xB2 || r == 0xB3:
			d = int32(r) - 0xB0
		case r == 0x2070 || r >= 0x2074 && r <= 0x2079:
			d = int32(r) - 0x2070
		default:
			break scan
		}
		if d >= 0 {
			if digits++; digits > 2 {
				return 0, i, false
			}
			e = e*10 + d
		}
		at += size
	}
	if digits == 0 || e > maxPower {
		return 0, i, false
	}
	for i < len(p.tokens) && int(p.tokens[i].End) <= at {
		i++
	}
	if int(p.tokens[i-1].End) != at {
		return 0, i, false
	}
	if minus {
		e = -e
	}
	return e, i, true
}

// spaced reads groups of three digits with a blank between (SI Brochure 9,
// 5.4.4): "20 000 mAh". A plain space may as well stand between two numbers,
// so that behind it only zeros are taken for a group, or two groups.
func (p *parser) spaced(n number) number {
	first := p.tokens[n.end-1]
	if size := first.End - first.Start; n.num.Big != nil || size > 3 || n.num.Coef == 0 || n.style != StyleDigits {
		return n
	}
	end, groups, plain, zeros := n.end, 0, false, true
	num := n.num
	for end < len(p.tokens) && groups < 4 {
		t, b := p.tokens[end], p.tokens[end-1]
		if t.Kind != TokenNumber || t.Glued && t.Start == b.End || t.End-t.Start != 3 {
			break
		}
		gap := p.text[b.End:t.Start]
		if len(gap) == 1 {
			if gap[0] != ' ' {
				break
			}
			plain = true
		} else if r, size := utf8.DecodeRune(gap); size != len(gap) || !isBlank(gap) || r == 0xFEFF {
			break
		}
		g, whole, ok := p.digitsAt(end)
		if !ok || !whole {
			break
		}
		zeros = zeros && g.Coef == 0
		num = Num{Coef: num.Coef*1000 + g.Coef}
		groups++
		end++
	}
	if groups == 0 || plain && !zeros && groups < 2 || !p.unitFollows(end) {
		return n
	}
	return number{num, end, StyleDigits}
}

// oneByOne reads digits that captions show apart from each other as the number that
// was spelled: "1 0 5 millivolts", and behind "oh", which is a zero, "7 oh 4 watt hours",
// "20 oh 1 volts". A unit must follow; two digits alone may as well be two numbers. Where
// the point was is for the reading engine.
func (p *parser) oneByOne(n number) number {
	first := p.tokens[n.end-1]
	count := int(first.End - first.Start)
	if n.num.Coef == 0 || n.num.Exp != 0 || n.num.Big != nil || n.style != StyleDigits {
		return n
	}
	num, end, apart, oh := n.num, n.end, 1, false // apart: tokens so far; oh: a zero was said so
	for count <= p.x.length.spelledMost {
		at := p.skipBreak(end)
		c, v := p.at(at)
		switch digit, ok := p.loneDigit(at); {
		case ok && (oh || count == apart): // all before are lone digits too
			v = digit
		case c == classDigitWord && v == 0 && !oh:
			if _, ok := p.loneDigit(p.skipBreak(at + 1)); !ok {
				return n
			}
			oh = true
		default:
			if end > n.end && (oh || count >= p.x.length.spelledDigits) && p.unitFollows(at) {
				return number{num, end, StyleSpell}
			}
			return n
		}
		num.Coef = num.Coef*10 + int64(v)
		count++
		apart++
		end = at + 1
	}
	return n
}

// loneDigit returns the one digit that token i is, apart from what is before.
func (p *parser) loneDigit(i int) (int32, bool) {
	if i >= len(p.tokens) {
		return 0, false
	}
	t := p.tokens[i]
	return int32(p.text[t.Start]) - '0', t.Kind == TokenNumber && t.End-t.Start == 1 && !t.Glued
}
