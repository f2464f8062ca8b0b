package extract

import (
	"bytes"
	"strings"
)

// endOfNumber returns the end of the digits at i, inner points and commas
// included, and whether a comma is the decimal sign (SI Brochure 9, 5.4.4:
// the sign is a point or a comma). A comma before exactly three digits groups
// ("10,000"); before fewer or more it is the decimal sign ("3,25"), unless
// other commas make a list ("5,9,12"). A point belongs to the number only
// between digits, once ("3.25", but "1.2.3" is a version and ends after "1.2").
func endOfNumber(text []byte, i int) (end int, comma bool) {
	start, groups := i, false
	point := -1
	if i > 0 && text[i-1] == '.' {
		point = i - 1
	}
	for i < len(text) {
		switch b := text[i]; {
		case classes[b] == classDigit:
			i++
		case b == '.' && point < 0 && i+1 < len(text) && classes[text[i+1]] == classDigit:
			point = i
			i++
		case b == ',' && point < 0 && group(text, i+1):
			if i == start+1 && text[start] == '0' && !groups && !listed(text, i+4) { // "0,125": no group follows a zero
				return i + 4, true
			}
			groups = true
			i += 4
		case b == ',' && decimalComma(text, start, i, point, groups):
			return endOfDigits(text, i+1), true
		default:
			return i, false
		}
	}
	return i, false
}

// decimalComma reports whether the comma at i, behind digits that start at
// start, is a decimal sign: "3,25", "1.200,5".
func decimalComma(text []byte, start, i, point int, groups bool) bool {
	end := endOfDigits(text, i+1)
	switch {
	case end == i+1, groups, listed(text, end):
		return false
	case start > 1 && text[start-1] == ',' && classes[text[start-2]] == classDigit: // "5,9,12" is a list
		return false
	case point >= 0:
		return point >= start && i-point == 4 && point-start <= 3
	}
	return true
}

// listed reports whether a comma or point and a digit stand at i, so that what
// is before is no number of its own.
func listed(text []byte, i int) bool {
	return i+1 < len(text) && (text[i] == ',' || text[i] == '.') && classes[text[i+1]] == classDigit
}

func endOfDigits(text []byte, i int) int {
	for i < len(text) && classes[text[i]] == classDigit {
		i++
	}
	return i
}

// group reports whether exactly three digits start at i.
func group(text []byte, i int) bool { return endOfDigits(text, i) == i+3 }

// The full-width point and comma of East Asian text.
var (
	widePoint = []byte("\uff0e")
	wideComma = []byte("\uff0c")
)

// wideDigit returns the digit of full width at i (U+FF10 to U+FF19), -1 for
// anything else.
func wideDigit(text []byte, i int) int {
	if i+2 < len(text) && text[i] == 0xEF && text[i+1] == 0xBC && text[i+2] >= 0x90 && text[i+2] <= 0x99 {
		return int(text[i+2] - 0x90)
	}
	return -1
}

// endOfWide returns the end of the full-width digits at i, with one point or
// comma between them; i where there are none.
func endOfWide(text []byte, i int) int {
	point := false
	for i < len(text) {
		if wideDigit(text, i) >= 0 {
			i += 3
			continue
		}
		size := 0
		switch {
		case text[i] == '.':
			size = 1
		case bytes.HasPrefix(text[i:], widePoint), bytes.HasPrefix(text[i:], wideComma):
			size = 3
		}
		if size == 0 || point || i < 3 || wideDigit(text, i-3) < 0 || wideDigit(text, i+size) < 0 {
			break
		}
		point = true
		i += size
	}
	return i
}

// plainDigits appends a number of full-width digits in ASCII.
func plainDigits(dst, b []byte) []byte {
	for i := 0; i < len(b); {
		switch d := wideDigit(b, i); {
		case d >= 0:
			dst = append(dst, byte('0'+d))
			i += 3
		case b[i] == 0xEF && bytes.HasPrefix(b[i:], widePoint):
			dst = append(dst, '.')
			i += 3
		case b[i] == 0xEF && bytes.HasPrefix(b[i:], wideComma):
			dst = append(dst, ',')
			i += 3
		default:
			dst = append(dst, b[i])
			i++
		}
	}
	return dst
}

