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

// markingCode reads a marking that begins with digits at token i, a letter and
// three digits or more behind, and perhaps the letter of a tolerance: "14 D
// 471", "14D561K". It returns the token behind, i where there is none.
func (s *placer) markingCode(i int) int {
	if !s.ofParts() || s.tokens[i].Kind != TokenNumber || s.tokens[i].End-s.tokens[i].Start > 2 {
		return i
	}
	if end := s.writtenMarking(i); end > i {
		return end
	}
	code := append([]byte(nil), s.text[s.tokens[i].Start:s.tokens[i].End]...)
	k := s.skipBreak(i + 1)
	if !isDigits(code) || k >= len(s.tokens) || s.tokens[k].Kind != TokenWord {
		return i
	}
	w := s.text[s.tokens[k].Start:s.tokens[k].End]
	digits, end := string(w[1:]), k+1
	if len(w) == 1 {
		digits, end = s.digitGroup(k + 1)
	}
	digits, tolerance, end := s.tolerance(digits, end)
	switch {
	case len(digits) < 3 || !isDigits([]byte(digits)):
		return i
	case tolerance != 0 && (!s.unitAt(i+1) || s.guarded(k, guardDisc)):
		// letters as captions write them, small ones too
	case !isUpper(w[0]) || s.unitAt(i+1) || len(w) == 1 && s.unitAt(end):
		return i
	}
	code = append(append(code, upper(w[0])), digits...)
	if tolerance != 0 {
		code = append(code, upper(tolerance))
	}
	s.claim(i, end, NotCode)
	return s.seeMarking(i, end, string(code))
}

// seeMarking notes the marking of the part spoken of, tokens [i, end), and returns
// end.
func (s *placer) seeMarking(i, end int, code string) int {
	s.see(part.Code, i, end).text = code
	s.said(schema.TermPart, i, end, code, GroundSaid)
	s.cueEnd, s.codeEnd = end, end
	return end
}

// tolerance takes the letter of a tolerance off the digits of a marking, or from
// token end behind them; 0 where there is none.
func (s *placer) tolerance(digits string, end int) (string, byte, int) {
	if n := len(digits) - 1; n > 0 && s.toleranceLetter(digits[n:]) {
		return digits[:n], digits[n], end
	}
	if digits == "" || end >= len(s.tokens) || s.tokens[end].Kind != TokenWord {
		return digits, 0, end
	}
	t := s.tokens[end]
	if !s.toleranceLetter(string(s.text[t.Start:t.End])) || !t.Glued && len(digits) != 3 {
		return digits, 0, end
	}
	return digits, s.text[t.Start], end + 1
}

// writtenMarking reads a marking written in one word at token i: two digits at the
// most, a capital that is no unit of this trade, a dash or two digits and more, and
// perhaps capitals: "20N65K", "5D-9". It returns the token behind, i where there is
// none.
func (s *placer) writtenMarking(i int) int {
	k := i + 1
	if !isDigits(s.text[s.tokens[i].Start:s.tokens[i].End]) || !s.capital(k, 1) {
		return i
	}
	if u, ok := s.unit(k); ok && u.Unit.Kind() != schema.KindForce {
		return i
	}
	k++
	least := 2
	if c, _ := s.at(k); k < len(s.tokens) && s.tokens[k].Glued && c == classDash {
		least, k = 1, k+1
	}
	if k >= len(s.tokens) || !s.tokens[k].Glued || s.tokens[k].Kind != TokenNumber {
		return i
	}
	if w := s.text[s.tokens[k].Start:s.tokens[k].End]; len(w) < least || len(w) > codeTail || !isDigits(w) {
		return i
	}
	k++
	if s.capital(k, codeTail) {
		k++
	}
	if k < len(s.tokens) && s.tokens[k].Glued && s.tokens[k].Kind != TokenSign {
		return i
	}
	code := string(s.text[s.tokens[i].Start:s.tokens[k-1].End])
	s.claim(i, k, NotCode)
	for n := s.next - 1; n >= 0 && int(s.d.Mentions[n].First) >= i; n-- { // its letters are no units
		if m := &s.d.Mentions[n]; int(m.First) < k {
			m.Unit, m.From = UnitWords{}, UnitNone
		}
	}
	return s.seeMarking(i, k, code)
}

