package extract

import "saywatt/schema"

// unitBehind reads the unit behind the number. A full stop or comma between
// number and unit ("30. volts") is stepped over before a word that is a unit and
// nothing else.
func (p *parser) unitBehind(end int, m *Mention) (UnitWords, bool) {
	j := p.skipBreak(end)
	if j >= len(p.tokens) {
		return UnitWords{}, false
	}
	if u, ok := p.fuseUnit(int(m.First), j); ok {
		return u, true
	}
	switch c, _ := p.at(j); c {
	case classDash:
		return p.hyphenUnit(j)
	case classStop, classComma:
		return p.unitOverStop(j, c)
	case classOf:
		return UnitWords{}, false
	}
	if p.tokens[j].Kind == TokenSign {
		if shut := bracket(p.text[p.tokens[j].Start]); shut != 0 {
			return p.bracketUnit(j, shut)
		}
	}
	if k := p.skipBreak(j + 1); p.hesitates(j) && k < len(p.tokens) { // "225 um grams"
		if u, ok := p.unit(k); ok && u.Manner == MannerSaid {
			return u, true
		}
		// "20 ah" may be ampere hours
		if p.tokens[j].End-p.tokens[j].Start == 2 && p.text[p.tokens[j].Start]|0x20 != 'a' {
			return UnitWords{}, false
		}
	}
	u, ok := p.unit(j)
	if !ok || p.prefixOnly(j, u) { // "mill arms", "kilo herds": more than the prefix
		if s, heard := p.unitBySound(j); heard && (!ok || s.End > u.End) {
			return s, true
		}
	}
	if !ok || p.perMillion(end, u) || p.timeOfDay(j, u, m) ||
		(u.Manner == MannerShort || u.Unit == "Cel") && !p.shortStands(j, u) {
		return UnitWords{}, false
	}
	return u, true
}

// perMillion reports whether words behind the number that ends before token end sound
// like percent, and it ends in "million": "18 million per cell". The million is what
// captions made of the unit.
func (p *parser) perMillion(end int, u UnitWords) bool {
	return u.Apart > 0 && u.Unit == "%" && end > 0 && p.x.IsMillion(p.tokens[end-1])
}

// hyphenUnit reads the unit behind the hyphen at token j: "30-minute",
// "65-watt", "2-metre-long", but not "2-in-1".
func (p *parser) hyphenUnit(j int) (UnitWords, bool) {
	if !p.tokens[j].Glued {
		return UnitWords{}, false
	}
	u, ok := p.unit(j + 1)
	if !ok || u.Manner == MannerHeard {
		return UnitWords{}, false
	}
	c, _ := p.at(int(u.End))
	return u, c != classDash || !p.tokens[u.End].Glued || p.x.entries[p.tokens[j+1].Word].whole.manner != MannerShort
}

// unitOverStop reads the unit behind the full stop or comma at token j.
func (p *parser) unitOverStop(j int, sign class) (UnitWords, bool) {
	if !p.tokens[j].Glued {
		return UnitWords{}, false
	}
	if j+1 < len(p.tokens) && p.tokens[j+1].Kind == TokenSign { // I find 82.7. "Consumption …"
		return UnitWords{}, false
	}
	u, ok := p.unit(j + 1)
	if ok && (u.Manner == MannerSaid && !p.countable(u) || sign == classStop && p.heardHours(u, j+1)) {
		return u, true
	}
	return UnitWords{}, false
}

// bracketUnit reads the unit in the brackets that open at token j: "20 (kg)".
func (p *parser) bracketUnit(j int, shut byte) (UnitWords, bool) {
	u, ok := p.unit(j + 1)
	if ok && int(u.End) < len(p.tokens) && p.text[p.tokens[u.End].Start] == shut {
		u.End++
		return u, true
	}
	return UnitWords{}, false
}

// prefixOnly reports whether the unit at token j is a lone word that is a prefix
// as well.
func (p *parser) prefixOnly(j int, u UnitWords) bool {
	t := p.tokens[j]
	return int(u.End) == j+1 && t.Word != 0 && t.End-t.Start > 2 && p.x.entries[t.Word].prefix.code != ""
}

// timeOfDay reports whether the "pm" at token j is that of a clock.
func (p *parser) timeOfDay(j int, u UnitWords, m *Mention) bool {
	return u.Unit == "pm" && p.tokens[j].End-p.tokens[j].Start == 2 && m.High.Exp == 0 && m.High.Coef <= hoursOfClock
}

// hoursOfClock is how far the hours before "pm" go.
const hoursOfClock = 12

// heardHours reports whether several words shown for watt or amp hours stand at
// token j: together they are seldom anything else, even as a new sentence.
func (p *parser) heardHours(u UnitWords, j int) bool {
	switch u.Unit.Kind() {
	case schema.KindEnergy, schema.KindCharge:
		return int(u.End) > p.skipBreak(j)+1
	}
	return false
}

