package extract

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/sound"
	"saywatt/schema"
)

// sounds is what the lexicon knows by ear: the number words and the units that
// other words are shown for.
type sounds struct {
	model   *sound.Model
	weigh   sound.Odds
	numbers *sound.Index
	values  []int32 // by number form
	units   *sound.Index
	named   []schema.Unit        // by unit form
	seldom  map[schema.Unit]bool // units hardly ever said without a prefix
	shown   map[string]int       // numbers that a word is shown for though others are nearer
	points  [][]sound.Phone      // point, dot

	speech    *sound.Speech // number words and units in a row of sounds
	formWords [][]int32     // words of the lexicon by form of it
	formOf    map[int32]int // form by word
}

// loadSounds takes what words sound like from a model, reads unitsounds.tsv, and takes
// the number words of words.tsv.
func (x *Lexicon) loadSounds(m *sound.Model) error {
	s := &x.ear
	s.model = m
	s.weigh = s.model.Odds()
	s.seldom = map[schema.Unit]bool{}
	var numbers, units [][]sound.Phone
	var forms []unitForm
	for i := 1; i < len(x.entries); i++ {
		e := &x.entries[i]
		switch e.class {
		case classDigitWord, classTeen, classTens:
			if e.text[0] >= 'a' && e.text[0] <= 'z' {
				numbers = append(numbers, s.model.Say(nil, []byte(e.text)))
				s.values = append(s.values, e.value)
			}
		case classPoint:
			if p := s.model.Say(nil, []byte(e.text)); len(p) > 0 {
				s.points = append(s.points, p)
			}
		}
	}
	t, err := schema.ReadTable(tables, "tables/unitsounds.tsv")
	if err != nil {
		return err
	}
	for _, r := range t.Rows {
		u := schema.Unit(r.Get("unit"))
		if _, ok := u.Info(); !ok {
			return fmt.Errorf("unitsounds.tsv:%d: schema has no unit %q: schema/tables/units.tsv", r.Line, u)
		}
		var p []sound.Phone
		for part := range strings.SplitSeq(r.Get("form"), "-") {
			p = s.model.Say(p, []byte(part))
		}
		units, s.named = append(units, p), append(s.named, u)
		forms = append(forms, unitForm{r.Get("form"), p})
		switch r.Get("alone") {
		case "seldom":
			s.seldom[u] = true
		case "-":
		default:
			return fmt.Errorf("unitsounds.tsv:%d: alone %q", r.Line, r.Get("alone"))
		}
	}
	if t, err = schema.ReadTable(tables, "tables/homophones.tsv"); err != nil {
		return err
	}
	s.shown = map[string]int{}
	for _, r := range t.Rows {
		if s.shown[r.Get("word")], err = strconv.Atoi(r.Get("means")); err != nil {
			return fmt.Errorf("homophones.tsv:%d: %w", r.Line, err)
		}
	}
	s.numbers, s.units = s.model.NewIndex(numbers), s.model.NewIndex(units)
	return x.loadSpeech(forms)
}

// NumberSound is the number that a word sounds like.
type NumberSound struct {
	Value int
	Apart float32 // how far the sounds are apart, in nats: -ln of how seldom one is shown for the other
	Exact bool    // the word sounds just so
	OK    bool    // the word is likelier to stand for the number than for itself, where a number is due
}

// NumberBySound returns the number that the word of a token sounds like most.
// A number word is none, but for a zero that is said as a letter, "oh".
func (x *Lexicon) NumberBySound(text []byte, t Token, at sound.Where) NumberSound {
	var room [4]NumberSound
	if s := x.NumbersBySound(room[:0], text, t, at); len(s) > 0 {
		return s[0]
	}
	return NumberSound{}
}

// NumbersBySound appends the numbers that the word of a token sounds like, the
// nearest first. The place says what the word is weighed against: how often it
// stands there for itself.
func (x *Lexicon) NumbersBySound(dst []NumberSound, text []byte, t Token, at sound.Where) []NumberSound {
	if t.Kind != TokenWord || int(t.End-t.Start) > x.length.soundWord {
		return dst
	}
	word := text[t.Start:t.End]
	e := &x.entries[t.Word]
	var room [sound.MaxHeard]sound.Phone
	heard := x.ear.model.Say(room[:0], word)
	switch e.class {
	case classNone, classTo:
		if x.isUnit(t.Word) {
			return dst
		}
	case classDigitWord:
		if e.value == 0 && len(heard) == 1 {
			dst = append(dst, NumberSound{Exact: true, OK: true})
		}
		return dst
	default:
		return dst
	}
	own := x.ear.model.Share(word, at)
	if at == sound.Anywhere && (t.Word >= x.talk || e.base.code != "" || e.whole.code != "" || e.prefix.code != "") {
		own += x.ear.weigh.Trade
	}
	bound := &x.ear.weigh.Number
	if at == sound.BeforeUnit {
		bound = &x.ear.weigh.Due
	}
	var found [8]sound.Match
	if v, ok := x.ear.shown[fold(string(word))]; ok {
		return append(dst, NumberSound{v, 0, false, true})
	}
	from := len(dst)
	for _, m := range x.ear.numbers.Near(found[:0], heard, bound.Limit(len(heard)+2, own)) {
		v := int(x.ear.values[m.ID])
		if m.Distance > bound.Limit(m.Phones, own) || v == 0 && m.Distance > 0 { // much is near "oh"
			continue
		}
		dst = append(dst, NumberSound{v, m.Distance * x.ear.weigh.Scale, m.Distance == 0, true})
		for k := len(dst) - 1; k > from && dst[k].Apart < dst[k-1].Apart; k-- {
			dst[k], dst[k-1] = dst[k-1], dst[k]
		}
	}
	return dst
}

