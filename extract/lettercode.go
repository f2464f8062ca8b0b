package extract

import (
	"bytes"
	"fmt"
	"unicode/utf8"

	"saywatt/schema"
)

// letterCode is a letter that stands for the decimal sign and the unit.
type letterCode struct {
	letter         string
	unit           schema.Unit
	behind, before bool
}

// markedPart is a part that carries digits and a number of zeros.
type markedPart struct {
	word int32
	unit schema.Unit
}

// loadCodes reads lettercodes.tsv and markingcodes.tsv.
func (x *Lexicon) loadCodes() error {
	t, err := schema.ReadTable(tables, "tables/lettercodes.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		c := letterCode{letter: r.Get("letter"), unit: schema.Unit(r.Get("unit"))}
		switch r.Get("place") {
		case "between":
		case "behind":
			c.behind = true
		case "before":
			c.behind, c.before = true, true
		default:
			return fmt.Errorf("lettercodes.tsv:%d: place %q", r.Line, r.Get("place"))
		}
		x.letters = append(x.letters, c)
	}
	if t, err = schema.ReadTable(tables, "tables/markingcodes.tsv"); err != nil {
		return err
	}
	for _, r := range t.Rows {
		x.marked = append(x.marked, markedPart{x.id(r.Get("word")), schema.Unit(r.Get("unit"))})
	}
	return nil
}

// letterOf returns the code of a letter, nil where it has none.
func (x *Lexicon) letterOf(word []byte) *letterCode {
	if len(word) == 0 || len(word) > 2 {
		return nil
	}
	for i := range x.letters {
		if x.letters[i].letter == string(word) {
			return &x.letters[i]
		}
	}
	return nil
}

// coded reads the letter code or marking code that starts at token i.
func (p *parser) coded(i int, m *Mention) bool {
	switch p.tokens[i].Kind {
	case TokenNumber:
		return p.lettered(i, m) || p.marking(i, m)
	case TokenWord:
		return p.letterFirst(i, m)
	}
	return false
}

// lettered reads "4k7", "5R", "22u", "3u3H".
func (p *parser) lettered(i int, m *Mention) bool {
	j := i + 1
	if j >= len(p.tokens) || !p.tokens[j].Glued || p.tokens[j].Kind != TokenWord ||
		int(p.tokens[i].End-p.tokens[i].Start) > p.x.length.letterCodeDigits {
		return false
	}
	if i > 0 && p.tokens[i].Glued && p.tokens[i-1].Kind != TokenSign {
		return false
	}
	c := p.x.letterOf(p.text[p.tokens[j].Start:p.tokens[j].End])
	n, whole, ok := p.digitsAt(i)
	if c == nil || !ok || !whole {
		return false
	}
	end, infix := j+1, false
	if end < len(p.tokens) && p.tokens[end].Glued && p.tokens[end].Kind == TokenNumber {
		low, whole, ok := p.digitsAt(end)
		size := int(p.tokens[end].End - p.tokens[end].Start)
		if !ok || !whole || size > p.x.length.letterCodeDigits {
			return false
		}
		n = Num{Coef: n.Coef*int64(tens[size]) + low.Coef, Exp: int16(-size)}
		infix = true
		end++
	}
	if !infix && !c.behind {
		return false
	}
	u := UnitWords{Unit: c.unit, End: int32(end), Manner: MannerShort}
	if infix && c.unit == "Ohm" && p.ofInductor(i) {
		u.Unit = "uH"
	}
	if infix || p.markedPart(i, i+1) != "" || p.partNext(end) {
		u.Manner = MannerSaid
	}
	if !p.codeUnit(&u, infix) {
		return false
	}
	*m = Mention{First: int32(i), NumEnd: int32(end), Last: u.End, Low: n, High: n, Style: StyleExact,
		Unit: u, From: UnitOwn, Group: -1}
	p.tolerance(m)
	m.Qualifier = p.qualifier(m)
	return true
}

// ofInductor reports whether the part named last before token i, in the same
// sentence, is an inductor, whose markings the standard does not cover: 1R0 on
// one is 1.0 µH (common practice, no source).
func (p *parser) ofInductor(i int) bool {
	for k := i - 1; k >= 0 && k >= i-p.x.reach.inductor; k-- {
		if p.word(k) == classStop || p.tokens[k].Kind == TokenPara {
			return false
		}
		if u := p.x.markedUnit(p.tokens[k].Word); u != "" {
			return u == "uH"
		}
	}
	return false
}

// codeUnit takes in a unit word behind a letter code ("4k7 ohm", "3u3H"), and
// reports false where something else is glued on.
func (p *parser) codeUnit(u *UnitWords, infix bool) bool {
	end := int(u.End)
	if end < len(p.tokens) {
		if v, ok := p.unit(end); ok && infix && v.Manner != MannerHeard {
			switch v.Unit {
			case "Ohm", "F", "H":
				code := u.Unit[:1] + v.Unit
				if u.Unit == "Ohm" {
					code = v.Unit
				}
				if _, known := code.Info(); known {
					u.Unit, u.End, u.Manner = code, v.End, MannerSaid
					return true
				}
			}
		}
		if t := p.tokens[end]; t.Glued && t.Kind != TokenSign {
			return false
		}
		if t := p.tokens[end]; t.Glued && p.word(end) == classDash && end+1 < len(p.tokens) && p.tokens[end+1].Glued {
			return false // "5R-20" is a part number
		}
	}
	return true
}

