package extract

import (
	"math"
	"strings"

	"saywatt/extract/sound"
)

// A recogniser that writes whole sentences by ear cuts sounds into words where none
// were: "fifty one ply into belts" is "fifty one point two volts". In text that has
// neither punctuation nor capitals, words beside numbers and units are heard again as
// one row of sounds (package sound, Speech), and tokens of what is likelier are put in
// their place. The text stays as it is; such a token says how far it is from what was
// shown, and a mention of it is one by sound.

// rehearing is what hearing again works in.
type rehearing struct {
	speech sound.Room
	words  []sound.ShownWord
	at     []int32 // token of each word
	recuts []sound.Recut
	tokens []Token // of the text
	units  int     // words of units among them
	cuts   []cut
	made   []Token
}

// loadSpeech makes the decoder of number words and units.
func (x *Lexicon) loadSpeech(units []unitForm) error {
	s := &x.ear
	var forms []sound.Form
	s.formOf = map[int32]int{}
	for i := 1; i < len(x.entries); i++ {
		e := &x.entries[i]
		turn := e.turn()
		if turn == sound.TurnOther || e.text[0] < 'a' || e.text[0] > 'z' {
			continue
		}
		s.formOf[int32(i)] = len(forms)
		s.formWords = append(s.formWords, []int32{int32(i)})
		forms = append(forms, sound.Form{Words: e.text, Phones: s.model.Say(nil, []byte(e.text)), Turn: turn})
	}
	for _, u := range units {
		words := x.unitWords(u.form)
		if words == nil {
			continue
		}
		if len(words) == 1 {
			s.formOf[words[0]] = len(forms)
		}
		s.formWords = append(s.formWords, words)
		forms = append(forms, sound.Form{Words: u.form, Phones: u.phones, Turn: sound.TurnUnit})
	}
	var err error
	s.speech, err = s.model.NewSpeech(forms)
	return err
}

// unitForm is a row of unitsounds.tsv.
type unitForm struct {
	form   string
	phones []sound.Phone
}

// turn is the class of a number word, TurnOther of another.
func (e *entry) turn() sound.Turn {
	switch e.class {
	case classDigitWord:
		return sound.TurnDigit
	case classTeen:
		return sound.TurnTeen
	case classTens:
		return sound.TurnTens
	case classHundred:
		return sound.TurnHundred
	case classPoint:
		return sound.TurnPoint
	case classScale:
		if e.value == 1000 {
			return sound.TurnThousand
		}
	}
	return sound.TurnOther
}

// unitWords returns the words of the lexicon that write a form: its parts joined as
// one word, or all but the last so, nil where the lexicon lacks them.
func (x *Lexicon) unitWords(form string) []int32 {
	parts := strings.Split(form, "-")
	for n := len(parts); n > 0; n-- {
		var ids []int32
		first := strings.Join(parts[:n], "")
		for _, w := range append([]string{first}, parts[n:]...) {
			id := x.find([]byte(w), hash([]byte(w)))
			if id == 0 {
				ids = nil
				break
			}
			ids = append(ids, id)
		}
		if ids != nil {
			return ids
		}
	}
	return nil
}

// plainText reports whether the text has neither capitals nor marks of sentences, but
// for one in a hundred words. A letter with a point, "m.", is a word.
func plainText(text []byte, tokens []Token) bool {
	words, marks := 0, 0
	for i := range tokens {
		t := &tokens[i]
		switch t.Kind {
		case TokenWord:
			words++
			if b := text[t.Start]; b >= 'A' && b <= 'Z' {
				marks++
			}
		case TokenSign:
			if i == 0 || text[t.Start] != '.' || tokens[i-1].End-tokens[i-1].Start > 1 {
				marks++
			}
		}
	}
	return marks*100 <= words
}

// rehear puts tokens of what was likely said into the place of those shown, if it finds
// so many that the whole text was written by ear, and reports whether it did. Elsewhere
// words are what they seem more often than not.
func (p *parser) rehear(tokens []Token) ([]Token, bool) {
	if !plainText(p.text, tokens) {
		return tokens, false
	}
	r := &p.remember().again
	r.cuts, r.made, r.units, r.tokens = r.cuts[:0], r.made[:0], 0, tokens
	defer func() { r.tokens = nil }() // the memo outlives the text
	before := sound.TurnOther
	for i := 0; i < len(tokens); {
		end := p.row(r, i)
		open := before != sound.TurnOther || end < len(tokens) && tokens[end].Kind == TokenNumber
		for k := range r.words {
			open = open || r.words[k].Turn != sound.TurnOther
		}
		if open && len(r.words) > 0 {
			p.hearRow(r, end, before)
		}
		before = sound.TurnOther
		if n := len(r.words); n == p.x.reach.rehearWords {
			before = r.words[n-1].Turn
		} else if end < len(tokens) {
			if tokens[end].Kind == TokenNumber {
				before = sound.TurnDigit
			}
			end++
		}
		i = end
		if r.units > p.x.reach.rehearUnits && !p.x.ear.speech.ByEar(len(r.cuts), r.units) {
			return tokens, false
		}
	}
	if !p.x.ear.speech.ByEar(len(r.cuts), r.units) {
		return tokens, false
	}
	return r.cut(tokens), true
}

