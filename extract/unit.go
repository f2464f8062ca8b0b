package extract

import (
	"slices"

	"strings"

	"saywatt/schema"
)

// UnitWords is one way to read the words behind a number as a unit.
type UnitWords struct {
	Unit   schema.Unit
	End    int32 // token after the unit
	Manner Manner
	Count  int32   // how often captions showed these words for it, where heard
	Apart  float32 // how far their sound is from that of the unit, in nats, where the sound decided
}

// joinedUnits holds units whose prefix and base are one word, made from the
// tables: "milliamps", "microfarad". Built once.
type joinedUnits struct {
	byWord map[int32]unitPart
}

// makeJoined enters every said prefix × said base as one word.
func makeJoined(x *Lexicon) joinedUnits {
	j := joinedUnits{byWord: map[int32]unitPart{}}
	n := len(x.entries)
	type pair struct {
		word string
		part unitPart
	}
	var made []pair
	for i := 1; i < n; i++ {
		p := &x.entries[i]
		if p.prefix.code == "" || p.prefix.manner != MannerSaid {
			continue
		}
		for k := 1; k < n; k++ {
			b := &x.entries[k]
			if b.base.code == "" || b.base.manner == MannerHeard && !x.bound.often(b.base.count) {
				continue
			}
			code := p.prefix.code + b.base.code
			if _, ok := schema.Unit(code).Info(); !ok {
				continue
			}
			stem := p.text
			if strings.HasPrefix(b.text, "o") && (strings.HasSuffix(stem, "o") || strings.HasSuffix(stem, "a")) {
				made = append(made, pair{stem[:len(stem)-1] + b.text,
					unitPart{code, b.base.manner, b.base.count, true}})
			}
			made = append(made, pair{stem + b.text, unitPart{code, b.base.manner, b.base.count, true}})
		}
	}
	for _, m := range made {
		id := x.id(m.word)
		if x.entries[id].whole.code == "" && x.entries[id].base.code == "" && x.entries[id].class == classNone {
			j.byWord[id] = m.part
			x.entries[id].base = m.part
		}
	}
	return j
}

// startsUnit reports whether a unit that is no accident starts at token i.
func (p *parser) startsUnit(i int) bool {
	u, ok := p.unit(i)
	return ok && u.Manner == MannerSaid
}

// unit reads the unit that starts at token i (a line break may stand before
// it): a phrase of the table, a symbol in its exact case, or words by the
// grammar  unit = [prefix] base [hour] [("per"|"/") unit].
func (p *parser) unit(i int) (UnitWords, bool) {
	i = p.skipBreak(i)
	if i >= len(p.tokens) {
		return UnitWords{}, false
	}
	m := &p.memo[i%len(p.memo)]
	if m.at != i+1 { // the grammar asks for the same unit again and again
		u, ok := p.ahead[i]
		if !ok {
			u = p.readUnit(i)
		}
		*m = u
	}
	return m.unit, m.ok
}

// readUnit reads the unit at token i, which is no break.
func (p *parser) readUnit(i int) unitMemo {
	u, ok := p.simpleUnit(i)
	if ok {
		u = p.perUnit(u)
	} else {
		u, ok = p.unknownUnit(i)
	}
	return unitMemo{i + 1, u, ok}
}

// unknownUnit reads a unit that no table has: a word before "per", unless it
// sounds clearly like a unit ("wots per cc"), or words that sound like one.
func (p *parser) unknownUnit(i int) (UnitWords, bool) {
	u, ok := p.unknownPer(i)
	if s, heard := p.unitBySound(i); heard && (!ok || s.Apart <= p.x.ear.weigh.Clear && s.End >= u.End) {
		return s, true
	}
	return u, ok
}

// unitMemos is how many units that were read last are remembered: the grammar asks for
// those of the tokens around.
const unitMemos = 16

// unitMemo is a unit read, and where: 1 + token, 0 for none.
type unitMemo struct {
	at   int
	unit UnitWords
	ok   bool
}