// letterFirst reads "R002", "R05", "p47": the digits behind the letter stand
// behind the decimal sign. R47 is the 47th resistor as often as 0.47 Ω, so that
// behind R a zero is asked for.
func (p *parser) letterFirst(i int, m *Mention) bool {
	t := p.tokens[i]
	word := p.text[t.Start:t.End]
	if t.Glued || len(word) < 3 || len(word) > 6 || classes[word[len(word)-1]] != classDigit {
		return false
	}
	_, size := utf8.DecodeRune(word)
	digits := word[size:]
	c := p.x.letterOf(word[:size])
	if c == nil || !c.before || len(digits) < 2 || len(digits) > p.x.length.letterCodeDigits ||
		endOfDigits(digits, 0) != len(digits) {
		return false
	}
	if c.unit == "Ohm" && digits[0] != '0' {
		return false
	}
	n, _, ok := parseDigits(digits, false)
	if !ok || n.Coef == 0 {
		return false
	}
	n.Exp = int16(-len(digits))
	u := UnitWords{Unit: c.unit, End: int32(i + 1), Manner: MannerSaid}
	if !p.codeUnit(&u, true) {
		return false
	}
	*m = Mention{First: int32(i), NumEnd: int32(i + 1), Last: u.End, Low: n, High: n, Style: StyleExact,
		Unit: u, From: UnitOwn, Group: -1}
	return true
}

// marking reads three digits said of a part as two digits and the number of
// zeros (IEC 60062): "a 104 capacitor", "resistor marked 471", and of a capacitor
// with the letter of its tolerance, "the capacitor is a 222M". A last digit 0
// says nothing: a 470 resistor has 470 Ω as often.
func (p *parser) marking(i int, m *Mention) bool {
	t := p.tokens[i]
	word := p.text[t.Start:t.End]
	if len(word) != 3 || endOfDigits(word, 0) != 3 || word[0] == '0' || word[2] < '1' || word[2] > '6' {
		return false
	}
	last := i + 1
	if last < len(p.tokens) && p.tokens[last].Glued && p.tokens[last].Kind != TokenSign {
		if !p.guarded(last, guardTolerance) || last+1 < len(p.tokens) && p.tokens[last+1].Glued &&
			p.tokens[last+1].Kind != TokenSign {
			return false
		}
		last++
	}
	unit := p.markedPart(i, last)
	if unit == "" || last > i+1 && unit != "pF" { // of resistors they are the letters of multiples
		return false
	}
	n := Num{Coef: int64(word[0]-'0')*10 + int64(word[1]-'0'), Exp: int16(word[2] - '0')}
	n, unit = handy(n, unit)
	*m = Mention{First: int32(i), NumEnd: int32(i + 1), Last: int32(last), Low: n, High: n, Style: StyleExact,
		Unit: UnitWords{Unit: unit, End: int32(last), Manner: MannerSaid}, From: UnitOwn, Group: -1}
	return true
}

// markedPart returns the unit of the part that the code over tokens [i, last) is
// of: the next word, or a word a few before where the last, or the letter of a
// tolerance, says that it is a marking.
func (p *parser) markedPart(i, last int) schema.Unit {
	for k := last; k < len(p.tokens) && k <= last+1; k++ {
		if p.tokens[k].Kind != TokenWord {
			break
		}
		if u := p.x.markedUnit(p.tokens[k].Word); u != "" {
			return u
		}
		if p.startsUnit(k) || p.word(k) != classNone {
			return ""
		}
	}
	b := p.backOne(i)
	if !p.guarded(b, guardMarking) && last == i+1 {
		return ""
	}
	for k := b; k >= 0 && k >= b-p.x.reach.marking; k-- {
		if u := p.x.markedUnit(p.tokens[k].Word); u != "" {
			return u
		}
	}
	return ""
}

// partNext reports whether the word at token i names a part with a code.
func (p *parser) partNext(i int) bool {
	return i < len(p.tokens) && p.x.markedUnit(p.tokens[i].Word) != ""
}

func (x *Lexicon) markedUnit(word int32) schema.Unit {
	for _, m := range x.marked {
		if m.word == word && word != 0 {
			return m.unit
		}
	}
	return ""
}

// handy brings a number of picofarads, ohms or microhenries to the prefix
// that leaves it between 1 and 1000.
func handy(n Num, unit schema.Unit) (Num, schema.Unit) {
	steps := map[schema.Unit][]schema.Unit{"pF": {"nF", "uF"}, "Ohm": {"kOhm", "MOhm"}, "uH": {"mH", "H"}}[unit]
	for _, u := range steps {
		if n.Float() < 1000 {
			break
		}
		n.Exp -= 3
		unit = u
	}
	n = shift(Num{Coef: n.Coef}, int32(n.Exp))
	for n.Exp < 0 && n.Coef%10 == 0 {
		n.Coef, n.Exp = n.Coef/10, n.Exp+1
	}
	return n, unit
}

// fuseUnit reads the A of a fuse with the letter of its breaking capacity
// glued behind (IEC 60127: L, H or E): "T3.15AL250V".
func (p *parser) fuseUnit(first, j int) (UnitWords, bool) {
	if first < 1 || !p.tokens[first].Glued || j >= len(p.tokens) || !p.tokens[j].Glued {
		return UnitWords{}, false
	}
	switch string(p.text[p.tokens[first-1].Start:p.tokens[first-1].End]) {
	case "F", "FF", "M", "T", "TT":
	default:
		return UnitWords{}, false
	}
	word := p.text[p.tokens[j].Start:p.tokens[j].End]
	milli := bytes.HasPrefix(word, []byte("m"))
	if milli {
		word = word[1:]
	}
	switch string(word) {
	case "AL", "AH", "AE":
	default:
		return UnitWords{}, false
	}
	u := UnitWords{Unit: "A", End: int32(j + 1), Manner: MannerSaid}
	if milli {
		u.Unit = "mA"
	}
	return u, true
}
