package extract

import (
	"bytes"

	"saywatt/extract/place"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// Document is a transcript with everything found in it.
type Document struct {
	Transcript *transcript.Transcript
	Lexicon    *Lexicon
	Tokens     []Token
	Mentions   []Mention
	Subjects   []Subject
	Product    schema.Product
	Ports      []schema.Port
	Alike      []Alike // ports that have another's levels
	Materials  []string
	Terms      []Term   // in the order said
	Title      [2]int32 // tokens of the product's name, empty where nothing names it
	TitleCheck bool     // captions may have misspelled the product's name
	ByEar      bool     // a recogniser wrote the text by ear: some of its words were heard again (rehear.go)

	parts   Parts
	telling []int32 // words of sentences that say something, up to each token (observe.go)

	conditions  []Condition
	namings     *namings // nil where a person said nothing of names
	likelyKinds []string // kinds of product that it may be of, where none is sure
	portsNamed  []string
	alsoParts   []string // kinds of parts that the text speaks of where no answer says what belongs where
}

// PartElements returns what the grouping of parts was asked about: for
// training.
func (d *Document) PartElements() Parts { return d.parts }

// MaxNumbers bounds the numbers of one transcript. The densest reviews name
// some thirty in a minute; so many are two days of talk. Each costs the
// reading engine and the record some kilobytes, so that what is no transcript
// is better refused than read.
const MaxNumbers = 100_000

// TooMany reports whether the transcript has more than MaxNumbers numbers. The
// rest of the document was then not looked for.
func (d *Document) TooMany() bool { return len(d.Mentions) > MaxNumbers }

// TooMany reports whether a transcript has more than MaxNumbers numbers, without
// looking for what they belong to.
func TooMany(t *transcript.Transcript) bool {
	p := parser{x: Words(), text: t.Text}
	p.tokens = p.x.Scan(make([]Token, 0, len(t.Text)/5+8), t.Text)
	return len(p.mentions(nil)) > MaxNumbers
}

// Find scans a transcript: tokens, mentions, and the context of each. See
// TooMany for its bound.
func Find(t *transcript.Transcript) *Document { return FindUsing(t, place.Default()) }

// Given is what is known of a transcript beforehand. The zero Given is nothing.
type Given struct {
	Conditions []Condition             // what a person said that quantities belong to
	Names      []Naming                // how a person said that names are written
	IsPart     func(words string) bool // whether words are a known part number; nil where none is known
}

// FindGiven is Find where something is known beforehand: everything else is inferred
// on that condition.
func FindGiven(t *transcript.Transcript, g Given) *Document {
	return Words().findAll(t, place.Default(), g)
}

// FindUsing is Find with a model of places of one's own: for training.
func FindUsing(t *transcript.Transcript, model *place.Model) *Document {
	return Words().findAll(t, model, Given{})
}

func (x *Lexicon) findAll(t *transcript.Transcript, model *place.Model, g Given) *Document {
	d := &Document{Transcript: t, Lexicon: x, conditions: g.Conditions, namings: newNamings(g.Names)}
	p := parser{x: x, text: t.Text, heard: x.borrowHeard(), room: x.borrowRoom()}
	defer x.keepHeard(p.heard)
	defer x.keepRoom(p.room)
	tokens, mentions := p.room.take(len(t.Text)/5+8, len(t.Text)/40+4)
	p.tokens, d.ByEar = p.rehear(x.Scan(tokens, t.Text))
	d.Tokens = p.tokens
	d.Mentions = p.mentions(mentions)
	d.tellKind()
	d.giveKind()
	if !d.TooMany() {
		p.codes = d.knownCodes(g.IsPart)
		p.places(d, model)
	}
	return d
}

// Survey is Find without places: the document that a model of places is shown
// (see ObserveNames).
func Survey(t *transcript.Transcript) *Document {
	x := Words()
	d := &Document{Transcript: t, Lexicon: x}
	p := parser{x: x, text: t.Text}
	p.tokens, d.ByEar = p.rehear(x.Scan(make([]Token, 0, len(t.Text)/5+8), t.Text))
	d.Tokens = p.tokens
	d.Mentions = p.mentions(nil)
	d.tellKind()
	p.survey(d)
	return d
}

// Words returns the words of tokens [first, last), line breaks as one space.
func (d *Document) Words(first, last int32) string {
	if first >= last {
		return ""
	}
	b := make([]byte, 0, 48)
	for i := first; i < last; i++ {
		t := d.Tokens[i]
		if t.Kind == TokenBreak || t.Kind == TokenPara {
			if len(b) > 0 && b[len(b)-1] != ' ' {
				b = append(b, ' ')
			}
			continue
		}
		if i > first && !t.Glued && len(b) > 0 && b[len(b)-1] != ' ' {
			b = append(b, ' ')
		}
		if t.Apart > 0 { // words heard again may have a break within
			for w := range bytes.FieldsSeq(d.Transcript.Text[t.Start:t.End]) {
				if n := len(b); n > 0 && b[n-1] != ' ' {
					b = append(b, ' ')
				}
				b = append(b, w...)
			}
			continue
		}
		b = append(b, d.Transcript.Text[t.Start:t.End]...)
	}
	return string(b)
}

// HearsUnit reports whether words stand behind a number that captions often show for a
// unit: "4 per sent". What was said is in the record, known or not.
func (d *Document) HearsUnit(m *Mention) bool {
	return m.From == UnitOwn && m.Unit.Manner == MannerHeard && m.Unit.Apart == 0 && m.Not == NotNothing &&
		m.Style != StyleSound && d.Lexicon.bound.often(m.Unit.Count)
}

// SaysUnit reports whether a mention is a number with a unit behind it that was
// plainly written or said: it is in the record, whether or not anything is
// known of it. A lone K is no plain unit, since it is a picture's, a price's
// or a thousand as often as a kilohm; nor is a small letter behind a number in
// words, which captions make of many a sound.
func (d *Document) SaysUnit(m *Mention) bool {
	if m.From != UnitOwn || m.Unit.Manner == MannerHeard || m.Style == StyleSound ||
		m.Not != NotNothing && m.Not != NotCalendar {
		return false
	}
	first := m.NumEnd
	if first < m.Last && d.Tokens[first].Kind == TokenBreak {
		first++
	}
	if m.Last-first != 1 {
		return true
	}
	t := d.Tokens[first]
	text := d.Transcript.Text[t.Start:t.End]
	if m.Unit.Unit == "kOhm" && text[0]|0x20 == 'k' && (len(text) == 1 || text[1] == '\'') {
		return false
	}
	return len(text) > 1 || text[0] < 'a' || text[0] > 'z' || t.Glued || d.Tokens[m.NumEnd-1].Kind == TokenNumber
}

// WordBefore returns the token before token i, the end of a line or cue left out;
// negative where there is none.
func (d *Document) WordBefore(i int32) int32 { return int32(backOne(d.Tokens, int(i))) }
