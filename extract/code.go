package extract

import (
	"slices"

	"saywatt/extract/part"
	"saywatt/schema"
)

// partCode is a part number as read.
type partCode struct {
	text     string
	end      int
	letters  int
	digits   int
	doubtful bool // read through words that stand for letters
	guessed  bool // read through words that sound like digits
}

// part reads a part number at token i and gives it to the part spoken of.
func (s *placer) part(i int) int {
	if !s.ofParts() {
		return s.codeOnly(i)
	}
	code, ok := s.readCode(i)
	if !ok {
		return i
	}
	s.claim(i, code.end, NotCode)
	s.noLetterUnits(i, code.end)
	s.see(part.Code, i, code.end).text = code.text
	s.saidCode(i, &code)
	s.cueEnd, s.codeEnd = code.end, code.end
	return code.end
}

// noLetterUnits takes the units away of numbers in the code at tokens [i, end) where a
// letter of it was taken for one and digits of the code follow: "MK 30 N 03" is no 30 N.
// A unit that ends the code stays, and is weighed: "RD20 5 V".
func (s *placer) noLetterUnits(i, end int) {
	numbers := s.codeNumbers(i, end)
	for k := range numbers {
		m := &numbers[k]
		at := int(m.Last) - 1 // the unit, or digits that the number has behind it: 30 N 03
		if s.tokens[at].Kind == TokenNumber {
			at--
		}
		if m.Not == NotCode && m.HasUnit() && at > int(m.First) && at+1 < end && s.tokens[at+1].Kind == TokenNumber &&
			s.tokens[at].End-s.tokens[at].Start == 1 {
			m.Unit, m.From = UnitWords{}, UnitNone
		}
	}
}

// codeNumbers are the mentions that begin in tokens [i, end).
func (s *placer) codeNumbers(i, end int) []Mention {
	from := func(i int) int {
		k, _ := slices.BinarySearchFunc(s.d.Mentions, i, func(m Mention, i int) int { return int(m.First) - i })
		return k
	}
	return s.d.Mentions[from(i):from(end)]
}

// codeOnly marks the digits of a code outside the teardown, such as a model
// name, as no quantity.
func (s *placer) codeOnly(i int) int {
	t := s.tokens[i]
	w := s.text[t.Start:t.End]
	if len(w) > s.x.length.codeWord || !allCaps(w) || len(w) < 2 || w[len(w)-1] <= '9' {
		return i
	}
	k := i + 1
	if k < len(s.tokens) && s.tokens[k].Kind == TokenNumber && !s.unitAt(k+1) &&
		isDigits(s.text[s.tokens[k].Start:s.tokens[k].End]) && !s.rangeOfUnit(k) {
		s.claim(i, k+1, NotCode)
		return k + 1
	}
	return i
}

// rangeOfUnit reports whether a range with a unit behind it begins at token k: the
// digits of "DC 9-24V" are no code.
func (s *placer) rangeOfUnit(k int) bool {
	for n := max(0, s.next-2); n < len(s.d.Mentions) && int(s.d.Mentions[n].First) <= k; n++ {
		if m := &s.d.Mentions[n]; int(m.First) == k {
			return m.Range && m.From == UnitOwn
		}
	}
	return false
}

// readCode reads letters and digits read out: "KX 36 oh 5", "T V 65 165 D",
// "d q sixty five are one ninety", "see Z 1870", "TV10052".
func (s *placer) readCode(i int) (partCode, bool) {
	r := codeReader{placer: s, first: i, at: i}
	if !r.head() {
		return r.code, false
	}
	for len(r.out) < r.x.length.codeMost && r.more() {
	}
	code := &r.code
	code.end = r.at
	code.text = string(r.out)
	first := s.text[s.tokens[i].Start:s.tokens[i].End]
	code.doubtful = r.sounded > 0 || r.lower && len(first) > 1 && !hasDigit(first)
	least := r.x.length.codeDigits
	if code.letters < 2 || r.sounded == r.words {
		least = r.x.length.codeDigitsDoubtful
	}
	return *code, code.letters > 0 && code.digits >= least
}

// codeReader reads one code.
type codeReader struct {
	*placer
	first, at int    // tokens: the first, and the one to read next
	out       []byte // what is read
	words     int    // of the head
	sounded   int    // words that stand for letters or sound like digits
	lower     bool   // the head is in lower case
	code      partCode
}