// fuseMark reports whether the letters of a fuse's speed stand at i, glued to
// a current: "T3.15A", "FF10A", "M500mA" (IEC 60127-1, 6.1: FF, F, M, T, TT).
func fuseMark(text []byte, i int) bool {
	if i > 0 && (classes[text[i-1]] == classLetter || classes[text[i-1]] == classDigit || text[i-1] == '-') {
		return false
	}
	start := i
	for i < len(text) && i < start+2 && (text[i] == 'T' || text[i] == 'F' || text[i] == 'M') {
		i++
	}
	if i == start || i == start+2 && (text[start] != text[start+1] || text[start] == 'M') {
		return false
	}
	digits := endOfDigits(text, i)
	if digits == i || digits > i+3 {
		return false
	}
	if digits+1 < len(text) && (text[digits] == '.' || text[digits] == ',') {
		if end := endOfDigits(text, digits+1); end > digits+1 {
			digits = end
		}
	}
	return fuseAmperes(text, digits)
}

// fuseAmperes reports whether amperes or milliamperes stand at i and no letter
// behind them but that of a breaking capacity: L, H or E.
func fuseAmperes(text []byte, i int) bool {
	at := func(signs string) bool { return i < len(text) && strings.IndexByte(signs, text[i]) >= 0 }
	if at("m") {
		i++
	}
	if !at("A") {
		return false
	}
	i++
	if at("LHE") {
		i++
	}
	return i == len(text) || classes[text[i]] != classLetter
}

// supplyMark reports whether AC or DC stands at i, glued to volts or amperes as
// labels have it: "AC100-240V", "DC5V", but not "DC12" and "AC205A1".
func supplyMark(text []byte, i int) bool {
	if i > 0 && (classes[text[i-1]] == classLetter || classes[text[i-1]] == classDigit || text[i-1] == '-') {
		return false
	}
	if i+2 >= len(text) || text[i+1]|0x20 != 'c' || text[i]|0x20 != 'a' && text[i]|0x20 != 'd' {
		return false
	}
	end := endOfDecimal(text, i+2)
	if end == i+2 {
		return false
	}
	for _, dash := range [...]string{"-", "~", "–", "—", "−"} {
		if from := end + len(dash); bytes.HasPrefix(text[end:], []byte(dash)) {
			if high := endOfDecimal(text, from); high > from {
				end = high
				break
			}
		}
	}
	if end+1 < len(text) && (text[end] == 'm' || text[end] == 'k') { // "DC500mA"
		end++
	}
	if end >= len(text) || text[end]|0x20 != 'v' && text[end]|0x20 != 'a' {
		return false
	}
	end++
	return end == len(text) || classes[text[end]] != classLetter && classes[text[end]] != classDigit
}

// endOfDecimal returns the end of up to three digits at i, and of those behind a
// point; i where there are none or more.
func endOfDecimal(text []byte, i int) int {
	end := endOfDigits(text, i)
	if end == i || end > i+3 {
		return i
	}
	if end+1 < len(text) && text[end] == '.' {
		if behind := endOfDigits(text, end+1); behind > end+1 {
			return behind
		}
	}
	return end
}

// commaManner takes in the manner of a whole text: where decimal commas are
// plain ("3,25") and more than decimal points, a comma before three digits is
// one too ("3,125"), unless they end in two zeros, as grouped thousands do.
func commaManner(tokens []Token, text []byte) {
	commas, points := 0, 0
	for i := range tokens {
		t := &tokens[i]
		if t.Kind != TokenNumber {
			continue
		}
		if t.Comma {
			commas++
		} else if bytes.IndexByte(text[t.Start:t.End], '.') >= 0 {
			points++
		}
	}
	if commas <= points {
		return
	}
	for i := range tokens {
		t := &tokens[i]
		if t.Kind != TokenNumber || t.Comma {
			continue
		}
		b := text[t.Start:t.End]
		if k := bytes.IndexByte(b, ','); k > 0 && k == len(b)-4 && !bytes.HasSuffix(b, []byte("00")) {
			t.Comma = true
		}
	}
}