// Share returns the share of the word of a token among the words that stand in a
// place for themselves.
func (x *Lexicon) Share(text []byte, t Token, at sound.Where) float64 {
	return x.ear.model.Share(text[t.Start:t.End], at)
}

// Seen returns how often the word of a token was counted, and how often in a place.
func (x *Lexicon) Seen(text []byte, t Token, at sound.Where) (all, here int) {
	return x.ear.model.Seen(text[t.Start:t.End], at)
}

// Common returns how often the word of a token was seen standing for itself in
// the reviews that were counted.
func (x *Lexicon) Common(text []byte, t Token) int { return x.ear.model.Common(text[t.Start:t.End]) }

// UnitSound is a unit that words sound like.
type UnitSound struct {
	Unit  schema.Unit
	Apart float32 // as in NumberSound
}

// unitsBySound appends the units that words sound like, the nearest first,
// each once. The words are all of those from token first to token last, blanks
// and breaks between.
func (x *Lexicon) unitsBySound(dst []UnitSound, text []byte, tokens []Token) []UnitSound {
	var room [4 * sound.MaxHeard]sound.Phone
	heard, words, own := room[:0], 0, 0.0
	for _, t := range tokens {
		if t.Kind != TokenWord {
			continue
		}
		if int(t.End-t.Start) > x.length.soundWord {
			return dst
		}
		word := text[t.Start:t.End]
		heard = x.ear.model.Say(heard, word)
		words++
		if words == 1 { // what comes behind is in its place where the first word is
			own = x.ear.model.Share(word, sound.BehindNumber)
		}
	}
	var found [32]sound.Match
	rule := &x.ear.weigh.Unit
	if words > 1 {
		rule = &x.ear.weigh.Units
	}
	from := len(dst)
	for _, m := range x.ear.units.Near(found[:0], heard, rule.Limit(len(heard)+2, own)) {
		if m.Distance > rule.Limit(m.Phones, own) || cutShort(len(heard), m.Phones) || m.Phones*2 < len(heard) {
			continue
		}
		u := x.ear.named[m.ID]
		dst = insertSound(dst, from, UnitSound{u, max(leastApart, m.Distance*x.ear.weigh.Scale)})
	}
	return dst
}

// cutShort reports whether so many phones are too few for a form: of a short
// one a third may be swallowed, of a long one a sixth.
func cutShort(heard, form int) bool {
	if form < 6 {
		return heard*3 < form*2
	}
	return heard*6 < form*5
}

// leastApart tells a unit known by its sound from one of a table.
const leastApart = 0.01

// insertSound puts a unit into its place by distance, and leaves its nearest
// only.
func insertSound(dst []UnitSound, from int, s UnitSound) []UnitSound {
	for k := from; k < len(dst); k++ {
		if dst[k].Unit == s.Unit {
			if dst[k].Apart <= s.Apart {
				return dst
			}
			dst = append(dst[:k], dst[k+1:]...)
			break
		}
	}
	dst = append(dst, s)
	for k := len(dst) - 1; k > from && dst[k].Apart < dst[k-1].Apart; k-- {
		dst[k], dst[k-1] = dst[k-1], dst[k]
	}
	return dst
}

// pointBySound is how far the words of tokens are from the word "point" or another for it, in
// nats.
func (x *Lexicon) pointBySound(text []byte, tokens []Token) float32 {
	var room [4 * sound.MaxHeard]sound.Phone
	heard := room[:0]
	for _, t := range tokens {
		if t.Kind == TokenWord && int(t.End-t.Start) <= x.length.soundWord {
			heard = x.ear.model.Say(heard, text[t.Start:t.End])
		}
	}
	if len(heard) == 0 {
		return float32(math.Inf(1))
	}
	least := float32(math.Inf(1))
	for _, p := range x.ear.points {
		least = min(least, x.ear.model.Distance(p, heard))
	}
	return least * x.ear.weigh.Scale
}

