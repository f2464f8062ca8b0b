package extract

import "saywatt/schema"

// not tells from the words around a number why it is no physical quantity:
// a code, a version, a price, a year, a clock time, an ordinal, a score, a
// calendar time, an idiom, or "one" as a pronoun.
func (p *parser) not(m *Mention) Not {
	i, end := int(m.First), int(m.Last)
	before := p.backOne(i)
	prev, _ := p.at(before)
	next := p.skipBreak(end)
	after, _ := p.at(next)
	unit := m.Unit.Unit
	digits := p.tokens[i].Kind == TokenNumber

	if !digits && m.Style == StyleWords && (unit == "" || m.Unit.Manner == MannerHeard && m.Last-m.NumEnd == 1) && !m.Range && m.NumEnd-m.First == 1 {
		if m.Low.Coef == 1 && !p.counting(next) || m.Low.Coef == 0 && p.numberSound(i).OK {
			return NotPronoun // "this one", "one of these"; "oh sorry"
		}
	}
	switch {
	case prev == classCurrency && (unit == "" || p.tokens[i].Glued && !(m.Unit.Manner == MannerSaid && electrical(unit))): // "$2.50 amps" is 2.50 A
		return NotPrice
	case after == classMoney:
		return NotPrice
	case unit == "" && after == classPlus && p.tokens[next].Kind == TokenWord && !p.numberBegins(next+1):
		return NotCode // "80 plus", a mark: nothing is added
	case unit == "" && after == classCurrency && next < len(p.tokens) && p.tokens[next].Glued:
		return NotPrice
	}
	if unit.Kind() == schema.KindTime {
		switch unit {
		case "a", "mo", "wk", "d":
			return NotCalendar
		}
	}
	if unit == "%" && (after == classIdiom || after == classNo) {
		return NotIdiom
	}
	if p.codeBefore(m) || p.codeBehind(m) {
		return NotCode
	}
	if unit != "" {
		if p.portLetter(m, next) {
			return NotCount
		}
		return NotNothing
	}
	if digits && p.version(i, end) {
		return NotVersion
	}
	if digits && next < len(p.tokens) && p.tokens[next].Glued && p.tokens[next].Kind == TokenWord && !p.product(next) {
		switch {
		case after == classOrdinalSuffix:
			return NotOrdinal
		case after == classBy && m.Low.Exp >= 0 && !m.Range: // "2x USB-C"
			return NotCount
		}
		return NotCode // "18650P", "3C"
	}
	if after == classOut { // "8 out of 10"
		if c, _ := p.at(p.skipBreak(next + 1)); c == classOf {
			return NotScore
		}
	}
	if after == classOf { // "14 of 20"
		if _, ok := p.number(p.skipBreak(next + 1)); ok {
			return NotScore
		}
	}
	if prev == classOf && p.scoreBefore(before) {
		return NotScore
	}
	if prev == classLabel || prev == classNumberSign {
		return NotVersion
	}
	if prev == classMonth || m.year() && (prev == classYearWord || prev == classUntil || prev == classIn || prev == classOf) {
		return NotYear
	}
	if digits && p.clock(i) {
		return NotClock
	}
	if digits && p.tally(i) {
		return NotScore
	}
	if after == classIn { // "two in one"
		if n, ok := p.number(p.skipBreak(next + 1)); ok && n.num.Equal(Num{Coef: 1}) {
			return NotCode
		}
	}
	if after == classDash && p.tokens[next].Glued && next+1 < len(p.tokens) && p.tokens[next+1].Glued && p.tokens[next+1].Kind == TokenWord {
		return NotCode // "3-port"
	}
	return NotNothing
}

