package channel

import "saywatt/extract"

// Digits are those of one spoken number.
type Digits struct {
	Shown [20]byte // '0'…'9', leading zeros as shown; the first N of them
	N     int
	After int // how many of them stand behind the point, 0 without one

	num     extract.Num
	leads   bool // shown as ".95", without a whole part
	grouped bool // shown with commas between thousands
}

// Digits cuts the digits out of a mention's number; false for numbers too
// long to be garbled ones. Of a range it takes the low end.
func (r *Decoder) Digits(m *extract.Mention) (Digits, bool) {
	p := Digits{num: m.Low}
	if m.Low.Big != nil || m.Low.Coef < 0 || m.Low.Exp > 0 {
		return p, false
	}
	if first := r.doc.Tokens[m.First]; m.Style == extract.StyleDigits && m.NumEnd-m.First == 1 {
		text := r.doc.Transcript.Text[first.Start:first.End]
		if first.Comma || text[0] >= 0x80 {
			return r.digitsOfValue(m, p)
		}
		p.leads = text[0] == '.'
		point := false
		for _, c := range text {
			switch {
			case c == '.':
				point = true
			case c == ',':
				p.grouped = true
			case p.N == len(p.Shown):
				return p, false
			default:
				p.Shown[p.N] = c
				p.N++
				if point {
					p.After++
				}
			}
		}
		return p, p.N > 0
	}
	return r.digitsOfValue(m, p)
}

// digitsOfValue cuts the digits out of the number's value.
func (r *Decoder) digitsOfValue(m *extract.Mention, p Digits) (Digits, bool) {
	v := m.Low.Coef
	for v > 0 && p.N < len(p.Shown) {
		p.Shown[p.N] = byte('0' + v%10)
		p.N++
		v /= 10
	}
	if p.N == 0 {
		p.Shown[0], p.N = '0', 1
	}
	for i, j := 0, p.N-1; i < j; i, j = i+1, j-1 {
		p.Shown[i], p.Shown[j] = p.Shown[j], p.Shown[i]
	}
	p.After = int(-m.Low.Exp)
	p.leads = p.After > 0 && r.doc.Lexicon.IsPoint(r.doc.Tokens[m.First])
	for p.N <= p.After && p.N < len(p.Shown) {
		copy(p.Shown[1:p.N+1], p.Shown[:p.N])
		p.Shown[0] = '0'
		p.N++
	}
	return p, p.After < p.N || p.After == 0
}

// Number reads the digits [i, j) with so many of them behind the point, which may be
// more than there are.
func (p *Digits) Number(i, j, after int) extract.Num {
	n := extract.Num{Exp: int16(-after)}
	for _, c := range p.Shown[i:j] {
		n.Coef = n.Coef*10 + int64(c-'0')
	}
	return n
}

// tens are the powers of ten that an int64 holds.
var tens = [...]int64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17,
	1e18}

// pow10 is a power of ten, n from 0; 0 where it is too large, which no number that was
// said is.
func pow10(n int) int64 {
	if n >= len(tens) {
		return 0
	}
	return tens[n]
}
