package channel

import (
	"saywatt/extract"
	"saywatt/extract/sound"
)

// Variant is one way to read the number words of a mention, or of two
// mentions that captions may have cut out of one.
type Variant struct {
	Lo, Hi extract.Num // the ends of a range; the same number twice where it is none
	Range  bool
	By     [2]Distortion // what captions did, Intact where nothing
	Cost   float32       // -ln P(heard | said), the literal one's being that of Intact
}

// Decoder lists what may have been said where a document shows numbers. The zero value
// is made ready by Reset.
type Decoder struct {
	// List has the variants of what was asked for last. A caller may change them; they
	// hold until the next question.
	List []Variant

	doc     *extract.Document
	costs   *Costs
	weights *weights
	sounds  map[string]extract.NumberSound // what words sound like
}

// keptWords bounds the words whose sounds are kept from one document to the next: a
// review has some hundred.
const keptWords = 1 << 14

// Reset makes r ready for a document, with the costs given; without one it lets go of
// the document before.
func (r *Decoder) Reset(doc *extract.Document, costs *Costs) {
	r.doc, r.costs, r.weights, r.List = doc, costs, loadWeights(), r.List[:0]
	if r.sounds == nil || len(r.sounds) > keptWords {
		r.sounds = map[string]extract.NumberSound{}
	}
}

// Single lists the ways to read the number of one mention, the literal one first
// where the number is more than like number words in sound.
func (r *Decoder) Single(m *extract.Mention) {
	r.List = r.List[:0]
	switch {
	case m.Style == extract.StyleSound:
		var room [4]extract.NumberSound
		for _, s := range r.doc.Lexicon.NumbersBySound(room[:0], r.doc.Transcript.Text, r.doc.Tokens[m.First],
			sound.BeforeUnit) {
			r.varyOne(extract.Num{Coef: int64(s.Value)}, Homophone)
			r.lastVariant().Cost += s.Apart
		}
		return
	case m.Style == extract.StyleHeard:
		r.vary(m.Low, m.High, m.Range, Homophone)
		r.lastVariant().Cost += r.numberApart(m)
		r.varyPreposition(m)
		if m.Head.Coef > 0 { // without the word that sounds like its beginning: as likely, by the words alone
			cost := r.lastVariant().Cost
			r.varyOne(m.Head, Intact)
			r.lastVariant().Cost = cost
		}
		return
	}
	r.vary(m.Low, m.High, m.Range, Intact)
	switch {
	case m.Style == extract.StyleExact:
	case m.Style == extract.StyleBare:
		r.varyBare(m)
	case m.Range:
		r.varyRange(m)
	default:
		if p, ok := r.Digits(m); ok {
			r.varyDigits(m, &p)
		}
	}
}

func (r *Decoder) vary(lo, hi extract.Num, isRange bool, by ...Distortion) {
	v := Variant{Lo: lo, Hi: hi, Range: isRange}
	for i, d := range by {
		v.By[i] = d
		v.Cost += r.costs.Of(d)
	}
	r.List = append(r.List, v)
}

func (r *Decoder) varyOne(n extract.Num, by ...Distortion) { r.vary(n, n, false, by...) }

// lastVariant is the way to read that was listed last.
func (r *Decoder) lastVariant() *Variant { return &r.List[len(r.List)-1] }

// Extra costs of rarer forms of a distortion: one in nine, one in fifty.
const (
	ln9  = 2.1972246
	ln50 = 3.9120230
)

// numberApart is how far the words of a number are from the number words they
// stand for, in nats.
func (r *Decoder) numberApart(m *extract.Mention) float32 {
	apart := float32(0)
	for i := m.First; i < m.NumEnd; i++ {
		if s := r.Sound(i); s.OK {
			apart += s.Apart
		}
	}
	return apart
}

// Sound is the number that the word at token i sounds like, worked out once
// for every word, but for those heard again: they say another word than is shown.
func (r *Decoder) Sound(i int32) extract.NumberSound {
	t := r.doc.Tokens[i]
	text := r.doc.Transcript.Text
	if t.Apart > 0 {
		return r.doc.Lexicon.NumberBySound(text, t, sound.Anywhere)
	}
	s, ok := r.sounds[string(text[t.Start:t.End])]
	if !ok {
		s = r.doc.Lexicon.NumberBySound(text, t, sound.Anywhere)
		r.sounds[string(text[t.Start:t.End])] = s
	}
	return s
}
