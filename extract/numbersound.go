package extract

import (
	"cmp"

	"saywatt/extract/sound"
	"saywatt/schema"
)

// digitBySound reads the word at token i, behind a point and `got` digits, as
// the digit it sounds like: "two point for amps", "seven point ate watts".
// Behind a point a digit must come. Of a word of the grammar, a unit or the end of the
// sentence behind it says that it did: "thirty point tree", but "at twenty point to the
// meter".
func (p *parser) digitBySound(i, got int) (int64, bool) {
	v, ok := p.soundOf(i)
	if !ok || got > 1 || got == 1 && p.word(i) == classTo { // "3 point 3 to volts": a range cut short
		return 0, false
	}
	if got == 0 {
		b := p.backOne(p.backOne(i)) // "the main point for volts" has no whole number before the point
		if b < 0 || p.tokens[b].Kind != TokenNumber && !p.isNumberWord(b) {
			return 0, false
		}
	}
	if p.unitBehindSound(i + 1) {
		return v, true
	}
	k := p.skipBreak(i + 1)
	if k < len(p.tokens) && got == 0 &&
		(p.word(k) == classDigitWord || p.tokens[k].Kind == TokenNumber && p.tokens[k].End-p.tokens[k].Start == 1) &&
		p.unitBehindSound(k+1) {
		return v, true // "nineteen point for eight volts"
	}
	c, _ := p.at(k)
	return v, got == 0 && (c == classStop || c == classComma || !p.x.Function(p.tokens[i]))
}

// oneBySound reads the word at token i, behind twenty to ninety or "hundred
// and", as the digit it sounds like, and returns the token behind it; 0 where
// it stands for none. A unit must follow, of a kind that "for" and "to" do not
// open themselves: people run something at twenty for minutes. Amperes are
// left out: "20 to amps" is 20 volts, 2 amps with the volts lost.
func (p *parser) oneBySound(i int) (int64, int) {
	v, ok := p.soundOf(i)
	if !ok || !p.unitBehindSound(i+1) {
		return 0, i
	}
	u, _ := p.unit(i + 1)
	switch u.Unit.Kind() {
	case schema.KindTime, schema.KindCount:
		return 0, i
	case schema.KindCurrent:
		if u.Unit == "A" {
			return 0, i
		}
	}
	return v, i + 1
}

// soundOf returns the digit 1 to 9 that the word at token i only sounds like.
func (p *parser) soundOf(i int) (int64, bool) {
	s := p.numberSound(i)
	return int64(s.Value), s.OK && s.Value >= 1 && s.Value <= 9
}

// unitBehindSound reports whether a unit that is no accident stands at token
// i: spelled out or a sign, or two words known to be shown for one ("what
// hours").
func (p *parser) unitBehindSound(i int) bool {
	i = p.skipBreak(i)
	u, ok := p.unit(i)
	if !ok {
		return false
	}
	last := p.tokens[u.End-1]
	size := last.End - last.Start
	switch u.Manner {
	case MannerSaid:
		return last.Kind == TokenSign || size >= 2
	case MannerShort:
		return size >= 6 // "degrees"
	}
	return p.heardHours(u, i)
}

// countsBefore reports whether the word before token i asks for a number
// where "for" or "to" cannot stand: "after for seconds".
func (p *parser) countsBefore(i int) bool {
	b := p.backOne(i)
	if b < 0 || p.tokens[b].Kind != TokenWord {
		return false
	}
	w := p.tokens[b].Word
	return int(w) < len(p.x.cue.guards) && p.x.cue.guards[w]&(1<<guardCounts) != 0
}

// headed reads a number whose first word was misheard: "plenty five minutes" is 25,
// "won fifteen volts" 115. The word must be hardly ever seen before a number, and
// sound like tens before a digit, like a digit before tens or teens. That the number
// has no such head is for the reading engine (Mention.Head).
func (p *parser) headed(i int, m *Mention) bool {
	t := &p.tokens[i]
	if t.Kind != TokenWord || p.word(i) != classNone || i+1 >= len(p.tokens) {
		return false
	}
	j := p.skipBreak(i + 1)
	if j >= len(p.tokens) || !p.isNumberWord(j) && p.tokens[j].Kind != TokenNumber {
		return false
	}
	h := p.headSound(i)
	if h == (numberHead{}) {
		return false
	}
	n, ok := p.number(j)
	if !ok || n.num.Big != nil || n.num.Coef <= 0 {
		return false
	}
	whole, head := int64(n.num.Float()), h.hundreds
	if whole < 10 { // tens before a digit, else hundreds
		head = h.tens
	}
	if head == 0 || whole == 0 || whole > 99 {
		return false
	}
	u, ok := p.unit(n.end)
	if !ok || u.Manner == MannerHeard || !p.unitBehindSound(n.end) {
		return false
	}
	low := plus(Num{Coef: head}, n.num)
	*m = Mention{First: int32(i), NumEnd: int32(n.end), Last: u.End, Low: low, High: low, Style: StyleHeard,
		Head: n.num, Unit: u, From: UnitOwn, Group: -1}
	return true
}

// headSound is what the word at token i stands for before the rest of a number, worked
// out once for every word.
func (p *parser) headSound(i int) numberHead {
	t := p.tokens[i]
	if t.Apart > 0 {
		return p.headOf(t)
	}
	memo := p.remember().heads
	word := p.text[t.Start:t.End]
	h, ok := memo[string(word)]
	if !ok {
		h = p.headOf(t)
		memo[string(word)] = h
	}
	return h
}

// numberHead is what a word stands for as the first of a number, 0 for nothing.
type numberHead struct{ tens, hundreds int64 }

func (p *parser) headOf(t Token) (h numberHead) {
	if p.x.Share(p.text, t, sound.BeforeNumber) > p.x.ear.weigh.Unseen {
		return h
	}
	var room [8]NumberSound
	for _, s := range p.x.NumbersBySound(room[:0], p.text, t, sound.BeforeNumber) {
		n := p.x.bound.startsNumber(int64(s.Value), float64(s.Apart))
		h.tens, h.hundreds = cmp.Or(h.tens, n.tens), cmp.Or(h.hundreds, n.hundreds)
	}
	return h
}

// startsNumber is what a word stands for as the first of a number that is so many nats
// from the number word of the value.
func (b *bounds) startsNumber(value int64, apart float64) (h numberHead) {
	switch {
	case value >= 20 && apart <= b.tensApart:
		h.tens = value
	case value >= 1 && value <= 9 && apart <= b.hundredsApart:
		h.hundreds = value * 100
	}
	return h
}