// portLetter reports whether what was read as a unit is the letter of sockets
// that are counted: "one A port", "two C ports". "3 A port" has a current.
func (p *parser) portLetter(m *Mention, next int) bool {
	if m.Last-m.NumEnd != 1 || !p.letter(int(m.NumEnd)) || p.tokens[m.NumEnd].Glued || m.Style != StyleWords {
		return false
	}
	switch p.text[p.tokens[m.NumEnd].Start] | 0x20 {
	case 'a', 'c':
		return m.NumEnd-m.First == 1 && p.guarded(next, guardPortNoun)
	}
	return false
}

// counting reports whether the joint at token i goes on from one to another
// number: "one or two amps", "one, two and three metres"; not "this one, 20
// volts".
func (p *parser) counting(i int) bool {
	switch p.word(i) {
	case classOr, classComma, classAnd:
		n, ok := p.number(p.skipBreak(i + 1))
		return ok && n.num == Num{Coef: 2}
	}
	return false
}

// version reports whether the number of tokens [i, end) is a piece of digits
// with two or more points: "1.2.3".
func (p *parser) version(i, end int) bool {
	more := func(k int) bool {
		return k > 0 && k < len(p.tokens) && p.tokens[k].Glued && p.tokens[k].Kind == TokenNumber && p.tokens[k-1].Kind == TokenNumber
	}
	if more(i) {
		return true
	}
	if !more(end) {
		return false
	}
	_, ok := p.unit(end + 1)
	return !ok
}

// product reports whether a sign of multiplication and a number are glued on
// at token i: "66x38".
func (p *parser) product(i int) bool {
	return p.word(i) == classBy && i+1 < len(p.tokens) && p.tokens[i+1].Glued && p.tokens[i+1].Kind == TokenNumber
}

// year reports whether a bare number looks like a year of our time.
func (m *Mention) year() bool {
	return !m.Range && m.Low.Exp == 0 && m.Low.Big == nil && m.Low.Coef >= 1990 && m.Low.Coef < 2100
}

// scoreBefore reports whether a number stands before the "of" at token i.
func (p *parser) scoreBefore(i int) bool {
	k := p.backOne(i)
	if c, _ := p.at(k); c == classOut {
		return true
	}
	return k >= 0 && (p.tokens[k].Kind == TokenNumber || p.numberWord(k))
}

func (p *parser) numberWord(i int) bool {
	c, _ := p.at(i)
	return c == classDigitWord || c == classTeen || c == classTens
}

// numberBegins reports whether a number begins at token i, breaks skipped.
func (p *parser) numberBegins(i int) bool {
	i = p.skipBreak(i)
	return i < len(p.tokens) && (p.tokens[i].Kind == TokenNumber || p.numberWord(i))
}

// clock reports whether digits, a colon and two digits make a time of day or
// of the recording: "0:19", with no unit behind. The token i is its first
// part.
func (p *parser) clock(i int) bool {
	colonPair := func(a int) bool {
		c, _ := p.at(a + 1)
		return c == classColon && a >= 0 && a+2 < len(p.tokens) && p.tokens[a+1].Glued && p.tokens[a+2].Glued &&
			p.tokens[a].Kind == TokenNumber && p.tokens[a+2].Kind == TokenNumber && p.tokens[a+2].End-p.tokens[a+2].Start == 2 &&
			p.tokens[a].End-p.tokens[a].Start <= 2
	}
	if colonPair(i) {
		u, ok := p.unit(i + 3)
		return !ok || u.Manner == MannerHeard || u.Manner == MannerShort && !p.shortStands(p.skipBreak(i+3), u)
	}
	return colonPair(i - 2)
}

// tally reports whether two digits with a hyphen between, the larger first and no
// unit behind, are a score: "3-2". The token i is one of the digits.
func (p *parser) tally(i int) bool {
	pair := func(a int) bool {
		if a < 0 || a+2 >= len(p.tokens) {
			return false
		}
		one, dash, other := p.tokens[a], p.tokens[a+1], p.tokens[a+2]
		return p.word(a+1) == classDash && dash.Glued && other.Glued && one.Kind == TokenNumber && other.Kind == TokenNumber &&
			one.End-one.Start == 1 && other.End-other.Start == 1 && p.text[one.Start] > p.text[other.Start]
	}
	if pair(i) {
		_, unit := p.unit(i + 3)
		return !unit
	}
	return pair(i - 2)
}