// capital reports whether token k is a word of so many capitals at the most, written
// together with what is before it.
func (s *placer) capital(k, most int) bool {
	if k >= len(s.tokens) || !s.tokens[k].Glued || s.tokens[k].Kind != TokenWord {
		return false
	}
	w := s.text[s.tokens[k].Start:s.tokens[k].End]
	return len(w) <= most && !slices.ContainsFunc(w, func(c byte) bool { return !isUpper(c) })
}

// toleranceLetter reports whether the word is the letter of a tolerance.
func (s *placer) toleranceLetter(w string) bool {
	return len(w) == 1 && strings.IndexByte(s.x.tolerances, upper(w[0])) >= 0
}

func upper(b byte) byte {
	if b >= 'a' && b <= 'z' {
		b -= 'a' - 'A'
	}
	return b
}

// readCode reads letters and digits read out: "KX 36 oh 5", "T V 65 165 D",
// "d q sixty five are one ninety", "see Z 1870", "TV10052".
func (s *placer) readCode(i int) (partCode, bool) {
	r := codeReader{placer: s, first: i, at: i}
	if !r.head() {
		return r.code, false
	}
	for len(r.out) < codeMost && r.more() {
	}
	code := &r.code
	code.end = r.at
	code.text = string(r.out)
	first := s.text[s.tokens[i].Start:s.tokens[i].End]
	code.doubtful = r.sounded > 0 || r.lower && len(first) > 1 && !hasDigit(first)
	least := 2
	if code.letters < 2 || r.sounded == r.words {
		least = 3
	}
	return *code, code.letters > 0 && code.digits >= least
}

// How long the parts of a code are at the most: the words of its head, their
// letters, the letters behind digits, and the whole.
const (
	codeHeadWords   = 5
	codeHeadLetters = 6
	codeTail        = 3
	codeMost        = 18
)

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
	for r.at < len(r.tokens) && r.words < codeHeadWords {
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
		if len(r.out) > codeHeadLetters {
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
	if !ok || u.Manner == MannerHeard || r.shortWordUnit(&u, end) {
		return false
	}
	return !r.suffixUnit(&u, end, r.code.digits, digits) && !r.innerLetter(&u, end)
}

// letters reads letters behind digits.
func (r *codeReader) letters(at int, joint byte) bool {
	l, n, heard := r.codeLetters(at, true)
	if n == 0 || len(l) > codeTail {
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

func hasDigit(b []byte) bool {
	return slices.ContainsFunc(b, func(c byte) bool { return c >= '0' && c <= '9' })
}

// suffixUnit decides that a lone letter behind digits closes the code though
// it is a unit symbol: "PR 90 15 W," but not "CV 3090 30 V".
func (s *placer) suffixUnit(u *UnitWords, end, before, digits int) bool {
	long := before == 0 && digits >= 3 && !electrical(u.Unit) // "KX 7133 G", "GX 310 S"
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
	case len(w) <= 10 && allCaps(w) && (len(w) <= codeWord || hasDigit(w)):
		return w, 1, false
	}
	if !inside && t.Word == 0 && lowerCode(w) {
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
	return len(w) <= 3 && !isUpper(w[0]) && (s.tokens[i].Word == 0 || s.lettersAlone(i, w)) &&
		s.digitsFollow(s.skipBreak(i+1))
}

// lettersAlone reports whether the short word at token i can be nothing but letters
// read out, though a table has it: it has no vowel, and is no unit.
func (s *placer) lettersAlone(i int, w []byte) bool {
	c, _ := s.at(i)
	_, unit := s.unit(i)
	return len(w) > 1 && c == classNone && !unit && !bytes.ContainsAny(w, "aeiouy")
}

// How much of a word in lower case makes it a part number: "mdb610", "av335".
const (
	lowerCodeLeast  = 5
	lowerCodeDigits = 2
)

// lowerCode reports whether a word is a part number written in lower case: letters
// first, digits among them, and nothing else.
func lowerCode(w []byte) bool {
	digits := 0
	for _, c := range w {
		switch {
		case c >= '0' && c <= '9':
			digits++
		case c < 'a' || c > 'z':
			return false
		}
	}
	return len(w) >= lowerCodeLeast && len(w) <= codeMost && digits >= lowerCodeDigits && (w[0] < '0' || w[0] > '9')
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

// saidCode notes a part number over the tokens from i.
func (s *placer) saidCode(i int, code *partCode) {
	ground := GroundSaid
	if code.doubtful {
		ground = GroundLetterWords
	}
	s.said(schema.TermPart, i, code.end, code.text, ground)
	s.d.Terms[len(s.d.Terms)-1].guessed = code.guessed
}
