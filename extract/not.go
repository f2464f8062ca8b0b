package extract

// not says from the words around a number why it is no physical quantity:
// a code, a version, a price, a year, a clock time, an ordinal, a score, a
// calendar time, an idiom, or "one" as a pronoun.
func (p *parser) not(m *Mention) Not {
	before, next := p.backOne(int(m.First)), p.skipBreak(int(m.Last))
	w := around{before: before, next: next, digits: p.tokens[m.First].Kind == TokenNumber}
	w.prev, _ = p.at(before)
	w.after, _ = p.at(next)
	if p.pronoun(m, &w) {
		return NotPronoun
	}
	if n := p.priceOrMark(m, &w); n != NotNothing {
		return n
	}
	switch m.Unit.Unit {
	case "a", "mo", "wk", "d":
		return NotCalendar
	case "%":
		if w.after == classIdiom || w.after == classNo {
			return NotIdiom
		}
	}
	if p.codeBefore(m) || p.codeBehind(m) {
		return NotCode
	}
	if m.Unit.Unit != "" {
		if p.portLetter(m, next) {
			m.Unit, m.From, m.Last = UnitWords{}, UnitNone, m.NumEnd // the letter is the socket's
			return NotCount
		}
		return NotNothing
	}
	return p.bareNot(m, &w)
}

// around is what stands around a mention: the classes of the tokens before and
// behind it, and their places.
type around struct {
	prev, after  class
	before, next int
	digits       bool // the mention is written in digits
}

// pronoun reports whether a number word is none: "this one", "one of these";
// "oh sorry".
func (p *parser) pronoun(m *Mention, w *around) bool {
	if w.digits || m.Style != StyleWords || m.Range || m.NumEnd-m.First != 1 {
		return false
	}
	if m.Unit.Unit != "" && !(m.Unit.Manner == MannerHeard && m.Last-m.NumEnd == 1) {
		return false
	}
	switch m.Low.Coef {
	case 1:
		return !p.counting(w.next)
	case 0:
		return p.numberSound(int(m.First)).OK
	}
	return false
}

// priceOrMark reads what is said by a sign or word of money, and the plus of a
// mark.
func (p *parser) priceOrMark(m *Mention, w *around) Not {
	unit := m.Unit.Unit
	if w.prev == classCurrency && (unit == "" ||
		p.tokens[m.First].Glued && !(m.Unit.Manner == MannerSaid && electrical(unit))) {
		return NotPrice // but "$2.50 amps" is 2.50 A
	}
	switch {
	case w.after == classMoney:
		return NotPrice
	case unit != "":
		return NotNothing
	case w.after == classPlus && p.tokens[w.next].Kind == TokenWord && !p.numberBegins(w.next+1):
		return NotCode // "80 plus", a mark: nothing is added
	case w.after == classCurrency && p.glued(w.next):
		return NotPrice
	}
	return NotNothing
}

// glued reports whether there is a token i and no blank before it.
func (p *parser) glued(i int) bool { return i < len(p.tokens) && p.tokens[i].Glued }

// bareNot is not for a number without a unit.
func (p *parser) bareNot(m *Mention, w *around) Not {
	if w.digits && p.version(int(m.First), int(m.Last)) {
		return NotVersion
	}
	if w.digits && p.glued(w.next) && p.tokens[w.next].Kind == TokenWord && !p.timesDigits(w.next) {
		switch {
		case w.after == classOrdinalSuffix:
			return NotOrdinal
		case w.after == classBy && m.Low.Exp >= 0 && !m.Range: // "2x USB-C"
			return NotCount
		}
		return NotCode // "18650P", "3C"
	}
	if p.score(w) {
		return NotScore
	}
	if w.digits && p.cited(w) {
		return NotCode
	}
	switch w.prev {
	case classLabel, classNumberSign:
		return NotVersion
	case classMonth:
		return NotYear
	case classYearWord, classUntil, classIn, classOf:
		if m.year() {
			return NotYear
		}
	}
	if w.digits && p.clock(int(m.First)) {
		return NotClock
	}
	if w.digits && p.tally(int(m.First)) {
		return NotScore
	}
	if p.manyInOne(w) || w.after == classDash && p.gluedWord(w.next) {
		return NotCode
	}
	return NotNothing
}