// cut is a stretch of tokens and those made for it.
type cut struct {
	from, to   int // of the text's tokens
	first, end int // of the tokens made
}

// cut puts the tokens made into their places.
func (r *rehearing) cut(tokens []Token) []Token {
	out := make([]Token, 0, len(tokens)+len(r.made))
	at := 0
	for _, c := range r.cuts {
		out = append(out, tokens[at:c.from]...)
		out = append(out, r.made[c.first:c.end]...)
		at = c.to
	}
	return append(out, tokens[at:]...)
}

// row takes the words from token i on up to a mark, number or paragraph, and returns
// where it ends.
func (p *parser) row(r *rehearing, i int) int {
	r.words, r.at = r.words[:0], r.at[:0]
	for ; i < len(r.tokens) && len(r.words) < p.x.reach.rehearWords; i++ {
		switch t := &r.tokens[i]; t.Kind {
		case TokenWord:
			if !p.shown(r, t) {
				return i
			}
			r.at = append(r.at, int32(i))
			if r.words[len(r.words)-1].Turn == sound.TurnUnit {
				r.units++
			}
		case TokenBreak:
		default:
			return i
		}
	}
	return i
}

// shown appends the word of a token to those heard again; it returns false for one
// that cannot be sounded out.
func (p *parser) shown(r *rehearing, t *Token) bool {
	if int(t.End-t.Start) > p.x.length.soundWord {
		return false
	}
	heard := p.soundedOut(t)
	if n := len(r.words); n > 0 && heard.joins {
		if before := r.words[n-1].Phones; before[len(before)-1] == heard.phones[0] {
			heard.phones = heard.phones[1:]
		}
	}
	if len(heard.phones) == 0 {
		return false
	}
	e := &p.x.entries[t.Word]
	number := e.turn()
	w := sound.ShownWord{Phones: heard.phones, Form: -1, Turn: number, Own: heard.own}
	if f, ok := p.x.ear.formOf[t.Word]; ok && t.Word != 0 {
		w.Form, w.Turn = f, p.x.ear.speech.Turn(f)
	} else if t.Word != 0 && (p.x.isUnit(t.Word) || e.prefix.manner == MannerSaid) {
		w.Turn = sound.TurnUnit
	}
	if w.Form < 0 && w.Turn == sound.TurnUnit {
		w.Own = p.x.ear.speech.Rare()
	}
	w.Closed = t.End-t.Start == 1 || number != sound.TurnOther || e.class == classFraction ||
		p.x.isUnit(t.Word) // those shown were said
	r.words = append(r.words, w)
	return true
}

// soundedWord is a word as it sounds, and what it costs as itself.
type soundedWord struct {
	phones []sound.Phone
	joins  bool // its first sound is one with the same sound before it
	own    float32
}

// soundedOut sounds out the word of a token, once for every word.
func (p *parser) soundedOut(t *Token) soundedWord {
	memo := p.remember().sounded
	word := p.text[t.Start:t.End]
	s, ok := memo[string(word)]
	if !ok {
		if s.phones = p.x.ear.model.Say(nil, word); len(s.phones) > 0 {
			s.joins = len(p.x.ear.model.Say(s.phones[:1:1], word)) == len(s.phones)
		}
		own := p.x.ear.model.Share(word, sound.Anywhere)
		if t.Word >= p.x.talk || p.x.entries[t.Word].class != classNone {
			own += p.x.ear.weigh.Trade
		}
		s.own = float32(-math.Log(own))
		memo[string(word)] = s
	}
	return s
}

// hearRow hears the words of a row again, and notes what is likelier.
func (p *parser) hearRow(r *rehearing, end int, before sound.Turn) {
	behind := sound.TurnOther
	if end < len(r.tokens) && r.tokens[end].Kind == TokenNumber {
		behind = sound.TurnDigit
	}
	p.closeFar(r, before != sound.TurnOther, behind != sound.TurnOther)
	r.recuts = p.x.ear.speech.Decode(r.recuts[:0], &r.speech, r.words, before, behind)
	for i := range r.recuts {
		c := &r.recuts[i]
		if c.Gain < p.x.ear.speech.Least(c) || !p.makesQuantity(c) {
			continue
		}
		made := len(r.made)
		r.made = p.said(r.made, r, c)
		r.cuts = append(r.cuts, cut{int(r.at[c.First]), int(r.at[c.Last-1]) + 1, made, len(r.made)})
	}
}

