package edit

import (
	"strings"

	"saywatt/schema"
)

// The words of English cardinal numbers.
var (
	small = [...]string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
		"twelve",
		"thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"}
	tens   = [...]string{"", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"}
	scales = [...]string{"", " thousand", " million", " billion"}
)

// spell writes a number in words as it is read out: "two hundred and thirty
// point four". and puts the "and" behind hundreds. Numbers of more than twelve
// digits before the point are nobody's speech and stay in digits.
func spell(d schema.Decimal, and bool) string {
	whole, rest, point := strings.Cut(d.String(), ".")
	var parts []string
	if strings.HasPrefix(whole, "-") {
		parts, whole = append(parts, "minus"), whole[1:]
	}
	if len(whole) > 12 {
		return d.String()
	}
	parts = append(parts, cardinal(whole, and))
	if point {
		parts = append(parts, "point")
		for _, c := range rest {
			parts = append(parts, small[c-'0'])
		}
	}
	return strings.Join(parts, " ")
}

// cardinal writes the digits of a whole number in words.
func cardinal(digits string, and bool) string {
	var parts []string
	for n := len(digits); n > 0; n = len(digits) {
		head := (n-1)%3 + 1
		if g := hundreds(digits[:head], and); g != "" {
			parts = append(parts, g+scales[(n-1)/3])
		}
		digits = digits[head:]
	}
	if parts == nil {
		return small[0]
	}
	return strings.Join(parts, " ")
}

// hundreds writes up to three digits in words, nothing for zero.
func hundreds(digits string, and bool) string {
	n := 0
	for _, c := range digits {
		n = 10*n + int(c-'0')
	}
	var parts []string
	if n >= 100 {
		parts = append(parts, small[n/100]+" hundred")
		if n %= 100; n > 0 && and {
			parts = append(parts, "and")
		}
	}
	switch {
	case n >= 20 && n%10 > 0:
		parts = append(parts, tens[n/10]+" "+small[n%10])
	case n >= 20:
		parts = append(parts, tens[n/10])
	case n > 0:
		parts = append(parts, small[n])
	}
	return strings.Join(parts, " ")
}
