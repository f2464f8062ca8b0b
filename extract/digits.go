package extract

import "saywatt/schema"

// MaxDigits bounds the digits of a number that is read at all. A longer one
// stays in the text as it is; Document.Unread lists it.
const MaxDigits = 400

// parseDigits reads the digits of a token; whole reports that it has no
// point. It is false for a number of more than MaxDigits digits.
func parseDigits(b []byte) (n Num, whole, ok bool) {
	whole = true
	if len(b) > 2*MaxDigits {
		return n, whole, false
	}
	digits := 0
	for _, c := range b {
		switch {
		case c == '.':
			whole = false
		case c == ',':
		default:
			if digits++; digits <= 18 {
				n.Coef = n.Coef*10 + int64(c-'0')
			}
			if !whole {
				n.Exp--
			}
		}
	}
	if digits > 18 {
		clean := make([]byte, 0, len(b)+1)
		if b[0] == '.' {
			clean = append(clean, '0')
		}
		for _, c := range b {
			if c != ',' {
				clean = append(clean, c)
			}
		}
		d, err := schema.ParseDecimal(string(clean))
		if err != nil || digits > MaxDigits {
			return n, whole, false
		}
		n.Big = &d
	}
	return n, whole, true
}

// Unread lists the numbers of more than MaxDigits digits, as spans of the
// transcript's text: no quantity has so many, and none is made of them.
func (d *Document) Unread() []schema.Span {
	var spans []schema.Span
	for _, t := range d.Tokens {
		if t.Kind != TokenNumber || t.End-t.Start <= MaxDigits {
			continue
		}
		if _, _, ok := parseDigits(d.Transcript.Text[t.Start:t.End]); !ok {
			spans = append(spans, t.Span())
		}
	}
	return spans
}