func (p *parser) simpleUnit(i int) (UnitWords, bool) {
	if v, n := p.x.units.match(p.tokens, i); n > 0 {
		ph := p.x.unitPhr[v]
		return p.hour(UnitWords{schema.Unit(ph.code), int32(i + n), ph.manner, ph.count, 0}), true
	}
	t := p.tokens[i]
	if t.Kind == TokenSign && p.feetSign(i) {
		return UnitWords{Unit: "[ft_i]", End: int32(i + 1), Manner: MannerSaid}, true
	}
	if t.Kind == TokenWord {
		if code, ok := p.symbol(t); ok && (t.Glued || !p.hesitates(i)) {
			u := p.raised(UnitWords{Unit: code, End: int32(i + 1), Manner: MannerShort})
			if t.Glued || t.End-t.Start > 1 && p.x.entries[t.Word].whole.manner != MannerShort {
				u.Manner = MannerSaid
			}
			return p.hour(u), true
		}
	}
	if t.Word == 0 {
		return UnitWords{}, false
	}
	e := &p.x.entries[t.Word]
	if e.power.code != "" {
		return p.raisedUnit(i, e)
	}
	if e.prefix.code != "" {
		if u, ok := p.prefixedUnit(i, e); ok {
			return p.hour(u), true
		}
		if e.whole.code == "" && e.class == classNone && e.prefix.manner == MannerHeard {
			return UnitWords{}, false
		}
	}
	if e.base.code != "" && e.base.known {
		return p.hour(UnitWords{schema.Unit(e.base.code), int32(i + 1), e.base.manner, e.base.count, 0}), true
	}
	if e.whole.code != "" {
		u := UnitWords{schema.Unit(e.whole.code), int32(i + 1), e.whole.manner, e.whole.count, 0}
		if t.Glued && u.Manner == MannerShort {
			u.Manner = MannerSaid
		}
		return p.hour(u), true
	}
	return UnitWords{}, false
}

// raisedUnit reads the unit behind the word for a power at token i: "square
// kilometres".
func (p *parser) raisedUnit(i int, e *entry) (UnitWords, bool) {
	j := p.skipBreak(i + 1)
	if j >= len(p.tokens) {
		return UnitWords{}, false
	}
	u, ok := p.simpleUnit(j)
	if !ok || u.Manner == MannerHeard {
		return UnitWords{}, false
	}
	u.Unit += schema.Unit(e.power.code)
	_, known := u.Unit.Info()
	return u, known
}

// prefixedUnit reads the unit that the prefix at token i and the word behind it
// make.
func (p *parser) prefixedUnit(i int, e *entry) (UnitWords, bool) {
	j := p.skipBreak(i + 1)
	if c, _ := p.at(j); c == classDash && p.tokens[j].Glued {
		j++
	}
	if j >= len(p.tokens) || p.tokens[j].Word == 0 {
		return UnitWords{}, false
	}
	b := &p.x.entries[p.tokens[j].Word]
	code := schema.Unit(e.prefix.code + b.base.code)
	if _, ok := code.Info(); b.base.code == "" || !ok {
		return UnitWords{}, false
	}
	return UnitWords{code, int32(j + 1), max(e.prefix.manner, b.base.manner), e.prefix.count + b.base.count, 0}, true
}

// feetSign reports whether the sign at token i stands for feet, inches and
// their sign following: 5'2", 5′ 2″.
func (p *parser) feetSign(i int) bool {
	switch string(p.text[p.tokens[i].Start:p.tokens[i].End]) {
	case "'", "’", "′":
	default:
		return false
	}
	if !p.tokens[i].Glued || i < 1 || p.tokens[i-1].Kind != TokenNumber || i+2 >= len(p.tokens) ||
		p.tokens[i+1].Kind != TokenNumber {
		return false
	}
	switch string(p.text[p.tokens[i+2].Start:p.tokens[i+2].End]) {
	case "\"", "″", "”":
		return p.tokens[i+2].Glued
	}
	return false
}

