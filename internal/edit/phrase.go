package edit

import (
	"strings"

	"saywatt/extract"
	"saywatt/extract/transcript"
	"saywatt/schema"
)

// A word is a token of what is said: a word, a number or a sign.
type word struct {
	text  string
	glued bool        // no blank between it and the word before
	span  schema.Span // in Transcript.Text; of words that stand there
}

// wordsOf cuts text into words; at is where the text starts in Transcript.Text.
func wordsOf(text []byte, at int) []word {
	var all []word
	broken := true
	for _, t := range extract.Words().Scan(nil, text) {
		if t.Kind == extract.TokenBreak || t.Kind == extract.TokenPara {
			broken = true
			continue
		}
		all = append(all, word{
			text:  string(text[t.Start:t.End]),
			glued: t.Glued && !broken,
			span:  schema.Span{Start: at + int(t.Start), End: at + int(t.End)},
		})
		broken = false
	}
	return all
}

// join writes words with single blanks, the first without one before it.
func join(words []word) string {
	var b strings.Builder
	for i, w := range words {
		if i > 0 && !w.glued {
			b.WriteByte(' ')
		}
		b.WriteString(w.text)
	}
	return b.String()
}

// A phrase is words read by the plain rules of English and of writing units,
// without any guessing.
type phrase struct {
	quantity schema.Quantity
	style    extract.Style
	manner   extract.Manner // of its unit; MannerNone without one
	count    int            // how often captions showed the unit by these words, where heard
}

// read reads words as one quantity; false where they are more or less than one.
func read(words string) (phrase, bool) {
	t, err := transcript.Parse("-", []byte("x "+words)) // the x keeps a leading dash from being a list mark
	if err != nil {
		return phrase{}, false
	}
	d := extract.Find(t)
	if len(d.Mentions) != 1 || len(d.Tokens) == 0 {
		return phrase{}, false
	}
	m := &d.Mentions[0]
	if m.First != 1 || int(m.Last) != len(d.Tokens) {
		return phrase{}, false
	}
	return phrase{m.Quantity(), m.Style, m.Unit.Manner, int(m.Unit.Count)}, true
}

// clean reports whether a number is written as one writes it: not with its
// digits or its point strewn about, not by a word that only sounds like it.
func (p phrase) clean(words string) bool {
	switch p.style {
	case extract.StyleDigits, extract.StyleWords, extract.StylePair, extract.StyleSpell:
		return true
	case extract.StyleMixed:
		return !strings.Contains(strings.ToLower(words), "point")
	}
	return false
}

// saysNumber reports whether words are the number of q and nothing else.
func saysNumber(words string, q *schema.Quantity) bool {
	p, ok := read(words)
	return ok && p.manner == extract.MannerNone && p.clean(words) && sameNumber(&p.quantity, q)
}

// says reports whether words are q, number and unit.
func says(words string, q *schema.Quantity) bool {
	p, ok := read(words)
	return ok && p.clean(words) && sameNumber(&p.quantity, q) && p.plain() && sameUnit(p.quantity.Unit, q.Unit)
}

// plain reports whether the unit was said by its own name or symbol.
func (p phrase) plain() bool {
	return p.manner == extract.MannerSaid || p.manner == extract.MannerShort
}

func sameNumber(a, b *schema.Quantity) bool {
	return a.Range == b.Range && a.Low.Equal(b.Low) && a.High.Equal(b.High)
}

// sameUnit takes "degrees" for a temperature.
func sameUnit(said, u schema.Unit) bool {
	return said == u || said == "deg" && (u == "Cel" || u == "[degF]")
}

// unitSaid reads words as a unit: whether they are u, and said plainly.
func unitSaid(words string, u schema.Unit) (is, plain bool) {
	p, ok := read("1 " + words)
	if !ok || !p.quantity.Low.Equal(schema.NewDecimal(1, 0)) || p.quantity.Range {
		return false, false
	}
	return sameUnit(p.quantity.Unit, u), p.plain()
}
