package normalize

import (
	"saywatt/extract"
	"saywatt/extract/sound"
)

// Captions that misheard a number or a unit often misheard the words beside it too.
// Words are seen by how often reviews have them.

// What stands right beside a quantity: nothing or a sign, a word of the grammar, one
// that was counted right there, one that was counted elsewhere, one that never was.
var besideDim = dimension{"none", "grammar", "usual", "seen", "strange"}

const (
	besideNone = iota
	besideGrammar
	besideUsual
	besideSeen
	besideStrange
)

// beside says what stands before a node and behind it.
func (e *engine) beside(n *node) (before, behind int) {
	first, last := e.mention(n.first).First, e.mention(n.last-1).Last
	for int(last) < len(e.doc.Tokens) && e.doc.Tokens[last].Kind == extract.TokenBreak {
		last++
	}
	return e.besideToken(e.doc.WordBefore(first), sound.BeforeNumber), e.besideToken(last, sound.BehindNumber)
}

func (e *engine) besideToken(i int32, at sound.Where) int {
	if i < 0 || int(i) >= len(e.doc.Tokens) || e.doc.Tokens[i].Kind != extract.TokenWord {
		return besideNone
	}
	t := e.doc.Tokens[i]
	if e.doc.Lexicon.Function(t) {
		return besideGrammar
	}
	switch seen, here := e.doc.Lexicon.Seen(e.doc.Transcript.Text, t, at); {
	case here > 0:
		return besideUsual
	case seen > 0 || t.Word != 0:
		return besideSeen
	}
	return besideStrange
}
