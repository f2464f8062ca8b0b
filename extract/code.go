package extract

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"saywatt/extract/part"
	"saywatt/schema"
)

func (s *placer) unitAt(i int) bool {
	u, ok := s.unit(i)
	return ok && u.Manner != MannerHeard
}

// overDash steps over a line break or a hyphen.
func (s *placer) overDash(i int) int {
	i = s.skipBreak(i)
	if c, _ := s.at(i); c == classDash && i < len(s.tokens) {
		return i + 1
	}
	return i
}

// digitGroup reads one group of digits of a code: a digit token, or words such
// as "thirty two", "two twenty", "sixty five", "oh", "double five". It returns
// the digits and the token behind, "" where there are none. A unit word that
// opens the next number ("ninety | six hundred") is left alone.
func (s *placer) digitGroup(i int) (string, int) {
	i = s.skipBreak(i)
	if i >= len(s.tokens) {
		return "", 0
	}
	t := s.tokens[i]
	if t.Kind == TokenNumber {
		w := s.text[t.Start:t.End]
		if !isDigits(w) {
			return "", 0
		}
		return string(w), i + 1
	}
	if t.Kind != TokenWord {
		return "", 0
	}
	if n, _ := s.at(s.skipBreak(i + 1)); n == classHundred || n == classScale || n == classPoint {
		return "", 0 // "one hundred volts"
	}
	switch c, v := s.at(i); c {
	case classDigitWord:
		return strconv.Itoa(int(v)), i + 1
	case classTeen:
		return strconv.Itoa(int(v)), i + 1
	case classTens:
		j := s.joint(i + 1)
		if d, u := s.at(j); d == classDigitWord && u > 0 {
			if e, _ := s.at(s.skipBreak(j + 1)); e != classHundred && e != classScale {
				return strconv.Itoa(int(v + u)), j + 1
			}
		}
		return strconv.Itoa(int(v)), i + 1
	case classRepeat:
		j := s.skipBreak(i + 1)
		if d, u := s.at(j); d == classDigitWord {
			return strings.Repeat(strconv.Itoa(int(u)), int(v)), j + 1
		}
		if j < len(s.tokens) && s.tokens[j].Kind == TokenNumber {
			if w := s.text[s.tokens[j].Start:s.tokens[j].End]; len(w) == 1 && isDigits(w) {
				return strings.Repeat(string(w), int(v)), j + 1
			}
		}
	}
	return "", 0
}

func isDigits(w []byte) bool {
	for _, b := range w {
		if b < '0' || b > '9' {
			return false
		}
	}
	return len(w) > 0
}

// partCode is a part number as read.
type partCode struct {
	text     string
	end      int
	letters  int
	digits   int
	doubtful bool // read through words that stand for letters
	guessed  bool // read through words that sound like digits
}

// part reads a part number at token i and gives it to the part told of.
func (s *placer) part(i int) int {
	if !s.partsTold() {
		return s.codeOnly(i)
	}
	code, ok := s.readCode(i)
	if !ok {
		return i
	}
	s.claim(i, code.end, NotCode)
	s.see(part.Code, i, code.end).text = code.text
	s.saidCode(i, &code)
	s.cueEnd, s.codeEnd = code.end, code.end
	return code.end
}

// codeOnly marks the digits of a code outside the teardown, such as a model
// name, as no quantity.
func (s *placer) codeOnly(i int) int {
	t := s.tokens[i]
	w := s.text[t.Start:t.End]
	if len(w) > 4 || !allCaps(w) || len(w) < 2 || w[len(w)-1] <= '9' {
		return i
	}
	k := i + 1
	if k < len(s.tokens) && s.tokens[k].Kind == TokenNumber && !s.unitAt(k+1) && isDigits(s.text[s.tokens[k].Start:s.tokens[k].End]) {
		s.claim(i, k+1, NotCode)
		return k + 1
	}
	return i
}