// unknownPer reads a word that no table has, and a unit below it: "60 frames
// per second". UCUM 2.2 §6 writes such a unit as an annotation: {frames}/s.
func (p *parser) unknownPer(i int) (UnitWords, bool) {
	t := p.tokens[i]
	if t.Kind != TokenWord || p.word(i) != classNone || int(t.End-t.Start) > p.x.length.annotation {
		return UnitWords{}, false
	}
	j := p.skipBreak(i + 1)
	if c := p.word(j); c != classPer && (c != classSlash || !p.tokens[j].Glued) {
		return UnitWords{}, false
	}
	k := p.skipBreak(j + 1)
	if k >= len(p.tokens) {
		return UnitWords{}, false
	}
	v, ok := p.simpleUnit(k)
	if !ok || v.Manner == MannerHeard || v.Unit.Kind() == schema.KindOther ||
		p.word(j) == classSlash && v.Unit.Kind() != schema.KindTime {
		return UnitWords{}, false
	}
	word := p.text[t.Start:t.End]
	for _, b := range word {
		if b|0x20 < 'a' || b|0x20 > 'z' {
			return UnitWords{}, false
		}
	}
	return UnitWords{schema.Unit("{" + string(word) + "}/" + string(v.Unit)), v.End, MannerSaid, 0, 0}, true
}

// hesitates reports whether the word at token i is a sound of hesitation in
// small letters: "um" behind a number is no micrometre.
func (p *parser) hesitates(i int) bool {
	if i >= len(p.tokens) || p.word(i) != classFiller || p.tokens[i].End-p.tokens[i].Start > 2 {
		return false
	}
	c := p.text[p.tokens[i].End-1]
	return c >= 'a' && c <= 'z'
}

// raised takes in a 2 or 3 glued behind a unit of length: "24 m2".
func (p *parser) raised(u UnitWords) UnitWords {
	j := int(u.End)
	if u.Unit.Kind() != schema.KindLength || j >= len(p.tokens) || !p.tokens[j].Glued ||
		p.tokens[j].Kind != TokenNumber {
		return u
	}
	code := u.Unit + schema.Unit(p.text[p.tokens[j].Start:p.tokens[j].End])
	if _, ok := code.Info(); ok {
		u.Unit, u.End = code, u.End+1
	}
	return u
}

// hour turns watts into watt hours and amps into amp hours where an hour
// word follows.
func (p *parser) hour(u UnitWords) UnitWords {
	switch n := len(u.Unit); u.Unit[n-1] {
	case 'A', 'W':
		if n > 2 {
			return u
		}
	default:
		return u
	}
	j := p.skipBreak(int(u.End))
	if c, _ := p.at(j); c == classDash && p.tokens[j].Glued {
		j++
	}
	if j >= len(p.tokens) || p.tokens[j].Word == 0 {
		return u
	}
	h := p.x.entries[p.tokens[j].Word].hour
	if h.code == "" {
		return u
	}
	if h.code != "h" && h.code != string(u.Unit[len(u.Unit)-1:])+".h" { // "watt power" is no watt hour
		return u
	}
	if h.manner == MannerHeard && p.article(int(u.End)-1, j) {
		return u
	}
	code := u.Unit + ".h"
	if _, ok := code.Info(); !ok {
		return u
	}
	return UnitWords{code, int32(j + 1), max(u.Manner, h.manner), u.Count + h.count, u.Apart}
}

// article reports whether the letter A at token i is an article and no ampere: "the
// Jetty 20 a power bank". It is small, or a kind of product starts at token j.
func (p *parser) article(i, j int) bool {
	t := p.tokens[i]
	if t.End-t.Start != 1 {
		return false
	}
	v, n := p.x.cue.phrases.match(p.tokens, j)
	return p.text[t.Start] == 'a' ||
		n > 1 && slices.ContainsFunc(p.x.cue.cues[v], func(e effect) bool { return e.kind == effectProduct })
}