// PointOdds is what the word of a token between two numbers speaks against being a
// misheard "point", in nats: its distance from the word, and how often it stands
// beside a number for itself.
func (x *Lexicon) PointOdds(text []byte, t Token) float32 {
	w := &x.ear.weigh
	own := max(w.Unseen, x.Share(text, t, sound.BeforeNumber), x.Share(text, t, sound.BehindNumber))
	return w.PointSlope*(x.pointBySound(text, []Token{t})-w.PointEven) + float32(math.Log(own/w.Unseen))
}

// heardMemo remembers what words were found to sound like: a vocabulary is small,
// and much the same from one text to the next. Words heard again (rehear.go) are left
// out: their tokens say another word than the text shows. A memo is one goroutine's
// alone; the lexicon keeps it between texts.
type heardMemo struct {
	numbers map[string]NumberSound // anywhere
	due     map[string]NumberSound // before a unit
	heads   map[string]numberHead
	units   map[string]UnitWords
	sounded map[string]soundedWord
	again   rehearing
}

func newHeardMemo() *heardMemo {
	return &heardMemo{numbers: map[string]NumberSound{}, due: map[string]NumberSound{},
		heads: map[string]numberHead{}, units: map[string]UnitWords{}, sounded: map[string]soundedWord{}}
}

// maxHeard bounds the words of each sort that a memo is kept with.
const maxHeard = 1 << 14

// borrowHeard takes a memo, or makes one.
func (x *Lexicon) borrowHeard() *heardMemo {
	if m, ok := x.heard.Get().(*heardMemo); ok {
		return m
	}
	return newHeardMemo()
}

// keepHeard keeps the memo for the next text, unless it has grown too large.
func (x *Lexicon) keepHeard(m *heardMemo) {
	if max(len(m.numbers), len(m.due), len(m.heads), len(m.units), len(m.sounded)) <= maxHeard {
		x.heard.Put(m)
	}
}

// remember is the memo of the parser, which has none of its own before.
func (p *parser) remember() *heardMemo {
	if p.heard == nil {
		p.heard = newHeardMemo()
	}
	return p.heard
}

// numberSound is NumberBySound of token i, worked out once for every word.
func (p *parser) numberSound(i int) NumberSound {
	return p.numberSoundAt(i, p.remember().numbers, sound.Anywhere)
}

// numberDueSound is numberSound of token i where a unit follows.
func (p *parser) numberDueSound(i int) NumberSound {
	return p.numberSoundAt(i, p.remember().due, sound.BeforeUnit)
}

func (p *parser) numberSoundAt(i int, memo map[string]NumberSound, at sound.Where) NumberSound {
	if i < 0 || i >= len(p.tokens) || p.tokens[i].Kind != TokenWord {
		return NumberSound{}
	}
	t := p.tokens[i]
	if t.Apart > 0 {
		return p.x.NumberBySound(p.text, t, at)
	}
	word := p.text[t.Start:t.End]
	s, ok := memo[string(word)]
	if !ok {
		s = p.x.NumberBySound(p.text, t, at)
		memo[string(word)] = s
	}
	return s
}

// unitBySound reads one to four words behind a number that make no sense there
// as a unit shown by words of like sound. The nearest unit is taken, words that
// it takes in counting for it: left out, they would stand there for themselves.
func (p *parser) unitBySound(i int) (UnitWords, bool) {
	best, least, spared := UnitWords{}, float32(0), float32(0)
	for j, n := i, 0; n < p.x.reach.unitWords && j < len(p.tokens); n, j = n+1, p.skipBreak(j+1) {
		t := p.tokens[j]
		if t.Kind != TokenWord || bytes.ContainsAny(p.text[t.Start:t.End], digits) { // "for C1"
			break
		}
		if n == 0 && (!p.senseless(j) || t.End-t.Start < 2) {
			break
		}
		if n > 0 {
			switch p.word(j) {
			case classNone, classPer, classScale, classFiller:
			case classArticle: // "sent a meters"
				continue
			default:
				return p.nearest(i, best)
			}
		}
		if n > 0 && p.guarded(j, guardSize) { // "71 mill wide" are millimetres
			break
		}
		if n > 0 && p.numberSound(j).OK && p.hangsOn(j) { // "will to fight volts": a number of its own
			break
		}
		if n == 0 && p.x.entries[t.Word].prefix.manner == MannerSaid { // "micro" needs what comes behind it
			continue
		}
		if n > 0 {
			spared += p.x.ear.weigh.Spare(p.x.Share(p.text, t, sound.Anywhere))
		}
		if u := p.soundsOver(i, j+1); u.Unit != "" && (best.Unit == "" || u.Apart-spared < least) {
			best, least = u, u.Apart-spared
		}
	}
	return p.nearest(i, best)
}