// markingCode reads a marking that begins with digits at token i, a letter and
// three digits or more behind: "14 D 471". It returns the token behind, i where
// there is none.
func (s *placer) markingCode(i int) int {
	if !s.partsTold() || s.tokens[i].Kind != TokenNumber || s.tokens[i].End-s.tokens[i].Start > 2 || s.unitAt(i+1) {
		return i
	}
	code := append([]byte(nil), s.text[s.tokens[i].Start:s.tokens[i].End]...)
	k := s.skipBreak(i + 1)
	if !isDigits(code) || k >= len(s.tokens) || s.tokens[k].Kind != TokenWord || !isUpper(s.text[s.tokens[k].Start]) {
		return i
	}
	w := s.text[s.tokens[k].Start:s.tokens[k].End]
	end := k + 1
	switch {
	case len(w) >= 4 && isDigits(w[1:]): // "10D561"
		code = append(code, w...)
	case len(w) == 1:
		digits, after := s.digitGroup(k + 1)
		if len(digits) < 3 || s.unitAt(after) {
			return i
		}
		code, end = append(append(code, w[0]), digits...), after
	default:
		return i
	}
	s.claim(i, end, NotCode)
	s.see(part.Code, i, end).text = string(code)
	s.said(schema.TermPart, i, end, string(code), GroundSaid)
	s.cueEnd, s.codeEnd = end, end
	return end
}

// readCode reads letters and digits read out: "KX 36 oh 5", "T V 65 165 D",
// "d q sixty five are one ninety", "see Z 1870", "TV10052".
func (s *placer) readCode(i int) (partCode, bool) {
	var b [24]byte
	code := partCode{}
	out := b[:0]
	k := i
	words, sounded := 0, 0
	// letters
	for k < len(s.tokens) && words < 5 {
		k0 := s.skipBreak(k)
		if k > i && k0 != k && words == 0 {
			break
		}
		l, n, heard := s.codeLetters(k0, words > 0)
		if n == 0 {
			break
		}
		if heard {
			sounded++
		}
		out = append(out, l...)
		words++
		k = k0 + n
		if hasDigit(l) {
			break
		}
		if len(out) > 6 {
			return code, false
		}
	}
	if words == 0 || sounded == words && words < 2 {
		return code, false
	}
	lower := s.lowerLetters(i, k)
	for _, c := range out {
		if c >= '0' && c <= '9' {
			code.digits++
		} else {
			code.letters++
		}
	}
	// digits, letters between them and behind
	for len(out) < 18 {
		at := s.skipBreak(k)
		joint, behind := s.codeJoint(at)
		if joint == 0 && at < len(s.tokens) && s.tokens[at].Kind == TokenSign {
			break
		}
		at = behind
		digits, end := s.digitGroup(at)
		if digits == "" && joint == 0 {
			if digits, end = s.soundDigit(at); digits != "" {
				sounded++
				code.guessed = true
			}
		}
		if digits != "" {
			if u, ok := s.unit(end); ok && u.Manner != MannerHeard && !s.shortWordUnit(&u, end) && !s.suffixUnit(&u, end, code.digits, len(digits)) && !s.innerLetter(&u, end) {
				break
			}
			if joint != 0 {
				out = append(out, joint)
			}
			out = append(out, digits...)
			code.digits += len(digits)
			k = end
			continue
		}
		if code.digits == 0 {
			break
		}
		l, n, heard := s.codeLetters(at, true)
		if n == 0 || len(l) > 3 || heard && !s.digitsFollow(at+n) || joint != 0 && !isUpper(s.text[s.tokens[at].Start]) && !lower {
			break
		}
		if !heard && len(l) > 1 && !s.digitsFollow(at+n) && !s.ends(at+n) {
			if c, _ := s.at(s.skipBreak(at + n)); c != classComma {
				break
			}
		}
		if lower && joint == 0 && !isUpper(s.text[s.tokens[at].Start]) && !s.digitsFollow(at+n) {
			break // a lone lower-case letter behind digits opens the next word
		}
		if heard {
			sounded++
		}
		if joint != 0 {
			out = append(out, joint)
		}
		out = append(out, l...)
		code.letters += len(l)
		k = at + n
	}
	code.end = k
	code.text = string(out)
	code.doubtful = sounded > 0 || lower && s.tokens[i].End-s.tokens[i].Start > 1
	min := 2
	if code.letters < 2 || sounded == words {
		min = 3
	}
	if code.letters == 0 || code.digits < min {
		return code, false
	}
	return code, true
}