// head reads the letters that a code opens with, digits among them or not, and
// reports whether they are a head.
func (r *codeReader) head() bool {
	for r.at < len(r.tokens) && r.words < r.x.length.codeHeadWords {
		at := r.skipBreak(r.at)
		if r.at > r.first && at != r.at && r.words == 0 {
			break
		}
		l, n, heard := r.codeLetters(at, r.words > 0)
		if n == 0 {
			break
		}
		if heard {
			r.sounded++
		}
		r.out = append(r.out, l...)
		r.words++
		r.at = at + n
		if hasDigit(l) {
			break
		}
		if len(r.out) > r.x.length.codeHeadLetters {
			return false
		}
	}
	if r.words == 0 || r.sounded == r.words && r.words < 2 {
		return false
	}
	r.lower = r.lowerLetters(r.first, r.at)
	for _, c := range r.out {
		if c >= '0' && c <= '9' {
			r.code.digits++
		} else {
			r.code.letters++
		}
	}
	return true
}

// more reads digits, or letters between them and behind. It reports whether there
// were some.
func (r *codeReader) more() bool {
	at := r.skipBreak(r.at)
	joint, behind := r.codeJoint(at)
	if joint == 0 && at < len(r.tokens) && r.tokens[at].Kind == TokenSign {
		return false
	}
	digits, end := r.digitGroup(behind)
	if digits == "" && joint == 0 {
		if digits, end = r.soundDigit(behind); digits != "" {
			r.sounded++
			r.code.guessed = true
		}
	}
	if digits == "" {
		return r.code.digits > 0 && r.letters(behind, joint)
	}
	if r.isQuantity(end, len(digits)) {
		return false
	}
	r.add(joint, digits)
	r.code.digits += len(digits)
	r.at = end
	return true
}

// isQuantity reports whether so many digits with a unit at token end are a number
// of their own.
func (r *codeReader) isQuantity(end, digits int) bool {
	u, ok := r.unit(end)
	if !ok || u.Manner == MannerHeard && !r.x.bound.often(u.Count) || r.shortWordUnit(&u, end) {
		return false
	}
	return !r.suffixUnit(&u, end, r.code.digits, digits) && !r.innerLetter(&u, end)
}

// letters reads letters behind digits.
func (r *codeReader) letters(at int, joint byte) bool {
	l, n, heard := r.codeLetters(at, true)
	if n == 0 || len(l) > r.x.length.codeTail {
		return false
	}
	upper := isUpper(r.text[r.tokens[at].Start])
	goesOn := r.digitsFollow(at + n)
	switch {
	case heard && !goesOn, joint != 0 && !upper && !r.lower:
		return false
	case !heard && len(l) > 1 && !goesOn && !r.ends(at+n):
		if c, _ := r.placer.at(r.skipBreak(at + n)); c != classComma {
			return false
		}
	}
	if r.lower && joint == 0 && !upper && !goesOn {
		return false // a lone lower-case letter behind digits opens the next word
	}
	if heard {
		r.sounded++
	}
	r.add(joint, string(l))
	r.code.letters += len(l)
	r.at = at + n
	return true
}

// add writes a piece behind its joint, 0 none.
func (r *codeReader) add(joint byte, piece string) {
	if joint != 0 {
		r.out = append(r.out, joint)
	}
	r.out = append(r.out, piece...)
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

// suffixUnit decides that a lone letter behind digits closes the code though
// it is a unit symbol: "PR 90 15 W," but not "CV 3090 30 V".
func (s *placer) suffixUnit(u *UnitWords, end, before, digits int) bool {
	long := before == 0 && digits >= s.x.length.codeQuantity && !electrical(u.Unit) // "KX 7133 G", "GX 310 S"
	return (before > 0 && before <= 3 || long) && int(u.End) == end+1 && !s.tokens[end].Glued &&
		s.tokens[end].End-s.tokens[end].Start == 1 && isUpper(s.text[s.tokens[end].Start])
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
	return u.Manner == MannerShort && int(u.End) == end+1 && !s.tokens[end].Glued &&
		!isUpper(s.text[s.tokens[end].Start])
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
