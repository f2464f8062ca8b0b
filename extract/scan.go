package extract

import (
	"bytes"
	"unicode/utf8"
)

// byte classes of the scanner; every byte of a multi-byte letter counts as a
// letter, so that "mΩ", "µF" and "é" stay in their word.
const (
	classOther = iota
	classSpace
	classBreak
	classDigit
	classLetter
)

var classes = func() (c [256]uint8) {
	for b := range 256 {
		switch {
		case b == '\n':
			c[b] = classBreak
		case b == ' ' || b == '\t' || b == '\r' || b == '\v' || b == '\f':
			c[b] = classSpace
		case b >= '0' && b <= '9':
			c[b] = classDigit
		case b >= 'a' && b <= 'z', b >= 'A' && b <= 'Z', b >= 0x80:
			c[b] = classLetter
		}
	}
	return c
}()

// Hash constants: FNV-1a, 32 bit.
const (
	hashSeed  = 2166136261
	hashPrime = 16777619
)

// Scan appends the tokens of text to dst and returns it. It reads every byte
// once; words are looked up in the lexicon while they are hashed.
func (x *Lexicon) Scan(dst []Token, text []byte) []Token {
	first := len(dst)
	i, n := 0, len(text)
	glued := false // no white space since the token before
	for i < n {
		b := text[i]
		switch classes[b] {
		case classSpace:
			i++
			glued = false
			continue
		case classBreak:
			end, kind := endOfBreak(text, i)
			dst = append(dst, Token{Start: int32(i), End: int32(end), Kind: kind})
			i = end
			glued = false
			continue
		case classDigit:
			if end := endOfClock(text, i); end > 0 { // a time of the recording is no number
				dst = append(dst, Token{Start: int32(i), End: int32(end), Kind: TokenWord, Glued: glued})
				i = end
				break
			}
			start, comma := i, false
			i, comma = endOfNumber(text, i)
			dst = append(dst, Token{Start: int32(start), End: int32(i), Kind: TokenNumber, Glued: glued, Comma: comma})
		case classLetter:
			if b >= utf8.RuneSelf {
				if end := endOfWide(text, i); end > i { // digits of full width
					comma := bytes.Contains(text[i:end], wideComma)
					dst = append(dst, Token{Start: int32(i), End: int32(end), Kind: TokenNumber, Glued: glued,
						Comma: comma})
					i = end
					break
				}
			}
			if size := foreignSign(text, i); size > 0 { // a dash, quote or sign outside ASCII
				if isBlank(text[i : i+size]) {
					i += size
					glued = false
					continue
				}
				word := x.find(text[i:i+size], hash(text[i:i+size]))
				dst = append(dst, Token{Start: int32(i), End: int32(i + size), Word: word, Kind: TokenSign,
					Glued: glued})
				i += size
				break
			}
			afterNumber := glued && len(dst) > 0 && dst[len(dst)-1].Kind == TokenNumber ||
				fuseMark(text, i) || supplyMark(text, i) // "T3.15A", "DC5V"
			start := i
			end, h := endOfWord(text, i, afterNumber)
			i = end
			dst = append(dst, Token{Start: int32(start), End: int32(i), Word: x.word(text[start:i], h), Kind: TokenWord,
				Glued: glued})
		default:
			// a point before a digit opens a number: ".95", but not in "3..25"
			if b == '.' && i+1 < n && classes[text[i+1]] == classDigit && (i == 0 || text[i-1] != '.') {
				start := i
				i, _ = endOfNumber(text, i+1)
				dst = append(dst, Token{Start: int32(start), End: int32(i), Kind: TokenNumber, Glued: glued})
				break
			}
			h := (uint32(hashSeed) ^ uint32(b)) * hashPrime
			dst = append(dst, Token{Start: int32(i), End: int32(i + 1), Word: x.find(text[i:i+1], h), Kind: TokenSign,
				Glued: glued})
			i++
		}
		glued = true
	}
	commaManner(dst[first:], text)
	return dst
}

// endOfBreak returns the end of the line ends and blanks at i, and what kind of
// token they are: two line ends are a new paragraph.
func endOfBreak(text []byte, i int) (int, TokenKind) {
	kind := TokenBreak
	for i++; i < len(text) && (classes[text[i]] == classBreak || classes[text[i]] == classSpace); i++ {
		if text[i] == '\n' {
			kind = TokenPara
		}
	}
	return i, kind
}

// endOfWord returns the end of the word at i, and its hash. Behind a number it
// ends where the next number starts: "20V3A".
func endOfWord(text []byte, i int, afterNumber bool) (int, uint32) {
	h := uint32(hashSeed)
	for ; i < len(text); i++ {
		b := text[i]
		switch classes[b] {
		case classLetter:
			if b >= 0xC0 && foreignSign(text, i) > 0 {
				return i, h
			}
			if b >= 'A' && b <= 'Z' {
				b |= 0x20
			}
		case classDigit:
			if afterNumber {
				return i, h
			}
		default:
			// an apostrophe inside a word belongs to it
			if b != '\'' || i+1 >= len(text) || classes[text[i+1]] != classLetter {
				return i, h
			}
		}
		h = (h ^ uint32(b)) * hashPrime
	}
	return i, h
}