// perUnit reads on behind a unit: "watts per cubic centimetre", "ohms per
// kilometre", "Mbit/s".
func (p *parser) perUnit(u UnitWords) UnitWords {
	j := p.skipBreak(int(u.End))
	c, _ := p.at(j)
	loose := c == classArticle || c == classBy // "watt hours a kilo", "watts by cubic centimetre"
	words := 1
	if j < len(p.tokens) && c != classPer {
		if _, n := p.x.per.match(p.tokens, j); n > 0 { // "watts in each cubic centimetre"
			loose, words = true, n
		}
	}
	if c != classPer && !loose && (c != classSlash || !p.tokens[j].Glued) {
		return u
	}
	k := p.skipBreak(j + words)
	if k >= len(p.tokens) {
		return u
	}
	v, ok := p.simpleUnit(k)
	if below := p.x.entries[p.tokens[k].Word].below; !ok && below != "" {
		v, ok = UnitWords{Unit: below, End: int32(k + 1), Manner: MannerSaid}, true
	}
	if !ok || v.Manner == MannerHeard || c == classBy && v.Unit.Kind() == schema.KindTime {
		return u
	}
	code := u.Unit + "/" + v.Unit
	if strings.HasSuffix(string(u.Unit), string(code[len(u.Unit):])) { // "gigs per second": a gig is one already
		code = u.Unit
	}
	_, known := code.Info() // "5 volts a meter showed" is no field
	if !known && (u.Unit[0] != '{' || loose && v.Unit.Kind() != schema.KindTime) ||
		loose && code.Kind() == schema.KindFieldStrength {
		return u
	}
	return UnitWords{code, v.End, u.Manner, u.Count, u.Apart}
}

// spelling is a unit symbol in its exact case.
type spelling struct {
	text string
	unit schema.Unit
}

// loadSymbols enters the printed symbols and UCUM codes of the units table, in
// their exact case, under the words that the scanner folds them to.
func (x *Lexicon) loadSymbols() {
	enter := func(text string, u schema.Unit) {
		e := x.intern(text)
		for _, s := range e.symbols {
			if s.text == text {
				return
			}
		}
		e.symbols = append(e.symbols, spelling{text, u})
	}
	plain := strings.NewReplacer("µ", "u", "Ω", "ohm", "·", "")
	for _, u := range schema.Units() {
		// C is degrees, K kilohms, S cells in series and mil millimetres in this trade, not coulomb, kelvin, siemens
		// and thousandths of an inch
		if u.Symbol == "" || u.Kind == schema.KindCount ||
			slices.Contains([]schema.Unit{"C", "K", "S", "[mil_i]"}, u.Unit) {
			continue
		}
		enter(u.Symbol, u.Unit)
		if len(u.Unit) > 1 {
			enter(string(u.Unit), u.Unit)
		}
		enter(plain.Replace(u.Symbol), u.Unit)
		if u.Kind == schema.KindData { // IEEE 1541 writes b for bit: 10 Gb/s
			if prefix, ok := strings.CutSuffix(u.Symbol, "bit"); ok && prefix != "" {
				enter(prefix+"b", u.Unit)
			}
		}
		enter(strings.ReplaceAll(u.Symbol, "\u00b5", "\u03bc"), u.Unit) // MICRO SIGN, GREEK SMALL LETTER MU
		enter(strings.ReplaceAll(u.Symbol, "Ω", "\u2126"), u.Unit)      // OHM SIGN
	}
}

// symbol returns the unit whose symbol in exact case the word of a token is.
func (p *parser) symbol(t Token) (schema.Unit, bool) {
	for _, s := range p.x.entries[t.Word].symbols {
		if s.text == string(p.text[t.Start:t.End]) {
			return s.unit, true
		}
	}
	return "", false
}

// PlainUnits calls see with the units that stand in so many words between two tokens:
// "in centimetres?" in front of sizes that have none.
func (d *Document) PlainUnits(from, to int32, see func(schema.Unit)) {
	p := parser{x: d.Lexicon, text: d.Transcript.Text, tokens: d.Tokens}
	for i := from; i < to; i++ {
		t := p.tokens[i]
		if t.Kind != TokenWord || t.End-t.Start <= longestSymbol {
			continue
		}
		if u, ok := p.simpleUnit(int(i)); ok && u.Manner == MannerSaid && u.End <= to {
			see(u.Unit)
			i = u.End - 1
		}
	}
}

// longestSymbol is the length of words that mean too much else to be a unit without a
// number: in, am, a.
const longestSymbol = 2
