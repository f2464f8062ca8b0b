package extract

import (
	"slices"
	"strconv"
	"strings"
)

// packageShape says what stands behind the head of a package code.
type packageShape uint8

const (
	packageNone   packageShape = iota // nothing: DPAK, GBU
	packagePins                       // a pin count: QFN32, TSSOP-16
	packageSize                       // body sides: DFN5x6
	packageEither                     // a count or sides
	packageName                       // digits of the name: TO-220, SOT-23-6
)

var packageShapeNames = [...]string{"none", "pins", "size", "either", "name"}

// packageCue reads a package whose head is tokens [i, end): the code in its
// standard spelling goes to the part told of.
func (s *placer) packageCue(i, end int, f *packageForm) int {
	if s.subject < 0 || s.section != SectionTeardown && s.section != SectionBattery && s.section != SectionCable {
		if f.manner == MannerHeard || f.shape == packageNone {
			return i
		}
	}
	code := f.family
	switch f.shape {
	case packageNone:
		if s.subject < 0 || s.sentenceStart(i) && f.manner == MannerHeard {
			return i
		}
	case packageName:
		digits, after := s.packageName(end, f)
		if digits == "" {
			return i
		}
		code, end = f.family+f.joint+digits, after
	default:
		text, after := s.packageNumber(end, f)
		if text == "" {
			if f.manner == MannerHeard {
				return i
			}
			s.claim(i, end, NotCode)
			return end
		}
		code, end = text, after
	}
	s.claim(i, end, NotCode)
	if s.subject >= 0 {
		if sub := &s.d.Subjects[s.subject]; sub.Package == "" {
			sub.Package = code
		}
	}
	return end
}

// gluedPackage reads a package written in one word: "DFN5x6", "SOT23",
// "QFN32".
func (s *placer) gluedPackage(i int) int {
	t := s.tokens[i]
	w := s.text[t.Start:t.End]
	n := 0
	for n < len(w) && (w[n] < '0' || w[n] > '9') {
		n++
	}
	if n < 2 || n == len(w) || n > 6 {
		return i
	}
	head := s.x.find(w[:n], hash(w[:n]))
	if head == 0 {
		return i
	}
	v, m := s.c.phrases.match([]Token{{Word: head, Kind: TokenWord}}, 0)
	if m != 1 {
		return i
	}
	for _, e := range s.c.cues[v] {
		if e.kind != effectPackage {
			continue
		}
		f := &s.c.packages[e.n]
		if f.manner == MannerHeard {
			continue
		}
		code, end := gluedCode(string(w[n:]), f), i+1
		if f.shape == packageName { // "SOT23-6"
			k := s.overDash(i + 1)
			if pins, after := s.digitGroup(k); k == i+2 && pins != "" && slices.Contains(f.values, string(w[n:])+"-"+pins) {
				code, end = f.family+f.joint+string(w[n:])+"-"+pins, after
			}
		}
		if code == "" {
			continue
		}
		s.claim(i, end, NotCode)
		if s.subject >= 0 && s.d.Subjects[s.subject].Package == "" {
			s.d.Subjects[s.subject].Package = code
		}
		s.cueEnd = end
		return end
	}
	return i
}

// gluedCode is the standard spelling of digits glued to the head of a
// package, "" where the package has no such.
func gluedCode(rest string, f *packageForm) string {
	a, b, sides := strings.Cut(strings.ToLower(rest), "x")
	switch {
	case sides && (f.shape == packageSize || f.shape == packageEither) && isDigits([]byte(a)) && isDigits([]byte(b)):
		return f.family + a + "x" + b
	case !sides && slices.Contains(f.values, rest) && f.shape != packageSize:
		return f.family + f.joint + rest
	}
	return ""
}

