package extract

import (
	"math"

	"saywatt/schema"
)

// Num is a decimal number as the grammar reads it: Coef × 10^Exp. It is
// small and needs no memory of its own; Decimal makes the exact value of the
// record from it. Numbers of more than 18 digits, which no quantity of the
// trade has, carry Big. Those of more than MaxDigits are no numbers here.
type Num struct {
	Coef int64
	Exp  int16
	Big  *schema.Decimal
}

// Decimal returns the exact value.
func (n Num) Decimal() schema.Decimal {
	if n.Big != nil {
		return *n.Big
	}
	if n.Exp > 0 {
		return schema.NewDecimal(n.Coef, 0).Shift(int(n.Exp))
	}
	return schema.NewDecimal(n.Coef, int32(n.Exp))
}

// Float returns the nearest float, for plausibility.
func (n Num) Float() float64 {
	if n.Big != nil {
		return n.Big.Float64()
	}
	if n.Exp >= 0 && int(n.Exp) < len(tens) {
		return float64(n.Coef) * tens[n.Exp]
	}
	if n.Exp < 0 && int(-n.Exp) < len(tens) {
		return float64(n.Coef) / tens[-n.Exp]
	}
	return float64(n.Coef) * math.Pow(10, float64(n.Exp))
}

// equal reports equality by value.
func (n Num) equal(m Num) bool {
	if n == m {
		return true
	}
	if n.Big != nil || m.Big != nil {
		return n.Decimal().Equal(m.Decimal())
	}
	for n.Exp > m.Exp && n.Coef < maxCoef {
		n.Coef, n.Exp = n.Coef*10, n.Exp-1
	}
	for m.Exp > n.Exp && m.Coef < maxCoef {
		m.Coef, m.Exp = m.Coef*10, m.Exp-1
	}
	return n == m
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17,
	1e18}

const maxCoef = 1e17

// Style says how a number was written; the reading engine weighs it.
type Style uint8

// The styles.
const (
	StyleNone   Style = iota
	StyleDigits       // one token of digits: 325, 3.25, 10,000
	StyleWords        // number words by the rules of English: three point two five
	StylePair         // words read in pairs: one twenty, fourteen fifty
	StyleSpell        // digit words one by one: three two five
	StyleMixed        // digits and words: 3 point 25, 20 thousand, 1.5 k
	StyleBroken       // digits after the point broken off: 3 point 2 5
	StyleSound        // a word that only sounds like a number: to amps
	StyleHeard        // a number one digit of which is a word that sounds like it: two point for amps
	StyleBare         // hundred or thousand with nothing before: hundred watts, where a digit may have been lost
	StyleExact        // written in a way that only a person writes: 2.2e3, 4k7, 5' 2"
)

// number is one literal reading of the tokens [first, end).
type number struct {
	num   Num
	end   int
	style Style
}

// parser reads numbers and units from a token stream.
type parser struct {
	memo   [unitMemos]unitMemo
	ahead  map[int]unitMemo // units by token that others hang on (readAhead); nil for none
	deep   int              // how many units are being read that hang on the next
	room   *workroom        // to work in; nil for one of its own
	heard  *heardMemo       // what words sound like; nil until it is asked for
	x      *Lexicon
	text   []byte
	tokens []Token
	names  *names         // nil until they are found
	codes  []numberedCode // part numbers known beforehand
	noAnd  bool           // "and" ends a number: between one hundred and two hundred
}

// at returns the class and value of the word at token i, skipping nothing.
func (p *parser) at(i int) (class, int32) {
	if i < 0 || i >= len(p.tokens) {
		return classNone, 0
	}
	e := &p.x.entries[p.tokens[i].Word]
	return e.class, e.value
}

// word is the class of the word at token i.
func (p *parser) word(i int) class {
	c, _ := p.at(i)
	return c
}

// skipBreak steps over one line break.
func (p *parser) skipBreak(i int) int {
	if i < len(p.tokens) && p.tokens[i].Kind == TokenBreak {
		return i + 1
	}
	return i
}

// joint steps over a hyphen glued on both sides ("twenty-five") and over
// line breaks between number words.
func (p *parser) joint(i int) int {
	if c, _ := p.at(i); c == classDash && p.tokens[i].Glued && i+1 < len(p.tokens) && p.tokens[i+1].Glued {
		return i + 1
	}
	return p.skipBreak(i)
}

