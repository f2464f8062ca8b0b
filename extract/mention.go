package extract

import "saywatt/schema"

// Mention is a stretch of tokens that names a number, with the unit behind
// it, read literally. Other ways to read the words are the reading engine's.
type Mention struct {
	First, NumEnd, Last int32 // tokens [First,NumEnd) are the number, [NumEnd,Last) the unit
	Low, High           Num   // equal for a single value
	Range               bool
	// what is left of "sixty | six hundred" or "three | ten" where the first belongs to a number before; 0 none
	Tail      Num
	Head      Num   // of a number whose first word is only of like sound: what it is without it
	Style     Style // of the first number
	Unit      UnitWords
	From      UnitFrom
	Joint     Joint // how it hangs on the mention before
	Not       Not   // why it is no physical quantity, as far as the words around it show
	Qualifier schema.Qualifier
	Tolerance *schema.Tolerance
	Link      Link  // what words near it say of how it comes of quantities before
	Withdrawn bool  // the speaker took it back
	Unsure    bool  // who wrote the captions was not sure: ?12 watts, 12 watts (?)
	Compound  bool  // the second part of one value with the mention before: 2 hours 25 minutes
	Group     int32 // index of the first mention of its product A × B × C, or -1
	Context   Context
	Places    []Place // what it may belong to, likeliest first, the first being Context; nil where that is sure
	// of a level or power: the ports that it may be of, likeliest first; nil where that was not asked
	Ports  []PortOdds
	Ruling *Ruling // what a person said of its place; nil nothing
}

// Place is what a mention may belong to, with the probability that it does.
type Place struct {
	Context Context
	P       float64
}

// PortOdds is a port that a mention may be of, with its probability; "" none.
type PortOdds struct {
	Port string
	P    float64
}

// UnitFrom says where the unit of a mention comes from.
type UnitFrom uint8

// The origins of a unit.
const (
	UnitNone  UnitFrom = iota // none said
	UnitOwn                   // said behind the number
	UnitGroup                 // said behind the last of a product, or of what changed: 52 by 41 mm, from 20 to 80 %
	UnitList                  // said behind the last of a list: 5, 9 and 12 volts
)

// Not says why a number is no physical quantity.
type Not uint8

// The reasons.
const (
	NotNothing  Not = iota
	NotCode         // part of a part number, package or model name
	NotVersion      // USB 2.0
	NotPrice        // $29.99
	NotYear         // March 2024
	NotClock        // 0:19
	NotOrdinal      // 2nd
	NotScore        // 8 out of 10, 14 of 20
	NotCalendar     // 2 year warranty
	NotIdiom        // 100 percent sure, 20% off
	NotPronoun      // this one
	NotCount        // 3 ports
)

var notNames = [...]string{"", "code", "version", "price", "year", "clock", "ordinal", "score", "calendar", "idiom",
	"pronoun", "count"}

func (n Not) String() string { return notNames[n] }

// HasUnit reports whether a unit was said for the mention, behind it or
// behind the list or product it stands in.
func (m *Mention) HasUnit() bool { return m.Unit.Unit != "" }

// GoesOn reports whether m, joined so to a quantity b, may be the rest of it in a
// smaller unit: both are whole numbers, and b is no range.
func (m *Mention) GoesOn(b *Mention, joint Joint) bool {
	return b.From == UnitOwn && !b.Range && b.Low.Exp >= 0 && m.Low.Exp >= 0 &&
		(joint == JointSpace || joint == JointAnd)
}

// Quantity returns the literal reading; the unit is empty where none was
// said.
func (m *Mention) Quantity() schema.Quantity {
	q := schema.Quantity{Low: m.Low.Decimal(), Range: m.Range, Unit: m.Unit.Unit, Tolerance: m.Tolerance}
	q.High = q.Low
	if m.Range {
		q.High = m.High.Decimal()
	}
	return q
}

// mentions finds all mentions of the token stream, appending to dst. It stops
// beyond MaxNumbers.
func (p *parser) mentions(dst []Mention) []Mention {
	p.memo, p.ahead = [unitMemos]unitMemo{}, nil
	var m Mention // zero but where a word is one
	for i := 0; i < len(p.tokens) && len(dst) <= MaxNumbers; {
		t := &p.tokens[i]
		if t.Kind != TokenNumber {
			if t.Kind == TokenWord && (t.Word == 0 && p.coded(i, &m) || p.sound(i, &m)) {
				dst = append(dst, m)
				i = int(m.Last)
				m = Mention{}
				dst = p.add(dst)
				continue
			}
			switch p.x.entries[t.Word].class {
			case classDigitWord, classTeen, classTens, classHundred, classScale, classPoint, classFraction, classRepeat,
				classArticle, classMinus, classDash, classVulgar:
			default:
				i++
				continue
			}
		}
		dst = append(dst, Mention{})
		if !p.mention(i, &dst[len(dst)-1]) {
			dst = dst[:len(dst)-1]
			i++
			continue
		}
		i = int(dst[len(dst)-1].Last)
		dst = p.add(dst)
	}
	p.columns(dst)
	p.link(dst)
	p.heardAgain(dst)
	return dst
}

