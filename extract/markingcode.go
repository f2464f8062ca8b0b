package extract

import (
	"slices"
	"strings"

	"saywatt/extract/part"
	"saywatt/schema"
)

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

// toleranceLetter reports whether the word is the letter of a tolerance.
func (s *placer) toleranceLetter(w string) bool {
	return len(w) == 1 && strings.IndexByte(s.x.tolerances, upper(w[0])) >= 0
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
	if w := s.text[s.tokens[k].Start:s.tokens[k].End]; len(w) < least || len(w) > s.x.length.codeTail || !isDigits(w) {
		return i
	}
	k++
	if s.capital(k, s.x.length.codeTail) {
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

func upper(b byte) byte {
	if b >= 'a' && b <= 'z' {
		b -= 'a' - 'A'
	}
	return b
}