// closeFar closes the words that stand far from numbers and units, and common words
// among such: they are not heard again.
func (p *parser) closeFar(r *rehearing, before, behind bool) {
	reach, common := p.x.reach.anchor, p.x.ear.speech.Common()
	near := -reach - 1
	if before {
		near = -1
	}
	for k := range r.words {
		w := &r.words[k]
		if w.Turn != sound.TurnOther {
			near = k
		}
		w.Far = k-near > reach
	}
	near = len(r.words) + reach
	if behind {
		near = len(r.words)
	}
	for k := len(r.words) - 1; k >= 0; k-- {
		w := &r.words[k]
		if w.Turn != sound.TurnOther {
			near = k
		}
		w.Far = w.Far && near-k > reach
	}
	for k := range r.words { // what is misheard has a word in it that is seldom said
		w := &r.words[k]
		seldom := w.Own >= common || k > 0 && r.words[k-1].Own >= common ||
			k+1 < len(r.words) && r.words[k+1].Own >= common
		w.Closed = w.Closed || w.Far || !seldom
	}
}

// makesQuantity reports whether a stretch, heard again, is part of a number with a
// unit: a number before a unit or a point, a point between two numbers, a unit behind a
// number. A number before another would be a part of it that nobody said.
func (p *parser) makesQuantity(c *sound.Recut) bool {
	turn := func(k int) sound.Turn { return p.x.ear.speech.Turn(c.Said[k].Form) }
	end := len(c.Said) - 1
	first, last := turn(0) != sound.TurnUnit, turn(end) != sound.TurnUnit
	switch {
	case len(c.Said) == 1 && c.Last-c.First == 1 && first:
		return false // a word for a number is weighed by itself (sounds.go)
	case turn(end) == sound.TurnPoint && c.After.Number() && (end > 0 || c.Before.Number()):
		return true
	case last && c.After != sound.TurnUnit && c.After != sound.TurnPoint:
		return false
	}
	return first || c.Before != sound.TurnOther && c.Before != sound.TurnUnit
}

// said appends the tokens of what was said for a stretch of words. Each takes the
// bytes of words shown, or a part of them where it has more words than were shown.
func (p *parser) said(dst []Token, r *rehearing, c *sound.Recut) []Token {
	shown, count := c.Last-c.First, 0
	for i := range c.Said {
		count += len(p.x.ear.formWords[c.Said[i].Form])
	}
	from, to := r.tokens[r.at[c.First]].Start, r.tokens[r.at[c.Last-1]].End
	done, k := 0, 0 // tokens made, words taken
	for i := range c.Said {
		w := &c.Said[i]
		apart := uint8(min(math.MaxUint8, max(1, w.Apart*apartSteps)))
		ids := p.x.ear.formWords[w.Form]
		for n, id := range ids {
			t := Token{Kind: TokenWord, Word: id, Apart: apart}
			done++
			if count > shown {
				t.Start = from + (to-from)*int32(done-1)/int32(count)
				t.End = from + (to-from)*int32(done)/int32(count)
				dst = append(dst, t)
				continue
			}
			last := shown
			if done < count {
				last = k + 1
				if n == len(ids)-1 {
					last = max(last, w.Last-c.First)
				}
				last = min(last, shown-(count-done))
			}
			t.Start, t.End = r.tokens[r.at[c.First+k]].Start, r.tokens[r.at[c.First+last-1]].End
			k = last
			dst = append(dst, t)
		}
	}
	return dst
}

// apartSteps is how finely a token keeps how far it is from what was shown.
const apartSteps = 10

// heardAgain marks mentions of tokens that were heard again as those by sound.
func (p *parser) heardAgain(all []Mention) {
	for i := range all {
		m := &all[i]
		for k := m.First; k < m.NumEnd; k++ {
			if p.tokens[k].Apart > 0 {
				m.Style = StyleHeard
			}
		}
		apart := float32(0)
		for k := m.NumEnd; k < m.Last; k++ {
			apart += float32(p.tokens[k].Apart) / apartSteps
		}
		if apart > 0 && m.From == UnitOwn {
			m.Unit.Manner, m.Unit.Apart = MannerHeard, apart
			if m.Unit.Count == 0 {
				m.Unit.Count = 1
			}
		}
	}
}
