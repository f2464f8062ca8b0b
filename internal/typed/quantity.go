package typed

import (
	"strings"
	"unicode/utf8"

	"saywatt/schema"
)

// Quantity reads "20V", "3.25 A", "10,000 mAh", "3.3-21 V", "85%". The ends of
// a range stand beside "-", "–" or "..". A bare number has no unit. The error
// is an *Error.
func Quantity(text string) (schema.Quantity, error) {
	text = strings.TrimSpace(text)
	n := 0
	for n < len(text) {
		r, size := utf8.DecodeRuneInString(text[n:])
		if (r < '0' || r > '9') && !strings.ContainsRune(".-–+,", r) {
			break
		}
		n += size
	}
	number, unit := text[:n], strings.TrimSpace(text[n:])
	fail := func(cause error) (schema.Quantity, error) {
		return schema.Quantity{}, misspelled(text, number, unit, cause)
	}
	var code schema.Unit
	if unit != "" {
		u, ok := Unit(unit)
		if !ok { // a code of UCUM that is rare in the trade
			if _, err := schema.ParseUnit(unit); err != nil {
				return fail(schema.ErrUnknownUnit)
			}
			u = schema.Unit(unit)
		}
		code = u
	}
	plain := strings.ReplaceAll(number, "–", "-")
	low, high, isRange := plain, plain, false
	if i := strings.LastIndexByte(plain, '-'); i > 0 {
		low, high, isRange = plain[:i], plain[i+1:], true
	} else if l, h, ok := strings.Cut(plain, ".."); ok {
		low, high, isRange = l, h, true
	}
	l, size := Number(low)
	if size == 0 || size < len(low) {
		return fail(schema.ErrNotDecimal)
	}
	h, size := Number(high)
	if size == 0 || size < len(high) {
		return fail(schema.ErrNotDecimal)
	}
	if isRange {
		return schema.Between(l, h, code), nil
	}
	return schema.One(l, code), nil
}
