package extract

import (
	"slices"
	"strconv"
	"strings"
)

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

func isDigits(w []byte) bool {
	for _, b := range w {
		if b < '0' || b > '9' {
			return false
		}
	}
	return len(w) > 0
}

func hasDigit(b []byte) bool {
	return slices.ContainsFunc(b, func(c byte) bool { return c >= '0' && c <= '9' })
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