// codeJoint reads a dash or slash inside a code at token i, a sign between its
// letters and digits or a word: "KX 3605 dash 2". It returns it, 0 for none, and
// the token behind.
func (s *placer) codeJoint(i int) (byte, int) {
	if i >= len(s.tokens) {
		return 0, i
	}
	c, _ := s.at(i)
	switch t := s.tokens[i]; {
	case t.Kind == TokenSign && t.Glued && i+1 < len(s.tokens) && s.tokens[i+1].Glued && c == classDash:
		return '-', i + 1
	case t.Kind == TokenSign && t.Glued && i+1 < len(s.tokens) && s.tokens[i+1].Glued && c == classSlash:
		return '/', i + 1
	case s.guarded(i, guardCodeDash):
		return '-', s.skipBreak(i + 1)
	case s.guarded(i, guardCodeSlash):
		return '/', s.skipBreak(i + 1)
	}
	return 0, i
}

func hasDigit(b []byte) bool {
	return slices.ContainsFunc(b, func(c byte) bool { return c >= '0' && c <= '9' })
}

// suffixUnit decides that a lone letter behind digits closes the code though
// it is a unit symbol: "PR 90 15 W," but not "CV 3090 30 V".
func (s *placer) suffixUnit(u *UnitWords, end, before, digits int) bool {
	long := before == 0 && digits >= 4 && !electrical(u.Unit) // "KX 7133 G"
	return (before > 0 && before <= 3 || long) && int(u.End) == end+1 && !s.tokens[end].Glued && s.tokens[end].End-s.tokens[end].Start == 1 && isUpper(s.text[s.tokens[end].Start])
}

// innerLetter decides that a lone letter between digits is one of the code's
// though it is a unit symbol: "W 30 N 32", the second digits being without a
// unit. Units of the ratings of parts stay units: "CV 30 V 2".
func (s *placer) innerLetter(u *UnitWords, end int) bool {
	end = s.skipBreak(end)
	if electrical(u.Unit) || int(u.End) != end+1 || s.tokens[end].Glued || s.tokens[end].End-s.tokens[end].Start != 1 {
		return false
	}
	digits, after := s.digitGroup(end + 1)
	return digits != "" && !s.unitAt(after)
}

// shortWordUnit reports whether the unit at token end is a short form that is
// a word of its own in a sentence: "T J 14 in SOT-23".
func (s *placer) shortWordUnit(u *UnitWords, end int) bool {
	end = s.skipBreak(end)
	return u.Manner == MannerShort && int(u.End) == end+1 && !s.tokens[end].Glued && !isUpper(s.text[s.tokens[end].Start])
}

// soundDigit reads a word that sounds like one digit inside a code, the next
// digits right behind it: "T S 40 for 4", "Q L ate oh nine". A number with a unit
// there is none of the code's: "K X 33 to 12 volts".
func (s *placer) soundDigit(i int) (string, int) {
	if i >= len(s.tokens) || s.tokens[i].Kind != TokenWord {
		return "", 0
	}
	v := s.numberSound(i)
	if !v.OK || v.Value > 9 || !v.Exact {
		return "", 0
	}
	next, end := s.digitGroup(i + 1)
	if next == "" {
		return "", 0
	}
	if u, ok := s.unit(end); ok && u.Manner != MannerHeard && !s.shortWordUnit(&u, end) {
		return "", 0
	}
	return strconv.Itoa(v.Value), i + 1
}

