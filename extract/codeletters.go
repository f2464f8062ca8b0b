package extract

import (
	"bytes"
	"slices"
)

// codeLetters reads one word of a code: capitals, a lone letter, or a word
// that stands for one. n is 0 where the word is none. inside is set behind
// other letters or digits of the code.
func (s *placer) codeLetters(i int, inside bool) (letters []byte, n int, heard bool) {
	if i >= len(s.tokens) || s.tokens[i].Kind != TokenWord {
		return nil, 0, false
	}
	t := s.tokens[i]
	w := s.text[t.Start:t.End]
	if l, n := s.repeatedLetter(i); n > 0 {
		return l, n, false
	}
	if s.namedOtherwise(i, len(w)) {
		return nil, 0, false
	}
	switch {
	case len(w) == 1:
		if w[0] >= '0' && w[0] <= '9' || !inside && !s.loneOpens(i, w[0]) {
			return nil, 0, false
		}
		if isUpper(w[0]) {
			return w, 1, false
		}
		return []byte{w[0] &^ 0x20}, 1, false
	case len(w) <= 10 && allCaps(w) && (len(w) <= s.x.length.codeWord || hasDigit(w)):
		return w, 1, false
	}
	if !inside && t.Word == 0 && s.x.lowerCode(w) {
		return bytes.ToUpper(w), 1, false
	}
	if s.soundsLetter(i) {
		if !inside && !s.wordOpens(i) {
			return nil, 0, false
		}
		return []byte{s.c.letter[t.Word]}, 1, true
	}
	if !inside && s.ofParts() && s.lowerHead(i, w) {
		return bytes.ToUpper(w), 1, false
	}
	return nil, 0, false
}

// lowerHead reports whether the word at token i is the head of a part number in
// lower case: a short word that is none, digits behind it.
func (s *placer) lowerHead(i int, w []byte) bool {
	return len(w) <= 3 && !isUpper(w[0]) && s.digitsFollow(s.skipBreak(i+1)) &&
		(s.tokens[i].Word == 0 || s.lettersAlone(i, w))
}

// lettersAlone reports whether the short word at token i can be nothing but letters
// read out, though a table has it: it has no vowel, and is no unit.
func (s *placer) lettersAlone(i int, w []byte) bool {
	if c, _ := s.at(i); len(w) < 2 || c != classNone || bytes.ContainsAny(w, "aeiouy") {
		return false
	}
	_, unit := s.unit(i)
	return !unit
}

// lowerLetters reports whether the letters of tokens [a, b) are lower case.
func (s *placer) lowerLetters(a, b int) bool {
	for ; a < b; a++ {
		if s.tokens[a].Kind == TokenWord && isUpper(s.text[s.tokens[a].Start]) {
			return false
		}
	}
	return true
}

// lowerCode reports whether a word is a part number written in lower case: letters
// first, digits among them, and nothing else: "mdb610", "av335".
func (x *Lexicon) lowerCode(w []byte) bool {
	digits := 0
	for _, c := range w {
		switch {
		case c >= '0' && c <= '9':
			digits++
		case c < 'a' || c > 'z':
			return false
		}
	}
	return len(w) >= x.length.lowerCode && len(w) <= x.length.codeMost && digits >= x.length.lowerCodeDigits &&
		(w[0] < '0' || w[0] > '9')
}

// namedOtherwise reports whether a phrase at token i names a package, a protocol
// or a part, and is more than a lone letter.
func (s *placer) namedOtherwise(i, size int) bool {
	v, m := s.c.phrases.match(s.tokens, i)
	if m == 0 || m == 1 && size == 1 {
		return false
	}
	return slices.ContainsFunc(s.c.cues[v], func(e effect) bool {
		switch e.kind {
		case effectPackage:
			return true
		case effectProtocol:
			return s.section != SectionTeardown
		case effectPart:
			return s.c.parts[e.n].strong
		}
		return false
	})
}

// loneOpens reports whether a lone letter at token i opens a code: a capital, or
// one with another letter behind it.
func (s *placer) loneOpens(i int, letter byte) bool {
	if isUpper(letter) {
		return true
	}
	j := s.skipBreak(i + 1)
	return letter != 'a' && (s.letter(j) || s.soundsLetter(j) || s.shortWord(j))
}

// wordOpens reports whether the word for a letter at token i opens a code, which
// it does only before another letter.
func (s *placer) wordOpens(i int) bool {
	j := s.skipBreak(i + 1)
	if j >= len(s.tokens) || s.tokens[j].Kind != TokenWord {
		return false
	}
	manner := s.c.letterManner[s.tokens[i].Word]
	v := s.text[s.tokens[j].Start:s.tokens[j].End]
	short := len(v) <= 2 && allCaps(v)
	if short && len(v) == 2 && manner == letterWord && s.digitsFollow(s.skipBreak(j+1)) {
		return false // "the chips are PH 3650"
	}
	if short || s.soundsLetter(j) {
		return true
	}
	return len(v) == 1 && (manner == letterName || !s.cased && (s.letter(s.skipBreak(j+1)) || s.codeNext(i, j)))
}

// codeNext reports whether the word for a letter at token i, with a letter at j
// behind it, opens a part number: words that announce one stand before, and
// several digits follow. "it's marked are f six five two".
func (s *placer) codeNext(i, j int) bool {
	if !s.ofParts() || !s.guarded(s.backOne(i), guardCodeBefore) && !s.makerEnds(i) {
		return false
	}
	n := 0
	for end := j + 1; n < 3; {
		digits, after := s.digitGroup(end)
		if digits == "" || s.unitAt(after) {
			return false
		}
		n, end = n+len(digits), after
	}
	return true
}

// makerEnds reports whether the name of the part's maker ends at token i.
func (s *placer) makerEnds(i int) bool {
	n := len(s.makerSeen)
	return n > 0 && s.skipBreak(int(s.makerSeen[n-1].last)) == i
}

// repeatedLetter reads "double E" and "triple K"; "double U" is a W.
func (s *placer) repeatedLetter(i int) ([]byte, int) {
	c, v := s.at(i)
	j := s.skipBreak(i + 1)
	if c != classRepeat || j >= len(s.tokens) || s.tokens[j].Kind != TokenWord {
		return nil, 0
	}
	t := s.tokens[j]
	var letter byte
	switch w := s.text[t.Start:t.End]; {
	case len(w) == 1 && (w[0] < '0' || w[0] > '9'):
		letter = w[0] &^ 0x20
	case s.soundsLetter(j) && (s.c.letterManner[t.Word] == letterName || v == 2 && s.c.letter[t.Word] == 'U'):
		letter = s.c.letter[t.Word]
	default:
		return nil, 0
	}
	if letter == 'U' && v == 2 {
		return []byte{'W'}, j + 1 - i
	}
	return bytes.Repeat([]byte{letter}, int(v)), j + 1 - i
}

// soundsLetter reports whether the word at token i stands for a letter.
func (s *placer) soundsLetter(i int) bool {
	return i < len(s.tokens) && s.tokens[i].Kind == TokenWord && int(s.tokens[i].Word) < len(s.c.letter) &&
		s.c.letter[s.tokens[i].Word] != 0
}

// shortWord reports whether two or three unknown letters stand at token i.
func (s *placer) shortWord(i int) bool {
	return i < len(s.tokens) && s.tokens[i].Kind == TokenWord && s.tokens[i].Word == 0 &&
		s.tokens[i].End-s.tokens[i].Start <= 2
}