// codeBefore reports whether the number continues a code: letters right
// before it ("KX 2207", "q f n 40", "DFN 5"), a hyphen glued to a word
// ("SOT-23"), or digits glued behind letters.
func (p *parser) codeBefore(m *Mention) bool {
	i := int(m.First)
	if i == 0 {
		return false
	}
	b := i - 1
	if c, _ := p.at(b); c == classDash && p.tokens[i].Glued && p.tokens[b].Glued {
		// "SOT-23", "USB-2": a word before the hyphen makes it a code, a number a range or a lost point; "20V-5A" are two
		if m.From == UnitOwn && p.gluedUnit(b-1) {
			return false
		}
		return b > 0 && p.tokens[b-1].Kind == TokenWord && !p.isNumberWord(b-1)
	}
	if p.tokens[b].Kind == TokenBreak {
		b--
	}
	if b < 0 || p.tokens[b].Kind != TokenWord {
		return false
	}
	t := p.tokens[b]
	e := &p.x.entries[t.Word]
	if e.class == classCode {
		return m.Unit.Unit == "" || m.Unit.Manner != MannerSaid
	}
	if m.Unit.Unit != "" {
		return false
	}
	word := p.text[t.Start:t.End]
	switch {
	case len(word) == 1 && p.letter(b-1) && e.class == classBy && (b < 2 || p.tokens[b-2].Kind != TokenNumber): // "k x 2207", but not "6 m x 4"
		return true
	case e.class != classNone:
		return false
	case len(word) <= 4 && allCaps(word) && !(len(word) == 1 && (word[0] == 'I' || word[0] == 'A')):
		return true
	case len(word) == 1 && p.letter(b-1):
		return true
	}
	return false
}

func (p *parser) isNumberWord(i int) bool {
	switch c, _ := p.at(i); c {
	case classDigitWord, classTeen, classTens, classHundred, classScale, classPoint:
		return true
	}
	return false
}

// codeBehind reports whether digits glued behind a glued unit make the whole
// a code ("24703L202"), not the next quantity ("20V3A").
func (p *parser) codeBehind(m *Mention) bool {
	j := int(m.Last)
	if m.Unit.Unit == "" || j >= len(p.tokens) || !p.tokens[j].Glued {
		return false
	}
	if c, _ := p.at(j); c == classDash && j+1 < len(p.tokens) && p.tokens[j+1].Glued && p.tokens[j+1].Kind == TokenNumber {
		_, ok := p.unit(j + 2)
		return p.letter(j-1) && !ok // "L-202"
	}
	if p.tokens[j].Kind != TokenNumber || !p.tokens[j-1].Glued {
		return false
	}
	u, ok := p.unit(j + 1)
	if !ok && j+1 < len(p.tokens) && p.tokens[j+1].Kind == TokenNumber { // "9v2 22a": the second number is in pieces
		u, ok = p.unit(j + 2)
	}
	return !ok || !p.tokens[u.End-1].Glued
}

// gluedUnit reports whether token i is a unit glued behind digits.
func (p *parser) gluedUnit(i int) bool {
	if i < 1 || !p.tokens[i].Glued || p.tokens[i-1].Kind != TokenNumber {
		return false
	}
	u, ok := p.unit(i)
	return ok && int(u.End) == i+1
}

// allCaps reports whether the word is letters in upper case, digits allowed
// behind them.
func allCaps(word []byte) bool {
	for i, b := range word {
		if b >= 'A' && b <= 'Z' || i > 0 && b >= '0' && b <= '9' {
			continue
		}
		return false
	}
	return true
}
