package extract

import "saywatt/schema"

// MaxDigits bounds the digits of a number that is read at all. A longer one
// stays in the text as it is; Document.Unread lists it.
const MaxDigits = 400

// digitsAt reads the digits of token i, see parseDigits.
func (p *parser) digitsAt(i int) (n Num, whole, ok bool) {
	t := p.tokens[i]
	return parseDigits(p.text[t.Start:t.End], t.Comma)
}

// parseDigits reads the digits of a token; comma says that its decimal sign is
// a comma, whole reports that it has none. It is false for a number of more
// than MaxDigits digits.
func parseDigits(b []byte, comma bool) (n Num, whole, ok bool) {
	whole = true
	if b[0] == 0xEF && len(b) <= 6*MaxDigits { // digits of full width
		b = plainDigits(nil, b)
	}
	point, grouping := byte('.'), byte(',')
	if comma {
		point, grouping = grouping, point
	}
	if len(b) > 2*MaxDigits {
		return n, whole, false
	}
	digits := 0
	for _, c := range b {
		switch {
		case c == point:
			whole = false
		case c == grouping:
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
			switch c {
			case grouping:
			case point:
				clean = append(clean, '.')
			default:
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
		if _, _, ok := parseDigits(d.Transcript.Text[t.Start:t.End], t.Comma); !ok {
			spans = append(spans, t.Span())
		}
	}
	return spans
}