// packageName reads digits that belong to a package's name: "23 6", "220",
// "two twenty", "twenty three six". Only names of the table count, the longest
// first.
func (s *placer) packageName(i int, f *packageForm) (string, int) {
	best, bestEnd := "", 0
	digits, parts := "", 0
	for k := s.overDash(i); parts < 3; {
		text, after := s.digitGroup(k)
		if text == "" {
			break
		}
		if parts > 0 && len(digits) >= 2 && slices.Contains(f.values, digits+"-"+text) {
			best, bestEnd = digits+"-"+text, after
			break
		}
		digits += text
		parts++
		if slices.Contains(f.values, digits) {
			best, bestEnd = digits, after
		} else if len(digits) == 3 && digits[0] == '2' && slices.Contains(f.values, digits[:2]+"-"+digits[2:]) {
			best, bestEnd = digits[:2]+"-"+digits[2:], after // "SOT 236"
		}
		k = s.overDash(after)
	}
	if best == "" {
		return "", 0
	}
	if u, ok := s.unit(bestEnd); ok && u.Manner != MannerHeard {
		return "", 0 // "100 to 220 volts"
	}
	if f.family == "TO" && f.manner == MannerHeard {
		if s.subject < 0 || i < 2 || s.tokens[s.backOne(i-1)].Kind == TokenNumber {
			return "", 0
		}
	}
	return best, bestEnd
}

// packageNumber reads a pin count or body sides behind the head.
func (s *placer) packageNumber(i int, f *packageForm) (string, int) {
	k := s.overDash(i)
	first, after := s.digitGroup(k)
	if first == "" && f.shape != packagePins {
		first, after = s.bodySide(k) // "3.3 by 3.3"
		if c, _ := s.at(s.skipBreak(after)); c != classBy {
			first = ""
		}
	}
	if first == "" {
		return "", 0
	}
	if f.shape != packagePins {
		// "5 by 6", "5 X 6", "three by three", "5 6", "56", "5x6"
		j := s.skipBreak(after)
		if c, _ := s.at(j); c == classBy || c == classSlash {
			if second, to := s.bodySide(j + 1); second != "" {
				return f.family + s.decimalSide(first, after-1) + "x" + second, to
			}
		}
		if j < len(s.tokens) && s.tokens[j].Glued && s.tokens[j].Kind == TokenWord { // "5x6" scans as 5, x, 6 or 5, x6
			w := s.text[s.tokens[j].Start:s.tokens[j].End]
			if len(w) >= 2 && (w[0] == 'x' || w[0] == 'X') && isDigits(w[1:]) {
				return f.family + first + "x" + string(w[1:]), j + 1
			}
		}
		if len(first) == 1 && first > "1" {
			if second, to := s.digitGroup(j); len(second) == 1 && second >= first && !s.unitAt(to) {
				return f.family + first + "x" + second, to
			}
		}
		if len(first) == 2 && first[0] >= '2' && first[1] >= first[0] && !slices.Contains(f.values, first) && first[1] <= '8' {
			return f.family + first[:1] + "x" + first[1:], after
		}
	}
	if f.shape != packageSize && slices.Contains(f.values, first) {
		if s.unitAt(after) {
			return "", 0
		}
		return f.family + f.joint + first, after
	}
	return "", 0
}

// bodySide reads one body side: "6", "six", "3.3".
func (s *placer) bodySide(k int) (string, int) {
	k = s.skipBreak(k)
	if k < len(s.tokens) && s.tokens[k].Kind == TokenNumber {
		w := s.text[s.tokens[k].Start:s.tokens[k].End]
		if len(w) <= 4 {
			return string(w), k + 1
		}
	}
	return s.digitGroup(k)
}

// decimalSide returns the digits, or the whole token where it has a point.
func (s *placer) decimalSide(digits string, token int) string {
	if token >= 0 && s.tokens[token].Kind == TokenNumber {
		return string(s.text[s.tokens[token].Start:s.tokens[token].End])
	}
	return digits
}

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
}