// hangsOn is startsUnit of the token behind token j, for a unit that hangs on it. What
// may be a unit there may hang on others in turn: "well well well well".
func (p *parser) hangsOn(j int) bool {
	const few = 3
	if p.deep++; p.deep > few {
		p.readAhead(j + 1)
	}
	ok := p.startsUnit(j + 1)
	p.deep--
	return ok
}

// readAhead reads the units that the one at token i hangs on, and those that they hang on,
// from the last to the first: else each would be read as often as there are ways to it.
func (p *parser) readAhead(i int) {
	i = p.skipBreak(i)
	if _, ok := p.ahead[i]; ok || i >= len(p.tokens) {
		return
	}
	due := []int{i}
	for at := 0; at < len(due); at++ {
		if t := p.tokens[due[at]]; t.Kind != TokenWord || !p.senseless(due[at]) {
			continue
		}
		j := p.skipBreak(due[at] + 1)
		for n := 1; n < p.x.reach.unitWords && j < len(p.tokens); n, j = n+1, p.skipBreak(j+1) {
			if next := p.skipBreak(j + 1); next > due[len(due)-1] && next < len(p.tokens) && p.numberSound(j).OK {
				due = append(due, next)
			}
		}
	}
	if p.ahead == nil {
		p.ahead = map[int]unitMemo{}
	}
	deep := p.deep
	for _, k := range slices.Backward(due) {
		if _, ok := p.ahead[k]; !ok {
			p.deep = 0
			p.ahead[k] = p.readUnit(k)
		}
	}
	p.deep = deep
}

// nearest is the unit found for the words at token i, unless they are the rest
// of a number.
func (p *parser) nearest(i int, u UnitWords) (UnitWords, bool) {
	if u.Unit == "" || p.restOfNumber(i, u) {
		return UnitWords{}, false
	}
	return p.perUnit(u), true
}

// restOfNumber reports whether the words at token i sound more like the rest of
// the number before them than like the unit: "fifty sex", "six boys eight".
func (p *parser) restOfNumber(i int, u UnitWords) bool {
	if p.tens(p.backOne(i)) {
		if s := p.numberSound(i); s.OK && s.Value > 0 && s.Value < 10 && s.Apart <= u.Apart {
			return true
		}
	}
	j := p.skipBreak(int(u.End))
	if j >= len(p.tokens) || !p.isNumberWord(j) && p.tokens[j].Kind != TokenNumber {
		return false
	}
	return p.x.ear.seldom[u.Unit] || p.x.pointBySound(p.text, p.tokens[i:u.End]) <= u.Apart
}

// tens reports whether token i is twenty to ninety, in words or digits.
func (p *parser) tens(i int) bool {
	if p.word(i) == classTens {
		return true
	}
	if i < 0 || p.tokens[i].Kind != TokenNumber || p.tokens[i].End-p.tokens[i].Start != 2 {
		return false
	}
	t := p.text[p.tokens[i].Start:p.tokens[i].End]
	return t[0] >= '2' && t[0] <= '9' && t[1] == '0'
}

const digits = "0123456789"

// soundsOver returns the unit that the tokens [i, end) sound like, worked out
// once for the same words.
func (p *parser) soundsOver(i, end int) UnitWords {
	key := p.text[p.tokens[i].Start:p.tokens[end-1].End]
	m := p.remember()
	u, ok := m.units[string(key)]
	if again := slices.ContainsFunc(p.tokens[i:end], func(t Token) bool { return t.Apart > 0 }); again || !ok {
		u = UnitWords{}
		var room [8]UnitSound
		if s := p.x.unitsBySound(room[:0], p.text, p.tokens[i:end]); len(s) > 0 {
			u = UnitWords{Unit: s[0].Unit, Manner: MannerHeard, Count: 1, Apart: s[0].Apart}
			if u.Apart <= p.x.ear.weigh.Clear { // like words that were seen for it
				u.Count = int32(p.x.bound.heardOften)
			}
		}
		if !again {
			m.units[string(key)] = u
		}
	}
	u.End = int32(end)
	return u
}

// senseless reports whether the word at token i may begin a misheard unit: no
// table knows it but as a part of a unit.
func (p *parser) senseless(i int) bool {
	w := p.tokens[i].Word
	if w == 0 {
		return true
	}
	switch p.x.entries[w].class {
	case classNone, classScale, classPer:
		return w < p.x.talk && !p.x.isUnit(w)
	}
	return false
}

// isUnit reports whether a word is plainly a unit, so that it is not another
// misheard.
func (x *Lexicon) isUnit(w int32) bool {
	e := &x.entries[w]
	return e.base.manner == MannerSaid || e.whole.manner == MannerSaid || e.hour.manner == MannerSaid
}