// word looks a word up. One that the lexicon has not, with 's behind it, is the
// word before the apostrophe: "the guard chip's a …", "that coil's". Only words
// of talk are read so, none of numbers or units.
func (x *Lexicon) word(word []byte, h uint32) int32 {
	if i := x.find(word, h); i != 0 || len(word) < 4 {
		return i
	}
	n := len(word) - 2
	if word[n] != '\'' || word[n+1]|0x20 != 's' {
		return 0
	}
	i := x.find(word[:n], hash(word[:n]))
	if e := &x.entries[i]; e.class != classNone ||
		e.prefix.manner|e.base.manner|e.hour.manner|e.whole.manner|e.power.manner != MannerNone {
		return 0
	}
	return i
}

// endOfClock returns the end of a time of day or of the recording at i, 0 where
// none stands there: 1:02:03 and 1:02:03.500, with a comma or a third colon too
// (SubRip, frames); two groups only where nobody would write a number so, 05:12
// or in brackets, as [1:02]. "3:25 amps" is a number with a point misheard.
func endOfClock(text []byte, i int) int {
	if insideNumber(text, i) {
		return 0
	}
	start := i
	i = digitsEnd(text, i)
	if i-start > 3 {
		return 0
	}
	groups := 1
	for groups < 3 && clockGroup(text, i) {
		groups++
		i += 3
	}
	switch {
	case groups < 2:
		return 0
	case groups == 2 && !(text[start] == '0' && text[start+1] != ':') && !bracketed(text, start, i):
		return 0
	}
	if i+1 < len(text) && (text[i] == '.' || text[i] == ',' || groups == 3 && text[i] == ':') {
		if end := digitsEnd(text, i+1); end > i+1 && end <= i+4 {
			i = end
		}
	}
	if i < len(text) && classes[text[i]] == classDigit {
		return 0
	}
	return i
}

// insideNumber reports whether the digit at i goes on with a number or time that
// begins before it.
func insideNumber(text []byte, i int) bool {
	if i > 0 && (classes[text[i-1]] == classDigit || text[i-1] == '.') {
		return true
	}
	return i > 1 && text[i-1] == ':' && classes[text[i-2]] == classDigit
}

// clockGroup reports whether a colon and two digits below 60 stand at i.
func clockGroup(text []byte, i int) bool {
	return i+2 < len(text) && text[i] == ':' && text[i+1] <= '5' && digitsEnd(text, i+1) == i+3
}

// digitsEnd returns the end of the digits at i.
func digitsEnd(text []byte, i int) int {
	for i < len(text) && classes[text[i]] == classDigit {
		i++
	}
	return i
}

// bracketed reports whether brackets are right at both sides of a stretch.
func bracketed(text []byte, from, to int) bool {
	if from == 0 || to >= len(text) {
		return false
	}
	open, close := text[from-1], text[to]
	return open == '[' && close == ']' || open == '(' && close == ')'
}

// foreignSign returns the size of a sign outside ASCII at i that is not part
// of a word: general punctuation (dashes, quotes, ellipsis, special blanks),
// × ÷ ± ° and the like. Letters, among them µ Ω and superscripts, give 0.
func foreignSign(text []byte, i int) int {
	if text[i] < 0x80 {
		return 0
	}
	r, size := utf8.DecodeRune(text[i:])
	switch {
	case r == 0xB5 || r == 0xB2 || r == 0xB3: // µ ² ³
		return 0
	case r >= 0x80 && r <= 0xBF, r == 0xD7, r == 0xF7: // Latin-1 signs, × ÷
		return size
	case r >= 0x2000 && r <= 0x206F: // general punctuation
		return size
	case r >= 0x20A0 && r <= 0x20CF: // currency
		return size
	case r == 0x2103, r == 0x2109: // ℃ ℉ stay words
		return 0
	case r >= 0x2150 && r <= 0x218F: // number forms: ⅛
		return size
	case r >= 0x2190 && r <= 0x23FF: // arrows, mathematical operators (− ≤ ≥ ≈), technical
		return size
	case r == 0xFEFF, r == 0xFFFD, r == 0x3000:
		return size
	}
	return 0
}

// isBlank reports whether the sign is one of Unicode's blanks or marks of no
// width, which separate words but are no token.
func isBlank(b []byte) bool {
	r, _ := utf8.DecodeRune(b)
	return r == 0xA0 || r >= 0x2000 && r <= 0x200F || r >= 0x2028 && r <= 0x202F || r == 0x205F || r == 0x2060 ||
		r == 0x3000 || r == 0xFEFF || r >= 0x80 && r <= 0x9F || r == 0xAD
}

// hash is the hash of a word, ASCII letters folded to lower case.
func hash(word []byte) uint32 {
	h := uint32(hashSeed)
	for _, b := range word {
		if b >= 'A' && b <= 'Z' {
			b |= 0x20
		}
		h = (h ^ uint32(b)) * hashPrime
	}
	return h
}
