package extract

import "saywatt/schema"

// digitBySound reads the word at token i, behind a point and `got` digits, as
// the digit it sounds like: "two point for amps", "seven point ate watts".
// Behind a point a digit must come; a unit or the end of the sentence behind
// the word says that it did. "The main point for us" has neither.
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
	return v, got == 0 && (c == classStop || c == classComma)
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
