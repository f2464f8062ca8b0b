package index

import (
	"strings"

	"saywatt/schema"
)

// Sortable spells a number so that spellings sort as bytes in the order of the
// numbers, exactly and for any number of digits:
//
//	0          5
//	12.5       6501125    6, exponent + 500, digits without zeros at the end
//	0.0047     649747
//	-12.5      4498874~   4, 999 - (exponent + 500), digits from nine, ~ after them
//
// The exponent is that of the form 0.d₁d₂d₃… × 10^e… less one, so 1 to 9.99 has
// 500. Numbers beyond 10^±498 are not of this world and are clamped.
func Sortable(d schema.Decimal) string {
	if d.IsZero() {
		return "5"
	}
	text := strings.TrimPrefix(d.String(), "-")
	whole, fraction, _ := strings.Cut(text, ".")
	digits := strings.TrimLeft(whole, "0")
	exponent := len(digits) - 1
	digits += fraction
	if exponent < 0 {
		short := strings.TrimLeft(digits, "0")
		exponent = -1 - (len(digits) - len(short))
		digits = short
	}
	digits = strings.TrimRight(digits, "0")
	e := min(max(exponent+500, 1), 998)
	b := make([]byte, 0, len(digits)+5)
	if d.Sign() > 0 {
		b = append(b, '6', byte('0'+e/100), byte('0'+e/10%10), byte('0'+e%10))
		return string(append(b, digits...))
	}
	e = 999 - e
	b = append(b, '4', byte('0'+e/100), byte('0'+e/10%10), byte('0'+e%10))
	for i := range len(digits) {
		b = append(b, '0'+'9'-digits[i])
	}
	return string(append(b, '~'))
}

// bucketLen is the length of the leading part of a spelling that numbers of
// one sign, exponent and leading digit share.
const bucketLen = 5

// Bucket is that leading part.
func Bucket(spelled string) string { return spelled[:min(len(spelled), bucketLen)] }

// Unsortable reads a spelling back.
func Unsortable(s string) (schema.Decimal, bool) {
	if s == "5" {
		return schema.Decimal{}, true
	}
	if len(s) < 5 || s[0] != '4' && s[0] != '6' {
		return schema.Decimal{}, false
	}
	e := 0
	for _, c := range s[1:4] {
		if c < '0' || c > '9' {
			return schema.Decimal{}, false
		}
		e = 10*e + int(c-'0')
	}
	digits := s[4:]
	negative := s[0] == '4'
	if negative {
		e = 999 - e
		b := []byte(strings.TrimSuffix(digits, "~"))
		for i := range b {
			b[i] = '0' + '9' - b[i]
		}
		digits = string(b)
	}
	d, err := schema.ParseDecimal(digits)
	if err != nil {
		return schema.Decimal{}, false
	}
	d = d.Shift(e - 500 - len(digits) + 1)
	if negative {
		d = d.Neg()
	}
	return d, true
}