// bracket returns the sign that closes an opening bracket, 0 for others.
func bracket(open byte) byte {
	switch open {
	case '(':
		return ')'
	case '[':
		return ']'
	case '{':
		return '}'
	case '<':
		return '>'
	}
	return 0
}

// countable reports whether the unit word is common in other sentences too,
// so that it may open the next one: "… 3. Seconds later".
func (p *parser) countable(u UnitWords) bool {
	switch u.Unit.Kind() {
	case schema.KindCount: // "one. Cycles claimed, 10,000"
		return true
	case schema.KindTime, schema.KindGauge, schema.KindLength, schema.KindMass:
		c, _ := p.at(int(u.End))
		return c != classComma && c != classStop && c != classNone
	}
	return false
}

// shortStands decides whether a short form behind a number is its unit.
// "3 a" is 3 A only where the next word is no noun; "5 in the box" is no
// length.
func (p *parser) shortStands(j int, u UnitWords) bool {
	if u.Unit == "Cel" && u.End == int32(j+1) && p.moreBehind(j+1) { // "C.P.I.", "14.7C/"
		return false
	}
	t := p.tokens[j]
	if t.Glued { // "3C" is a mark, "3°C" is not
		return u.Unit != "Cel" || t.End-t.Start > 1 || p.tokens[j-1].End-p.tokens[j-1].Start > 1
	}
	word := p.text[t.Start:t.End]
	if len(word) == 1 && isUpper(word[0]) {
		return true
	}
	switch string(word) {
	case "in":
		return p.inchStands(j, int(u.End))
	case "a", "us":
		return p.noNoun(int(u.End))
	case "c", "f", "g", "h", "n", "s", "l", "j", "m", "k":
		return p.letterStands(int(u.End))
	}
	return true
}

// moreBehind reports whether a slash, or a full stop with a word tied to it,
// stands at token k.
func (p *parser) moreBehind(k int) bool {
	c, _ := p.at(k)
	return c == classSlash || c == classStop && p.glued(k+1) && p.tokens[k+1].Kind == TokenWord
}

// inchStands reports whether the word "in" at token j, its unit ending at end,
// is inches: a sign or the next edge follows, or feet stand before, as in "12 ft
// 2 in more". In "15.1 out and 16.9 in" it is the way that the power goes, and so it
// is in a row of numbers that have no units: "27.2, 30.7 in, 88.6".
func (p *parser) inchStands(j, end int) bool {
	next := p.skipBreak(end)
	switch c, _ := p.at(next); {
	case c == classBy:
		return true
	case next >= len(p.tokens), p.tokens[next].Kind == TokenSign:
		return !p.powerNear(j, -1) && !p.powerNear(j, 1) && !p.rowBefore(j-1)
	}
	feet := p.backOne(p.backOne(j))
	return feet >= 0 && p.x.entries[p.tokens[feet].Word].whole.code == "[ft_i]"
}

// rowBefore reports whether a number without a unit and a comma stand before the number
// at token i.
func (p *parser) rowBefore(i int) bool {
	k := p.backOne(i)
	return p.word(k) == classComma && k > 0 && p.tokens[k-1].Kind == TokenNumber
}

// powerNear reports whether the sentence speaks of power before or behind token j:
// of what goes out, or with an electrical unit.
func (p *parser) powerNear(j, step int) bool {
	for k := j + step; k >= 0 && k < len(p.tokens) && k-j <= p.x.reach.in && j-k <= p.x.reach.in; k += step {
		t := &p.tokens[k]
		switch c, _ := p.at(k); {
		case t.Kind == TokenPara, c == classStop:
			return false
		case c == classOut:
			return true
		case t.Kind != TokenWord && t.Kind != TokenSign || t.Word == 0:
			continue
		}
		e := &p.x.entries[t.Word]
		for _, code := range [...]string{e.whole.code, e.base.code} {
			if code != "" && electrical(schema.Unit(code)) || code == "%" {
				return true
			}
		}
	}
	return false
}

// noNoun reports whether no word stands at token i, or one of the grammar: "3 a
// at 5 v".
func (p *parser) noNoun(i int) bool {
	if i >= len(p.tokens) || p.tokens[i].Kind != TokenWord {
		return true
	}
	switch c, _ := p.at(i); c {
	case classNone, classCode, classHundred, classScale:
		return false
	}
	return true
}

// letterStands reports whether a letter read out before token i is a unit: not
// where another lone letter follows, as in "5 g h z", and not in "six n channel
// FETs".
func (p *parser) letterStands(i int) bool {
	if i < len(p.tokens) && p.tokens[i].Word == p.x.cue.channel && p.tokens[i].Word != 0 {
		return false
	}
	c, _ := p.at(i)
	return c == classBy || !p.letter(i)
}