// digitsFollow reports whether a group of digits stands at token i.
func (s *placer) digitsFollow(i int) bool {
	d, _ := s.digitGroup(i)
	return d != ""
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
	if v, m := s.c.phrases.match(s.tokens, i); m > 0 {
		for _, e := range s.c.cues[v] {
			if (e.kind == effectPackage || e.kind == effectProtocol && s.section != SectionTeardown || e.kind == effectPart && s.c.parts[e.n].strong) && (m > 1 || len(w) > 1) {
				return nil, 0, false
			}
		}
	}
	switch {
	case len(w) == 1:
		if w[0] >= '0' && w[0] <= '9' {
			return nil, 0, false
		}
		if !inside && !isUpper(w[0]) && (w[0] == 'a' || !s.letter(s.skipBreak(i+1)) && !s.soundsLetter(s.skipBreak(i+1)) && !s.shortWord(s.skipBreak(i+1))) {
			return nil, 0, false
		}
		if isUpper(w[0]) {
			return w, 1, false
		}
		return []byte{w[0] &^ 0x20}, 1, false
	case len(w) <= 10 && allCaps(w) && (len(w) <= 4 || hasDigit(w)):
		return w, 1, false
	}
	if int(t.Word) < len(s.c.letter) && s.c.letter[t.Word] != 0 {
		if !inside {
			// a word for a letter opens a code only before another letter
			j := s.skipBreak(i + 1)
			if j >= len(s.tokens) || s.tokens[j].Kind != TokenWord {
				return nil, 0, false
			}
			v := s.text[s.tokens[j].Start:s.tokens[j].End]
			if len(v) == 2 && allCaps(v) && s.c.letterManner[t.Word] == letterWord && s.digitsFollow(s.skipBreak(j+1)) {
				return nil, 0, false // "the chips are PH 3650"
			}
			if !(len(v) <= 2 && allCaps(v)) && !s.soundsLetter(j) && !(len(v) == 1 && (s.c.letterManner[t.Word] == letterName || !s.cased && (s.letter(s.skipBreak(j+1)) || s.codeNext(i, j)))) {
				return nil, 0, false
			}
		}
		return []byte{s.c.letter[t.Word]}, 1, true
	}
	if !inside && t.Word == 0 && len(w) <= 3 && s.digitsFollow(s.skipBreak(i+1)) && !isUpper(w[0]) && s.partsTold() {
		up := []byte(strings.ToUpper(string(w)))
		return up, 1, false
	}
	return nil, 0, false
}

// codeNext reports whether the word for a letter at token i, with a letter at j
// behind it, opens a part number: words that announce one stand before, and
// several digits follow. "it's marked are f six five two".
func (s *placer) codeNext(i, j int) bool {
	if !s.partsTold() || !s.guarded(s.backOne(i), guardCodeBefore) && !s.makerEnds(i) {
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
	return i < len(s.tokens) && s.tokens[i].Kind == TokenWord && int(s.tokens[i].Word) < len(s.c.letter) && s.c.letter[s.tokens[i].Word] != 0
}

// shortWord reports whether two or three unknown letters stand at token i.
func (s *placer) shortWord(i int) bool {
	return i < len(s.tokens) && s.tokens[i].Kind == TokenWord && s.tokens[i].Word == 0 && s.tokens[i].End-s.tokens[i].Start <= 2
}

// saidCode notes a part number over the tokens from i.
func (s *placer) saidCode(i int, code *partCode) {
	ground := GroundSaid
	if code.doubtful {
		ground = GroundLetterWords
	}
	s.said(schema.TermPart, i, code.end, code.text, ground)
	s.d.Terms[len(s.d.Terms)-1].guessed = code.guessed
}