// add joins the last mention to the ones before.
func (p *parser) add(dst []Mention) []Mention {
	n := len(dst) - 1
	m := &dst[n]
	if n > 0 {
		p.join(dst[:n], m)
	}
	if p.feetAndInches(dst[:n], m) {
		return dst[:n]
	}
	p.compound(dst[:n], m)
	if m.From == UnitOwn {
		p.spread(dst)
	}
	return dst
}

// sound reads a word that sounds like a number right before a unit of the
// kinds that levels and parts have: "to amps", "free amps". Whether a number
// was said at all is for the reading engine. m is zero, and stays so where it
// reads nothing.
func (p *parser) sound(i int, m *Mention) bool {
	if p.headed(i, m) {
		return true
	}
	if !p.numberDue(i) {
		return false
	}
	s := p.numberDueSound(i)
	if !s.OK {
		return false
	}
	if s.Value == 1 { // "want hundred and ninety milliohms"
		if c, _ := p.at(p.skipBreak(i + 1)); c == classHundred {
			if !p.mention(i, m) {
				*m = Mention{}
				return false
			}
			return true
		}
	}
	if p.soundAndHalf(i, m) || p.soundAndPoint(i, m) {
		return true
	}
	u, ok := p.unit(i + 1)
	if !ok || u.Manner != MannerSaid && !p.endsInUnit(u) ||
		int(p.tokens[u.End-1].End-p.tokens[u.End-1].Start) < p.x.length.soundUnit {
		return false // "Ulvendor UV" is a maker and a code
	}
	if !electrical(u.Unit) && !p.countsBefore(i) {
		return false
	}
	n := Num{Coef: int64(s.Value)}
	*m = Mention{First: int32(i), NumEnd: int32(i + 1), Last: u.End, Low: n, High: n, Style: StyleSound,
		Unit: u, From: UnitOwn, Group: -1}
	return true
}

// endsInUnit reports whether words that sound like a unit end in the unit
// itself: "yeah amps".
func (p *parser) endsInUnit(u UnitWords) bool {
	if u.Apart == 0 {
		return false
	}
	v, ok := p.simpleUnit(int(u.End) - 1)
	return ok && v.Manner == MannerSaid && v.Unit == u.Unit
}

// numberDue reports whether the word at token i stands where a number does:
// before a unit, a hundred, a point, or "and" of a fraction. It is asked of
// every word, and so looks at the next word only.
func (p *parser) numberDue(i int) bool {
	switch p.word(i) {
	case classNone, classTo:
	default:
		return false
	}
	j := p.skipBreak(i + 1)
	if j >= len(p.tokens) || p.tokens[i].Kind != TokenWord || p.tokens[j].Word == 0 {
		return false
	}
	e := &p.x.entries[p.tokens[j].Word]
	switch e.class {
	case classHundred, classPoint, classAnd, classIn:
		return true
	}
	return e.base.code != "" || e.whole.code != "" || e.prefix.code != "" || len(e.symbols) > 0 ||
		p.x.units.begins(p.tokens[j].Word)
}

// soundAndHalf reads "won and a half amps", which is one and a half.
func (p *parser) soundAndHalf(i int, m *Mention) bool {
	v, ok := p.soundOf(i)
	if !ok {
		return false
	}
	f, ok := p.addFraction(number{num: Num{Coef: v}, end: i + 1, style: StyleHeard})
	if !ok || f.num.Exp == 0 {
		return false
	}
	u, ok := p.unit(f.end)
	if !ok || u.Manner != MannerSaid {
		return false
	}
	*m = Mention{First: int32(i), NumEnd: int32(f.end), Last: u.End, Low: f.num, High: f.num, Style: StyleHeard,
		Unit: u, From: UnitOwn, Group: -1}
	return true
}

// pointApart is how far a word before "point" may be from a digit, in nats:
// "point" is a word of its own too, as in "the main point for volts".
const pointApart = 1