// number reads the literal number that starts at token i, false where there
// is none.
func (p *parser) number(i int) (number, bool) {
	if i >= len(p.tokens) {
		return number{}, false
	}
	switch p.tokens[i].Kind {
	case TokenNumber:
		return p.digits(i)
	case TokenWord, TokenSign:
		c, _ := p.at(i)
		switch c {
		case classMinus, classDash:
			if p.plusMinus(i) { // "plus or minus five percent" has no sign
				return number{}, false
			}
			if d := p.word(i + 1); d == classMinus || d == classDash {
				return number{}, false
			}
			if c == classDash && (p.tokens[i].Glued || i+1 >= len(p.tokens) || !p.tokens[i+1].Glued) {
				return number{}, false
			}
			n, ok := p.number(i + 1)
			if !ok || n.num.Coef < 0 {
				return number{}, false
			}
			if n.num.Big != nil {
				b := n.num.Big.Neg()
				n.num.Big = &b
			}
			n.num.Coef = -n.num.Coef
			return n, true
		case classDigitWord, classTeen, classTens, classPoint, classFraction, classRepeat, classArticle, classDozen:
			return p.words(i)
		case classHundred, classScale:
			return p.bareHundred(i)
		case classNone:
			if s := p.numberSound(i); s.OK && s.Value == 1 {
				return p.words(i)
			}
		case classVulgar:
			return number{ratioOf(p.at(i)), i + 1, StyleDigits}, true
		}
	}
	return number{}, false
}

// digits reads a number that starts with a token of digits.
func (p *parser) digits(i int) (number, bool) {
	num, whole, ok := p.digitsAt(i)
	if !ok {
		return number{}, false
	}
	n := number{num, i + 1, StyleDigits}
	if w, ok := p.power(n, whole); ok {
		return w, true
	}
	if whole {
		n = p.oneByOne(p.spaced(n))
	}
	if n.end > i+1 || !whole {
		return p.scaled(n), true
	}
	// "3 point 25", "8 point 9 6"
	j := p.skipBreak(i + 1)
	if c, _ := p.at(j); c == classPoint {
		if f, ok := p.fractionDigits(n.num, j+1); ok {
			if f.style != StyleBroken && f.style != StyleHeard {
				f.style = StyleMixed
			}
			return p.scaled(f), true
		}
	}
	if i+1 < len(p.tokens) { // "3½"
		if c, v := p.at(i + 1); c == classVulgar {
			return number{plus(n.num, ratioOf(c, v)), i + 2, StyleMixed}, true
		}
	}
	if d, end := p.oneBySound(j); d > 0 && num.Coef >= 20 && num.Coef < 100 && num.Coef%10 == 0 { // "20 for volts"
		return number{plus(num, Num{Coef: d}), end, StyleHeard}, true
	}
	// "3 1/2", "3 and a half"
	if f, ok := p.addFraction(n); ok {
		return f, true
	}
	// "1/2" alone, where no other reading stands: only with small parts
	if c, _ := p.at(i + 1); c == classSlash && p.tokens[i+1].Glued {
		if f, ok := p.slashFraction(i); ok {
			return f, true
		}
	}
	if c, v := p.at(j); c == classHundred && num.Coef < 100 {
		n = p.andDigits(number{shift(num, v), j + 1, StyleMixed})
	}
	return p.scaled(n), true
}

// andDigits adds what stands behind so many hundreds: "3 hundred and 21".
func (p *parser) andDigits(n number) number {
	k := p.skipBreak(n.end)
	if !p.isAnd(k) || k+1 >= len(p.tokens) || p.tokens[k+1].Kind != TokenNumber {
		return n
	}
	if low, whole, ok := p.digitsAt(k + 1); ok && whole && low.Big == nil && low.Coef < 100 {
		return number{plus(n.num, low), k + 2, StyleMixed}
	}
	return n
}

func (p *parser) isAnd(i int) bool {
	c, _ := p.at(i)
	return c == classAnd
}