// part reads a part number at token i and gives it to the part told of.
func (s *placer) part(i int) int {
	if s.section != SectionTeardown && s.section != SectionBattery && s.subject < 0 {
		return s.codeOnly(i)
	}
	code, ok := s.readCode(i)
	if !ok {
		return i
	}
	s.claim(i, code.end, NotCode)
	s.nameCode(i, &code)
	s.cueEnd = code.end
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
		if c, _ := s.at(at); c == classDash && at < len(s.tokens) && s.tokens[at].Glued {
			at++
		} else if at < len(s.tokens) && s.tokens[at].Kind == TokenSign {
			break
		}
		if digits, end := s.digitGroup(at); digits != "" {
			if u, ok := s.unit(end); ok && u.Manner != MannerHeard && !s.shortWordUnit(&u, end) && !s.suffixUnit(&u, end, code.digits) {
				break
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
		if n == 0 || len(l) > 3 || heard && !s.digitsFollow(at+n) {
			break
		}
		if !heard && len(l) > 1 && !s.digitsFollow(at+n) && !s.ends(at+n) {
			if c, _ := s.at(s.skipBreak(at + n)); c != classComma {
				break
			}
		}
		if lower && !s.digitsFollow(at+n) {
			break // a lone lower-case letter behind digits opens the next word
		}
		if heard {
			sounded++
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

func hasDigit(b []byte) bool {
	return slices.ContainsFunc(b, func(c byte) bool { return c >= '0' && c <= '9' })
}

// suffixUnit decides that a lone letter behind digits closes the code though
// it is a unit symbol: "PR 90 15 W," but not "CV 3090 30 V".
func (s *placer) suffixUnit(u *UnitWords, end, before int) bool {
	return before > 0 && before <= 3 && int(u.End) == end+1 && !s.tokens[end].Glued && s.tokens[end].End-s.tokens[end].Start == 1 && isUpper(s.text[s.tokens[end].Start])
}

// shortWordUnit reports whether the unit at token end is a short form that is
// a word of its own in a sentence: "T J 14 in SOT-23".
func (s *placer) shortWordUnit(u *UnitWords, end int) bool {
	end = s.skipBreak(end)
	return u.Manner == MannerShort && int(u.End) == end+1 && !s.tokens[end].Glued && !isUpper(s.text[s.tokens[end].Start])
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
			if !(len(v) <= 2 && allCaps(v)) && !s.soundsLetter(j) && !(len(v) == 1 && (s.c.letterManner[t.Word] == letterName || !s.cased && s.letter(s.skipBreak(j+1)))) {
				return nil, 0, false
			}
		}
		return []byte{s.c.letter[t.Word]}, 1, true
	}
	if !inside && t.Word == 0 && len(w) <= 3 && s.digitsFollow(s.skipBreak(i+1)) && !isUpper(w[0]) && s.subject >= 0 {
		up := []byte(strings.ToUpper(string(w)))
		return up, 1, false
	}
	return nil, 0, false
}

// soundsLetter reports whether the word at token i stands for a letter.
func (s *placer) soundsLetter(i int) bool {
	return i < len(s.tokens) && s.tokens[i].Kind == TokenWord && int(s.tokens[i].Word) < len(s.c.letter) && s.c.letter[s.tokens[i].Word] != 0
}

// shortWord reports whether two or three unknown letters stand at token i.
func (s *placer) shortWord(i int) bool {
	return i < len(s.tokens) && s.tokens[i].Kind == TokenWord && s.tokens[i].Word == 0 && s.tokens[i].End-s.tokens[i].Start <= 2
}

// nameCode gives a part number to the part told of. A part that has another
// number already is told of no more: the new one is of its own.
func (s *placer) nameCode(i int, code *partCode) {
	if s.subject < 0 {
		if s.section != SectionTeardown || code.letters < 2 || code.digits < 3 {
			return
		}
		s.open(s.c.kindID("integrated circuit"), i, code.end)
		s.kindEnd = max(s.start, i-5)
		s.d.Subjects[s.subject].Doubtful = true
	}
	if s.rated > 0 && s.start > s.kindEnd && s.start <= i && !s.special4(s.subject) && s.d.Subjects[s.subject].Part == "" && code.letters >= 2 && code.digits >= 3 {
		// a sentence on, and the part told of has its ratings: the number is of another
		s.open(s.c.kindID("integrated circuit"), i, code.end)
		s.kindEnd = s.start
	}
	sub := &s.d.Subjects[s.subject]
	text := code.text
	switch {
	case sub.Kind == "transformer": // the shape of its core: EE42
		if sub.Package == "" {
			sub.Package = text
		}
		return
	case sub.Part == "":
		sub.Part = text
	case sub.Part == text || strings.HasPrefix(text, sub.Part):
		sub.Part = text
	default:
		if s.kind >= 0 && s.rated > 0 {
			s.open(s.kind, i, code.end)
			s.d.Subjects[s.subject].Part = text
		}
		sub = &s.d.Subjects[s.subject]
	}
	if code.doubtful {
		for len(s.sounded) < len(s.d.Subjects) {
			s.sounded = append(s.sounded, false)
		}
		s.sounded[s.subject] = true
	}
	s.makerBefore(i)
}