// soundAndPoint reads "for point to milliohms", which is 4.2: a word of like
// sound before a point with digits behind it, and a unit.
func (p *parser) soundAndPoint(i int, m *Mention) bool {
	v, ok := p.soundOf(i)
	j := p.skipBreak(i + 1)
	if c, _ := p.at(j); !ok || p.numberSound(i).Apart > pointApart || c != classPoint || p.tokens[j].Kind != TokenWord {
		return false
	}
	n := number{num: Num{Coef: v}}
	if f, ok := p.fractionDigits(n.num, j+1); ok {
		n = f
	} else if d, ok := p.soundOf(p.skipBreak(j + 1)); ok {
		n.num, n.end = Num{Coef: v*10 + d, Exp: -1}, p.skipBreak(j+1)+1
	} else {
		return false
	}
	u, ok := p.unit(n.end)
	if !ok || u.Manner == MannerHeard || !p.unitBehindSound(n.end) {
		return false
	}
	*m = Mention{First: int32(i), NumEnd: int32(n.end), Last: u.End, Low: n.num, High: n.num, Style: StyleHeard,
		Unit: u, From: UnitOwn, Group: -1}
	return true
}

// electrical reports whether the unit is of the kinds that levels and parts
// have.
func electrical(u schema.Unit) bool {
	switch u.Kind() {
	case schema.KindVoltage, schema.KindCurrent, schema.KindPower, schema.KindEnergy, schema.KindCharge,
		schema.KindResistance,
		schema.KindCapacitance, schema.KindInductance:
		return true
	}
	return false
}

// mention reads the mention that starts at token i into m, which is zero.
func (p *parser) mention(i int, m *Mention) bool {
	if p.tokens[i].Kind == TokenNumber && p.coded(i, m) {
		return true
	}
	n, ok := p.number(i)
	if !ok {
		return p.oneAndHalf(i, m)
	}
	high, hEnd, ranged := p.rangeEnd(i, n)
	if p.opener(i) == classBetween && !ranged { // "between one hundred and two hundred"
		p.noAnd = true
		short, _ := p.number(i)
		p.noAnd = false
		if high, hEnd, ranged = p.rangeEnd(i, short); ranged {
			n = short
		}
	}
	if !ranged {
		if high, hEnd, ranged = p.rangeBy2(i, n); ranged {
			n.style = StyleHeard
		}
	}
	m.First, m.Low, m.High, m.Style, m.Group = int32(i), n.num, n.num, n.style, -1
	end := n.end
	if ranged {
		m.High, m.Range, end = high, true, hEnd
	}
	m.NumEnd, m.Last = int32(end), int32(end)
	u, ok := p.unitBehind(end, m)
	if ok && ranged && p.joinedByWord(n.end) && p.twoValues(i, u.Unit.Kind()) {
		m.High, m.Range, ranged, end = n.num, false, false, n.end
		m.NumEnd, m.Last = int32(end), int32(end)
		u, ok = p.unitBehind(end, m)
	}
	if ok {
		m.Unit, m.Last, m.From = u, u.End, UnitOwn
		if !p.halfBehind(m) {
			p.centsBehind(m)
		}
	}
	if m.Low.Coef < 0 && !ranged && p.tokens[i].Kind == TokenWord && m.From == UnitOwn && neverNegative(m.Unit.Unit) {
		m.First, m.Low.Coef, m.High.Coef = m.First+1, -m.Low.Coef, -m.High.Coef // the minus wire, or less so much
	}
	if (n.style == StyleWords || n.style == StylePair) && !ranged {
		m.Tail = p.tail(i, n)
	}
	p.tolerance(m)
	m.Qualifier = p.qualifier(m)
	m.Unsure = p.unsure(m)
	m.Not = p.not(m)
	// "one" stays for the reading engine, which may join it to digits behind a misheard "point"
	return m.Not != NotPronoun || m.Low.Coef == 1
}

// unsure reports whether a question mark says that who wrote the captions was not
// sure of a mention: one stuck to the number and to nothing before, or one in brackets
// behind.
func (p *parser) unsure(m *Mention) bool {
	sign := func(i int, b byte) bool {
		return i >= 0 && i < len(p.tokens) && p.tokens[i].Kind == TokenSign && p.text[p.tokens[i].Start] == b
	}
	i, k := int(m.First), int(m.Last)
	return sign(i-1, '?') && p.tokens[i].Glued && !p.tokens[i-1].Glued ||
		sign(k, '(') && sign(k+1, '?') && sign(k+2, ')')
}

