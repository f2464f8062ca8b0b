package extract

import (
	"slices"
	"strings"

	"saywatt/extract/part"
	"saywatt/schema"
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
// standard spelling goes to the part spoken of.
func (s *placer) packageCue(i, end int, f *packageForm) int {
	if !s.ofParts() {
		if f.manner == MannerHeard || f.shape == packageNone {
			return i
		}
	}
	code := f.family
	switch f.shape {
	case packageNone:
		if w := s.text[s.tokens[i].Start:s.tokens[i].End]; end-i == 1 && s.cased && isUpper(w[0]) && !allCaps(w) {
			return i // "Toll Vane", a name
		}
		if !s.ofParts() || s.sentenceStart(i) && f.manner == MannerHeard {
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
	return s.seePackage(i, end, code, groundOf(f.manner))
}

// seePackage notes the package named by tokens [i, end), of the part spoken of where
// one is, and returns end.
func (s *placer) seePackage(i, end int, code string, g TermGround) int {
	s.claim(i, end, NotCode)
	s.said(schema.TermPackage, i, end, code, g)
	if s.ofParts() {
		s.see(part.Package, i, end).text = code
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
			if pins, after := s.digitGroup(k); k == i+2 && pins != "" &&
				slices.Contains(f.values, string(w[n:])+"-"+pins) {
				code, end = f.family+f.joint+string(w[n:])+"-"+pins, after
			}
		}
		if code == "" {
			continue
		}
		s.cueEnd = end
		return s.seePackage(i, end, code, groundOf(f.manner))
	}
	return i
}

// chipSize reads the size of a chip part at token i: "size 2512", "in a 1206 case",
// "twelve oh six"; a bare one only behind a part that is made as a chip, in its
// sentence. It returns the token behind, i where there is none.
func (s *placer) chipSize(i int) int {
	if !s.ofParts() {
		return i
	}
	code, end := s.chipCode(i)
	if code == "" || s.unitAt(end) {
		return i
	}
	before := s.backOne(i)
	if s.guarded(before, guardMarking) {
		return i
	}
	if c, _ := s.at(before); c == classArticle {
		before = s.backOne(before)
	}
	ofChip := s.kind >= 0 && s.c.kinds[s.kind].chip && s.kindEnd > s.start
	named := s.guarded(before, guardChipSize) || s.guarded(s.skipBreak(end), guardChipNoun)
	if !ofChip && (!named || s.kind >= 0 && s.kindEnd > s.start) {
		return i // a number, or of a part that is no chip
	}
	return s.seePackage(i, end, code, GroundSaid)
}

// chipCode reads the digits of a chip size at token i; of words, a leading zero
// may be left out: "eight oh five".
func (s *placer) chipCode(i int) (string, int) {
	digits := ""
	for k := i; len(digits) < 4; {
		group, after := s.digitGroup(k)
		if group == "" {
			break
		}
		digits += group
		k = after
		if slices.Contains(s.c.chipSizes, digits) {
			return digits, after
		}
		if len(digits) == 3 && s.tokens[i].Kind == TokenWord && slices.Contains(s.c.chipSizes, "0"+digits) {
			if more, _ := s.digitGroup(after); more == "" {
				return "0" + digits, after
			}
		}
	}
	return "", 0
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
		if k = s.overDash(after); s.guarded(k, guardCodeDash) {
			k = s.skipBreak(k + 1) // "23 dash 6"
		}
	}
	if best == "" {
		return "", 0
	}
	if u, ok := s.unit(bestEnd); ok && u.Manner != MannerHeard {
		return "", 0 // "100 to 220 volts"
	}
	if f.family == "TO" && f.manner == MannerHeard {
		if !s.ofParts() || i < 2 || s.tokens[s.backOne(i-1)].Kind == TokenNumber {
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
		if !s.sideJoint(s.skipBreak(after)) {
			first = ""
		}
	}
	if first == "" {
		return "", 0
	}
	if f.shape != packagePins {
		if code, end := s.bodySides(f, first, after); code != "" {
			return code, end
		}
	}
	if f.shape != packageSize && slices.Contains(f.values, first) && !s.unitAt(after) {
		return f.family + f.joint + first, after
	}
	return "", 0
}

// bodySides reads both sides of a body, the first of them read up to token after:
// "5 by 6", "5 X 6", "three by three", "5 6", "56", "5x6".
func (s *placer) bodySides(f *packageForm, first string, after int) (string, int) {
	j := s.skipBreak(after)
	if s.sideJoint(j) {
		if second, to := s.bodySide(j + 1); second != "" {
			return f.family + s.decimalSide(first, after-1) + "x" + second, to
		}
	}
	if s.glued(j) && s.tokens[j].Kind == TokenWord { // "5x6" scans as 5, x, 6 or 5, x6
		w := s.text[s.tokens[j].Start:s.tokens[j].End]
		if len(w) >= 2 && w[0]|0x20 == 'x' && isDigits(w[1:]) {
			return f.family + first + "x" + string(w[1:]), j + 1
		}
	}
	if len(first) == 1 && first > "1" {
		if second, to := s.digitGroup(j); len(second) == 1 && second >= first && !s.unitAt(to) {
			return f.family + first + "x" + second, to
		}
	}
	if len(first) == 2 && first[0] >= '2' && first[1] >= first[0] && first[1] <= '8' &&
		!slices.Contains(f.values, first) {
		return f.family + first[:1] + "x" + first[1:], after
	}
	return "", 0
}

// sideJoint reports whether what joins the sides of a body stands at token i:
// "by", "x", a slash.
func (s *placer) sideJoint(i int) bool {
	c, _ := s.at(i)
	return c == classBy || c == classSlash || s.guarded(i, guardPackageBy)
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