// cited reports whether the number stands alone in square brackets, as references do:
// "[12]".
func (p *parser) cited(w *around) bool {
	sign := func(i int, b byte) bool {
		return i >= 0 && i < len(p.tokens) && p.tokens[i].Kind == TokenSign && p.text[p.tokens[i].Start] == b
	}
	return sign(w.before, '[') && sign(w.next, ']')
}

// score reports whether the number is a part of others: "8 out of 10", "14 of
// 20", or the whole of such.
func (p *parser) score(w *around) bool {
	switch w.after {
	case classOut:
		if c, _ := p.at(p.skipBreak(w.next + 1)); c == classOf {
			return true
		}
	case classOf:
		if _, ok := p.number(p.skipBreak(w.next + 1)); ok {
			return true
		}
	}
	return w.prev == classOf && p.scoreBefore(w.before)
}

// manyInOne reports whether "in one" follows: "two in one".
func (p *parser) manyInOne(w *around) bool {
	if w.after != classIn {
		return false
	}
	n, ok := p.number(p.skipBreak(w.next + 1))
	return ok && n.num.equal(Num{Coef: 1})
}

// gluedWord reports whether the hyphen at token i ties a word to what stands
// before it: "3-port".
func (p *parser) gluedWord(i int) bool {
	return p.tokens[i].Glued && p.glued(i+1) && p.tokens[i+1].Kind == TokenWord
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
		return k > 0 && k < len(p.tokens) && p.tokens[k].Glued && p.tokens[k].Kind == TokenNumber &&
			p.tokens[k-1].Kind == TokenNumber
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

// timesDigits reports whether a sign of multiplication and a number are glued on
// at token i: "66x38".
func (p *parser) timesDigits(i int) bool {
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
		return !p.unitEnds(p.backOne(k)) // "70.4 watts out of 77 watts" is no score
	}
	return k >= 0 && (p.tokens[k].Kind == TokenNumber || p.numberWord(k))
}

// unitEnds reports whether token i is a unit said in full.
func (p *parser) unitEnds(i int) bool {
	if i < 0 {
		return false
	}
	u, ok := p.simpleUnit(i)
	return ok && u.Manner == MannerSaid && int(u.End) == i+1
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
			p.tokens[a].Kind == TokenNumber && p.tokens[a+2].Kind == TokenNumber &&
			p.tokens[a+2].End-p.tokens[a+2].Start == 2 &&
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
		return p.word(a+1) == classDash && dash.Glued && other.Glued && one.Kind == TokenNumber &&
			other.Kind == TokenNumber &&
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
		// "SOT-23", "USB-2": a word before the hyphen makes it a code, a number a range or a lost
		// point; "20V-5A" are two
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
	if p.x.entries[p.tokens[b].Word].class == classCode {
		return m.Unit.Unit == "" || m.Unit.Manner != MannerSaid
	}
	return m.Unit.Unit == "" && p.codeLetterAt(b)
}

// codeLetterAt reports whether the word at token b, before a bare number, is
// letters of a code.
func (p *parser) codeLetterAt(b int) bool {
	t := p.tokens[b]
	word := p.text[t.Start:t.End]
	class := p.x.entries[t.Word].class
	lone := len(word) == 1
	switch {
	case lone && class == classBy && p.letter(b-1): // "k x 2207", but not "6 m x 4"
		return b < 2 || p.tokens[b-2].Kind != TokenNumber
	case class != classNone:
		return false
	case lone && p.letter(b-1):
		return true
	case lone && (word[0] == 'I' || word[0] == 'A'):
		return false
	}
	return len(word) <= p.x.length.codeWord && allCaps(word)
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
	if c, _ := p.at(j); c == classDash && j+1 < len(p.tokens) && p.tokens[j+1].Glued &&
		p.tokens[j+1].Kind == TokenNumber {
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