// neverNegative reports whether a quantity of the unit, said of a part, is never
// below zero, so that a minus before it is the name of a wire or pole.
func neverNegative(u schema.Unit) bool {
	switch u.Kind() {
	case schema.KindResistance, schema.KindCapacitance, schema.KindInductance:
		return true
	}
	return false
}

// oneAndHalf reads "an hour and a half", whose number is an article.
func (p *parser) oneAndHalf(i int, m *Mention) bool {
	if c, _ := p.at(i); c != classArticle {
		return false
	}
	u, ok := p.unit(i + 1)
	if !ok || u.Manner != MannerSaid {
		return false
	}
	one := Num{Coef: 1}
	*m = Mention{First: int32(i), NumEnd: int32(i + 1), Last: u.End, Low: one, High: one, Style: StyleWords, Unit: u,
		From: UnitOwn, Group: -1}
	if !p.halfBehind(m) {
		return false
	}
	m.Qualifier = p.qualifier(m)
	return true
}

// halfBehind adds the fraction said behind the unit of a whole number: "two
// hours and a half". A unit behind the fraction makes it a number of its own.
func (p *parser) halfBehind(m *Mention) bool {
	if !p.isAnd(p.skipBreak(int(m.Last))) || m.Range || m.Unit.Manner == MannerHeard {
		return false
	}
	f, ok := p.addFraction(number{num: m.Low, end: int(m.Last)})
	if !ok || p.startsUnit(f.end) {
		return false
	}
	m.Low, m.High, m.Last = f.num, f.num, int32(f.end)
	return true
}

// tail is the number that is left of "sixty six hundred" where "sixty" ends a
// number before.
func (p *parser) tail(i int, n number) Num {
	if n.num.Exp != 0 || n.num.Big != nil {
		return Num{}
	}
	if n.style == StylePair { // "three | ten kilohms"
		if low := n.num.Coef % 100; low >= 10 && n.num.Coef < 10_000 {
			return Num{Coef: low}
		}
		return Num{}
	}
	if c, _ := p.at(i); c != classTens {
		return Num{}
	}
	j := p.joint(i + 1)
	if c, v := p.at(j); c != classDigitWord || v == 0 {
		return Num{}
	}
	if c, _ := p.at(p.joint(j + 1)); c != classHundred || n.num.Coef < 2100 || n.num.Coef > 9999 {
		return Num{}
	}
	return Num{Coef: n.num.Coef % 1000}
}

// centsBehind reads the digits behind a unit that stands for the point: "nine
// volts zero four", "9 volts 04". Only a leading zero distinguishes them from a number
// of its own.
func (p *parser) centsBehind(m *Mention) bool {
	if m.Range || m.Low.Exp != 0 || m.Low.Big != nil || m.Unit.Manner == MannerHeard {
		return false
	}
	j, digits := p.skipBreak(int(m.Last)), m.Low
	if j < len(p.tokens) && p.tokens[j].Kind == TokenNumber {
		text := p.text[p.tokens[j].Start:p.tokens[j].End]
		if len(text) < 2 || len(text) > 3 || text[0] != '0' {
			return false
		}
		for _, c := range text {
			if c < '0' || c > '9' {
				return false
			}
			digits = Num{Coef: digits.Coef*10 + int64(c-'0'), Exp: digits.Exp - 1}
		}
		j++
	} else {
		n := 0
		for ; n < 3; n++ {
			c, v := p.at(j)
			if c != classDigitWord || p.tokens[j].Kind != TokenWord || n == 0 && v != 0 {
				break
			}
			digits = Num{Coef: digits.Coef*10 + int64(v), Exp: digits.Exp - 1}
			j = p.skipBreak(j + 1)
		}
		if n < 2 {
			return false
		}
		switch c, _ := p.at(j); c { // "zero four point", "oh six, one hundred": a number of its own
		case classPoint, classHundred, classScale:
			return false
		}
	}
	if p.startsUnit(j) || digits.Coef > maxCoef {
		return false
	}
	m.Low, m.High, m.Last = digits, digits, int32(j)
	return true
}

// letter reports whether token i is a lone letter.
func (p *parser) letter(i int) bool {
	return i >= 0 && i < len(p.tokens) && p.tokens[i].Kind == TokenWord && p.tokens[i].End-p.tokens[i].Start == 1
}

// backOne returns the token before i, stepping over a line break.
func (p *parser) backOne(i int) int { return backOne(p.tokens, i) }

func backOne(tokens []Token, i int) int {
	i--
	if i >= 0 && tokens[i].Kind == TokenBreak {
		i--
	}
	return i
}
