package extract

import "saywatt/schema"

// Mention is a stretch of tokens that names a number, with the unit behind
// it, read literally. Other ways to read the words are the reading engine's.
type Mention struct {
	First, NumEnd, Last int32 // tokens [First,NumEnd) are the number, [NumEnd,Last) the unit
	Low, High           Num   // equal for a single value
	Range               bool
	Style               Style // of the first number
	Unit                UnitWords
	From                UnitFrom
	Joint               Joint // how it hangs on the mention before
	Not                 Not   // why it is no physical quantity, as far as the words around it tell
	Qualifier           schema.Qualifier
	Tolerance           *schema.Tolerance
	Withdrawn           bool  // the speaker took it back
	Group               int32 // index of the first mention of its product A × B × C, or -1
	Context             Context
}

// UnitFrom says where the unit of a mention comes from.
type UnitFrom uint8

// The origins of a unit.
const (
	UnitNone  UnitFrom = iota // none said
	UnitOwn                   // said behind the number
	UnitGroup                 // said behind the last of a product: 52 by 41 by 31 mm
	UnitList                  // said behind the last of a list: 5, 9 and 12 volts
)

// Joint says what stands between a mention and the one before.
type Joint uint8

// The joints.
const (
	JointNone  Joint = iota // other words
	JointSpace              // nothing, or a line break
	JointComma
	JointAnd
	JointOr
	JointAt
	JointBy
	JointSlash
	JointPlus
	JointStop  // a full stop or question mark
	JointColon // a colon
	JointDash  // a hyphen or dash
	JointWord  // one word that is no part of the grammar: 6 boys 8
	JointTo    // the word to, where no range was read
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

var notNames = [...]string{"", "code", "version", "price", "year", "clock", "ordinal", "score", "calendar", "idiom", "pronoun", "count"}

func (n Not) String() string { return notNames[n] }

// HasUnit reports whether a unit was said for the mention, behind it or
// behind the list or product it stands in.
func (m *Mention) HasUnit() bool { return m.Unit.Unit != "" }

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

// mentions finds all mentions of the token stream, appending to dst.
func (p *parser) mentions(dst []Mention) []Mention {
	for i := 0; i < len(p.tokens); {
		t := &p.tokens[i]
		if t.Kind != TokenNumber {
			e := &p.x.entries[t.Word]
			if e.sounds.count > 0 && e.class != classDigitWord {
				if m, ok := p.sound(i); ok {
					dst = p.add(append(dst, m))
					i = int(m.Last)
					continue
				}
			}
			switch e.class {
			case classDigitWord, classTeen, classTens, classHundred, classScale, classPoint, classFraction, classRepeat, classArticle, classMinus, classDash, classVulgar:
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
	if m.From == UnitOwn {
		p.spread(dst)
	}
	return dst
}

// feetAndInches adds inches to the feet right before them: "5 feet 2 inches"
// is one length, 62 inches.
func (p *parser) feetAndInches(dst []Mention, m *Mention) bool {
	if m.Unit.Unit != "[in_i]" || len(dst) == 0 || m.Joint != JointSpace && m.Joint != JointAnd || m.Range {
		return false
	}
	f := &dst[len(dst)-1]
	if f.Unit.Unit != "[ft_i]" || f.From != UnitOwn || f.Range || f.Low.Exp != 0 || f.Low.Coef > 1e6 {
		return false
	}
	f.Low = plus(Num{Coef: f.Low.Coef * 12}, m.Low)
	f.High, f.Unit, f.Last = f.Low, m.Unit, m.Last
	return true
}

// sound reads a word that sounds like a number right before a unit of the
// kinds that levels and parts have: "to amps", "free amps". Whether a number
// was said at all is for the reading engine.
func (p *parser) sound(i int) (Mention, bool) {
	if p.x.Says(p.tokens[i], 1) { // "want hundred and ninety milliohms"
		if c, _ := p.at(p.skipBreak(i + 1)); c == classHundred {
			var m Mention
			ok := p.mention(i, &m)
			return m, ok
		}
	}
	u, ok := p.unit(i + 1)
	if !ok || u.Manner != MannerSaid || p.tokens[u.End-1].End-p.tokens[u.End-1].Start < 2 {
		return Mention{}, false
	}
	if !electrical(u.Unit) {
		return Mention{}, false
	}
	n := Num{Coef: int64(p.x.entries[p.tokens[i].Word].sounds.value)}
	return Mention{First: int32(i), NumEnd: int32(i + 1), Last: u.End, Low: n, High: n, Style: StyleSound,
		Unit: u, From: UnitOwn, Group: -1}, true
}

// electrical reports whether the unit is of the kinds that levels and parts
// have.
func electrical(u schema.Unit) bool {
	switch u.Kind() {
	case schema.KindVoltage, schema.KindCurrent, schema.KindPower, schema.KindEnergy, schema.KindCharge, schema.KindResistance,
		schema.KindCapacitance, schema.KindInductance:
		return true
	}
	return false
}

// mention reads the mention that starts at token i into m, which is zero.
func (p *parser) mention(i int, m *Mention) bool {
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
	m.First, m.Low, m.High, m.Style, m.Group = int32(i), n.num, n.num, n.style, -1
	end := n.end
	if ranged {
		m.High, m.Range, end = high, true, hEnd
	}
	m.NumEnd, m.Last = int32(end), int32(end)
	if u, ok := p.unitBehind(end, m); ok {
		m.Unit, m.Last, m.From = u, u.End, UnitOwn
		p.halfBehind(m)
	}
	p.tolerance(m)
	m.Qualifier = p.qualifier(m)
	m.Not = p.not(m)
	return m.Not != NotPronoun
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
	*m = Mention{First: int32(i), NumEnd: int32(i + 1), Last: u.End, Low: one, High: one, Style: StyleWords, Unit: u, From: UnitOwn, Group: -1}
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

// unitBehind reads the unit behind the number. A full stop or comma between
// number and unit ("30. volts", garble 17) is stepped over before a word that
// is a unit and nothing else.
func (p *parser) unitBehind(end int, m *Mention) (UnitWords, bool) {
	j := p.skipBreak(end)
	if j >= len(p.tokens) {
		return UnitWords{}, false
	}
	switch c, _ := p.at(j); c {
	case classDash:
		if p.tokens[j].Glued { // "30-minute", "65-watt"
			if u, ok := p.unit(j + 1); ok && u.Manner != MannerHeard {
				c, _ := p.at(int(u.End)) // "2-metre-long", but not "2-in-1"
				return u, c != classDash || !p.tokens[u.End].Glued || p.x.entries[p.tokens[j+1].Word].whole.manner != MannerShort
			}
		}
		return UnitWords{}, false
	case classStop, classComma:
		if p.tokens[j].Glued {
			if u, ok := p.unit(j + 1); ok && (u.Manner == MannerSaid && !p.countable(u) || c == classStop && p.heardHours(u, j+1)) {
				return u, true
			}
		}
		return UnitWords{}, false
	case classOf, classArticle: // "half of an inch" was read with the number
		if c == classOf {
			return UnitWords{}, false
		}
	}
	if p.tokens[j].Kind == TokenSign { // "20 (kg)"
		if shut := bracket(p.text[p.tokens[j].Start]); shut != 0 {
			u, ok := p.unit(j + 1)
			if ok && int(u.End) < len(p.tokens) && p.text[p.tokens[u.End].Start] == shut {
				u.End++
				return u, true
			}
			return UnitWords{}, false
		}
	}
	u, ok := p.unit(j)
	if !ok {
		return UnitWords{}, false
	}
	if u.Unit == "pm" && m.High.Exp == 0 && m.High.Coef <= 12 { // a time of day
		return UnitWords{}, false
	}
	if (u.Manner == MannerShort || u.Unit == "Cel") && !p.shortStands(j, u) {
		return UnitWords{}, false
	}
	return u, true
}

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
	case schema.KindTime, schema.KindCount, schema.KindGauge, schema.KindLength, schema.KindMass:
		c, _ := p.at(int(u.End))
		return c != classComma && c != classStop && c != classNone
	}
	return false
}

// shortStands decides whether a short form behind a number is its unit.
// "3 a" is 3 A only where the next word is no noun; "5 in the box" is no
// length.
func (p *parser) shortStands(j int, u UnitWords) bool {
	if u.Unit == "Cel" && u.End == int32(j+1) { // "C.P.I.", "14.7C/"
		k := j + 1
		switch c, _ := p.at(k); {
		case c == classSlash, c == classStop && k+1 < len(p.tokens) && p.tokens[k+1].Glued && p.tokens[k+1].Kind == TokenWord:
			return false
		}
	}
	if p.tokens[j].Glued {
		return u.Unit != "Cel" || p.tokens[j-1].End-p.tokens[j-1].Start > 1 // "3C" is a mark
	}
	word := p.text[p.tokens[j].Start:p.tokens[j].End]
	if len(word) == 1 && word[0] >= 'A' && word[0] <= 'Z' {
		return true
	}
	switch string(word) {
	case "in":
		next := p.skipBreak(int(u.End))
		c, _ := p.at(next)
		if next >= len(p.tokens) || p.tokens[next].Kind == TokenSign || c == classBy {
			return true
		}
		feet := p.backOne(p.backOne(j)) // "12 ft 2 in more"
		return feet >= 0 && p.x.entries[p.tokens[feet].Word].whole.code == "[ft_i]"
	case "a", "us":
		next := int(u.End)
		if next >= len(p.tokens) || p.tokens[next].Kind != TokenWord {
			return true
		}
		c, _ := p.at(next) // a word of the grammar, not a noun: "3 a at 5 v"
		return c != classNone && c != classCode && c != classHundred && c != classScale
	case "c", "f", "g", "h", "n", "s", "l", "j", "m", "k":
		// letters read out: a unit unless another lone letter follows, as in "5 g h z"
		c, _ := p.at(int(u.End))
		return c == classBy || !p.letter(int(u.End))
	}
	return true
}

// letter reports whether token i is a lone letter.
func (p *parser) letter(i int) bool {
	return i >= 0 && i < len(p.tokens) && p.tokens[i].Kind == TokenWord && p.tokens[i].End-p.tokens[i].Start == 1
}

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

// backOne returns the token before i, stepping over a line break.
func (p *parser) backOne(i int) int {
	i--
	if i >= 0 && p.tokens[i].Kind == TokenBreak {
		i--
	}
	return i
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
		return e.qualifier
	case classStop: // "approx. 12 volts"
		if i > 0 && p.tokens[i].Glued && p.word(i-1) == classQualifier {
			return p.x.entries[p.tokens[i-1].Word].qualifier
		}
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
		switch e.qualifier {
		case schema.QualifierMaximum, schema.QualifierMinimum, schema.QualifierPeak, schema.QualifierTypical, schema.QualifierNominal:
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

// join sets how m hangs on the mention before, reads products and marks the
// one before as withdrawn where the speaker corrects himself.
func (p *parser) join(dst []Mention, m *Mention) {
	prev := &dst[len(dst)-1]
	m.Joint = p.jointBetween(int(prev.Last), int(m.First))
	if m.Joint == JointBy && prev.From == UnitNone && prev.Not == NotNothing {
		g := prev.Group
		if g < 0 {
			g = int32(len(dst) - 1)
			prev.Group = g
		}
		m.Group = g
	}
	if m.Joint == JointBy && m.From == UnitNone && m.Not == NotNothing && prev.Unit.Unit.Kind() == schema.KindLength { // "15 centimetres by 7 by 2"
		m.Unit, m.From = prev.Unit, UnitGroup
	}
	if (m.Joint == JointBy || m.Joint == JointDash) && m.From == UnitNone && p.tokens[m.First].Glued && p.tokens[m.First-1].Glued &&
		(prev.Not == NotCode || prev.Not == NotVersion) {
		m.Not = prev.Not // "gen 2x2", "SOT-23-6"
	}
	if m.Qualifier != schema.QualifierNone {
		hedge := p.backOne(int(m.First))
		if hedge < int(prev.Last) || hedge == p.skipBreak(int(prev.Last)) && prev.Qualifier == m.Qualifier {
			m.Qualifier = p.qualifierBehind(int(m.Last)) // "30 min 20 s", "65 watts max 20 volts": the word was the one before's
		}
	}
	if !p.correction(int(prev.Last), int(m.First)) {
		return
	}
	switch {
	case prev.From == UnitNone:
		prev.Withdrawn = true
		for k := len(dst) - 1; k >= 0 && m.HasUnit() && dst[k].Withdrawn && dst[k].From == UnitNone; k-- {
			dst[k].Unit, dst[k].From = m.Unit, UnitList // "65, no wait, 67, sorry, 68 watts"
		}
	case m.From == UnitNone && m.Not == NotNothing && p.ends(int(m.Last)): // "20 volts, I mean 12"
		prev.Withdrawn = true
		m.Unit, m.From = prev.Unit, UnitList
	case prev.Unit.Unit.Kind() == m.Unit.Unit.Kind():
		prev.Withdrawn = true
	}
}

// ends reports whether no word that a bare number could count stands at token
// i, breaks skipped.
func (p *parser) ends(i int) bool {
	i = p.skipBreak(i)
	return i >= len(p.tokens) || p.tokens[i].Kind != TokenWord || p.word(i) != classNone
}

// correction reports whether the words between token i and the mention at
// token j take back what was said before: "20, sorry, 12 volts".
func (p *parser) correction(i, j int) bool {
	for i < j {
		c, _ := p.at(i)
		if c != classComma && c != classStop && c != classDash && c != classPoint && p.tokens[i].Kind != TokenBreak {
			break
		}
		i++
	}
	_, n := p.x.correct.match(p.tokens, i)
	if n == 0 {
		return false
	}
	for i += n; i < j; i++ {
		if c, _ := p.at(i); c != classComma && p.tokens[i].Kind != TokenBreak {
			return false
		}
	}
	return true
}

// jointBetween classifies the tokens [i, j) between two mentions.
func (p *parser) jointBetween(i, j int) Joint {
	joint := JointSpace
	for ; i < j; i++ {
		c, _ := p.at(i)
		var k Joint
		switch c {
		case classComma, classSemicolon:
			k = JointComma
		case classAnd:
			k = JointAnd
		case classOr:
			k = JointOr
		case classAt:
			k = JointAt
		case classBy:
			k = JointBy
		case classSlash:
			k = JointSlash
		case classPlus:
			k = JointPlus
		case classStop:
			k = JointStop
		case classColon:
			k = JointColon
		case classDash:
			k = JointDash
		case classTo:
			k = JointTo
		case classNone:
			switch p.tokens[i].Kind {
			case TokenBreak:
				continue
			case TokenWord:
				k = JointWord
			default:
				return JointNone
			}
		default:
			return JointNone
		}
		if joint == JointSpace || joint == JointComma && k != JointWord {
			joint = k
			continue
		}
		return JointNone
	}
	return joint
}

// spread hands the unit of the last mention back over its product, and over
// the bare numbers of its list where only commas and "and"/"or" stand
// between.
func (p *parser) spread(dst []Mention) {
	last := &dst[len(dst)-1]
	if last.Group >= 0 {
		for k := int(last.Group); k < len(dst)-1; k++ {
			if dst[k].From == UnitNone {
				dst[k].Unit, dst[k].From = last.Unit, UnitGroup
			}
		}
		return
	}
	joint := last.Joint
	if k := len(dst) - 2; k >= 0 && dst[k].Group >= 0 && dst[k].From == UnitNone {
		// "152.4 by 81 by 27 6 millimetres": the last edge may be broken in two
		switch joint {
		case JointSpace, JointDash, JointStop, JointColon, JointComma:
			for g := int(dst[k].Group); g <= k; g++ {
				if dst[g].From == UnitNone {
					dst[g].Unit, dst[g].From = last.Unit, UnitGroup
				}
			}
			last.Group = dst[k].Group
		}
		return
	}
	for k := len(dst) - 2; k >= 0; k-- {
		m := &dst[k]
		switch joint {
		case JointComma, JointAnd, JointOr, JointSlash, JointPlus:
		default:
			return
		}
		if m.From != UnitNone || m.Not != NotNothing || m.Group >= 0 || m.Last != m.NumEnd {
			return
		}
		m.Unit, m.From = last.Unit, UnitList
		joint = m.Joint
	}
}