// slashFraction reads 1/2, 1/4, 3/4 and the like.
func (p *parser) slashFraction(i int) (number, bool) {
	if i+2 >= len(p.tokens) || p.tokens[i+2].Kind != TokenNumber || !p.tokens[i+2].Glued {
		return number{}, false
	}
	a, whole1, ok1 := p.digitsAt(i)
	b, whole2, ok2 := p.digitsAt(i + 2)
	if !ok1 || !ok2 || !whole1 || !whole2 || a.Big != nil || b.Big != nil || a.Coef >= b.Coef {
		return number{}, false
	}
	f, ok := ratio(a.Coef, b.Coef)
	return number{f, i + 3, StyleDigits}, ok
}

// ratioOf is the value of a vulgar fraction sign.
func ratioOf(_ class, thousandths int32) Num {
	n := Num{Coef: int64(thousandths), Exp: -3}
	for n.Coef%10 == 0 {
		n.Coef, n.Exp = n.Coef/10, n.Exp+1
	}
	return n
}

// ratio returns a/b where it is a finite decimal with a small denominator.
func ratio(a, b int64) (Num, bool) {
	switch b {
	case 2, 4, 5, 8, 10, 16, 32, 64, 100:
	default:
		return Num{}, false
	}
	exp := int16(0)
	for a%b != 0 && exp > -7 {
		a *= 10
		exp--
	}
	return Num{Coef: a / b, Exp: exp}, a%b == 0
}

// plusMinus reports whether the minus at token i belongs to "plus or minus",
// "+/-" or "plus minus".
func (p *parser) plusMinus(i int) bool {
	b := p.backOne(i)
	c, _ := p.at(b)
	if c == classOr || c == classSlash {
		c, _ = p.at(p.backOne(b))
	}
	return c == classPlus
}

// kilo applies a k that counts thousands: "20 k milliamp hours", "20kmAh".
func (p *parser) kilo(n number) number {
	j := p.skipBreak(n.end)
	if j < len(p.tokens) && p.tokens[j].Word == p.x.kilo && p.thousands(j) {
		return number{shift(n.num, 3), j + 1, StyleMixed}
	}
	return n
}

// scaled applies a scale word or a k after the number: "20 thousand",
// "5.2 million", "20k", "1.5 k".
func (p *parser) scaled(n number) number {
	if k := p.kilo(n); k.end > n.end {
		return k
	}
	j := p.skipBreak(n.end)
	if c, v := p.at(j); c == classScale && !p.prefixHere(j) {
		r, end := n.num, j+1
		r = shift(r, v)
		n = number{r, end, StyleMixed}
		// "20 thousand 500"
		if k := p.skipBreak(end); v == 3 && k < len(p.tokens) && p.tokens[k].Kind == TokenNumber && r.Exp >= 0 {
			if low, whole, ok := p.digitsAt(k); ok && whole && low.Big == nil && low.Coef >= 100 && low.Coef < 1000 {
				n = number{plus(r, low), k + 1, StyleMixed}
			}
		}
		return p.scaled(n)
	}
	return n
}

// thousands reports whether the k at token j counts thousands of the unit
// behind it ("20 k milliamp hours") and is no prefix of that unit ("1.5 k ohms").
func (p *parser) thousands(j int) bool {
	if !p.startsUnit(j + 1) {
		return false
	}
	u, ok := p.unit(j)
	if !ok {
		return true
	}
	v, _ := p.unit(j + 1)
	return u.End < v.End
}

func shift(n Num, power int32) Num {
	if n.Big != nil {
		b := n.Big.Shift(int(power))
		return Num{Coef: n.Coef, Big: &b}
	}
	for power > 0 && n.Exp < 0 {
		n.Exp++
		power--
	}
	for power > 0 && n.Coef < maxCoef {
		n.Coef *= 10
		power--
	}
	n.Exp += int16(power)
	return n
}

// plus adds two numbers, exactly.
func plus(a, b Num) Num {
	for a.Exp > b.Exp && a.Coef < maxCoef {
		a.Coef, a.Exp = a.Coef*10, a.Exp-1
	}
	for b.Exp > a.Exp && b.Coef < maxCoef {
		b.Coef, b.Exp = b.Coef*10, b.Exp-1
	}
	if a.Big == nil && b.Big == nil && a.Exp == b.Exp && a.Coef < maxCoef*10 && b.Coef < maxCoef*10 {
		return Num{Coef: a.Coef + b.Coef, Exp: a.Exp}
	}
	d := a.Decimal().Add(b.Decimal())
	return Num{Coef: a.Coef, Big: &d}
}
