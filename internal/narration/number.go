package narration

import (
	"slices"
	"strings"

	"saywatt/schema"
)

// numberStyle is a manner of saying a number in words.
type numberStyle struct {
	and  bool // "one hundred and five"
	pair bool // "two thirty" for 230
	oh   bool // "oh" for a zero behind the point
}

// numberStyles are tried in turn when words are taken apart.
var numberStyles = []numberStyle{
	{}, {and: true}, {pair: true}, {oh: true}, {and: true, oh: true}, {pair: true, oh: true},
}

// leastUnspelled is the least whole number that is not written in words.
const leastUnspelled = 1_000_000

// spell writes a number in words, "" where it is too large or negative.
func spell(d schema.Decimal, s numberStyle) string {
	text := d.String()
	whole, fraction, point := strings.Cut(text, ".")
	n := 0
	for i := range len(whole) {
		c := whole[i]
		if c < '0' || c > '9' || n >= leastUnspelled {
			return ""
		}
		n = n*10 + int(c-'0')
	}
	if n >= leastUnspelled {
		return ""
	}
	out := spellWhole(n, s)
	if !point {
		return out
	}
	out += " point"
	for i := range len(fraction) {
		w := word(int(fraction[i] - '0'))
		if s.oh && fraction[i] == '0' {
			w = "oh"
		}
		out += " " + w
	}
	return out
}

// InWords writes a whole number from 0 to 999,999 in words, with and as in "one
// hundred and five"; "" for any other.
func InWords(n int, and bool) string {
	if n < 0 || n >= leastUnspelled {
		return ""
	}
	return spellWhole(n, numberStyle{and: and})
}

func spellWhole(n int, s numberStyle) string {
	switch {
	case n < 20:
		return word(n)
	case n < 100:
		if n%10 == 0 {
			return word(n / 10 * 10)
		}
		return word(n/10*10) + " " + word(n%10)
	case n < 1000:
		switch {
		case n%100 == 0:
			return word(n/100) + " hundred"
		case s.pair && n%100 < 10:
			return word(n/100) + " oh " + word(n%10)
		case s.pair:
			return word(n/100) + " " + spellWhole(n%100, s)
		case s.and:
			return word(n/100) + " hundred and " + spellWhole(n%100, s)
		}
		return word(n/100) + " hundred " + spellWhole(n%100, s)
	}
	out := spellWhole(n/1000, s) + " thousand"
	if n%1000 > 0 {
		out += " " + spellWhole(n%1000, s)
	}
	return out
}

// digits writes a number in digits, with a comma between thousands where wanted.
func digits(d schema.Decimal, thousands bool) string {
	text := d.String()
	whole, fraction, point := strings.Cut(text, ".")
	if thousands && len(whole) > 3 {
		var parts []string
		for len(whole) > 3 {
			parts = append([]string{whole[len(whole)-3:]}, parts...)
			whole = whole[:len(whole)-3]
		}
		whole += "," + strings.Join(parts, ",")
	}
	if point {
		return whole + "." + fraction
	}
	return whole
}

// saying is a quantity as said plainly, taken apart.
type saying struct {
	low, between, high string // high of a range, "" else
	unit               string // with the blank before it, "" where none is said
	words              bool   // the numbers are in words
	thousands          bool   // digits have a comma between thousands
	style              numberStyle
}

func (s *saying) String() string { return s.low + s.between + s.high + s.unit }

// put changes the numbers to those of q, in the same manner; it reports whether
// that can be said.
func (s *saying) put(q schema.Quantity) bool {
	t := *s
	if t.low = t.number(q.Low); t.low == "" {
		return false
	}
	if q.Range {
		if t.high = t.number(q.High); t.high == "" {
			return false
		}
	}
	*s = t
	return true
}

func (s *saying) number(d schema.Decimal) string {
	if s.words {
		return spell(d, s.style)
	}
	return digits(d, s.thousands)
}

// takeApart returns the saying of words that say the quantity plainly, nil where
// they say it in another way.
func takeApart(shown string, q schema.Quantity) *saying {
	low, rest := leadingNumber(shown)
	if low == "" {
		return takeWordsApart(shown, q)
	}
	s := &saying{low: low, thousands: strings.Contains(low, ",")}
	if !says(low, q.Low) {
		return nil
	}
	if !q.Range {
		s.unit = rest
		if strings.ContainsAny(rest, "0123456789.") {
			return nil
		}
		return s
	}
	i := strings.IndexAny(rest, "0123456789")
	if i <= 0 {
		return nil
	}
	s.between = rest[:i]
	if s.high, s.unit = leadingNumber(rest[i:]); !says(s.high, q.High) || strings.ContainsAny(s.unit, "0123456789.") {
		return nil
	}
	return s
}

func takeWordsApart(shown string, q schema.Quantity) *saying {
	for _, style := range numberStyles {
		low := spell(q.Low, style)
		rest, ok := strings.CutPrefix(shown, low)
		if low == "" || !ok || rest != "" && rest[0] != ' ' {
			continue
		}
		s := &saying{low: low, unit: rest, words: true, style: style}
		if !q.Range {
			if moreNumber(rest) {
				continue
			}
			return s
		}
		high := spell(q.High, style)
		if i := strings.Index(rest, high); high != "" && i > 0 && !moreNumber(rest[i+len(high):]) {
			s.between, s.high, s.unit = rest[:i], high, rest[i+len(high):]
			return s
		}
	}
	return nil
}

// moreNumber reports whether the words begin with more of a number.
func moreNumber(rest string) bool {
	f := strings.Fields(rest)
	return len(f) > 0 && slices.Contains(loadMakerTables().numberWords, f[0])
}

// leadingNumber divides text behind the number in digits that it begins with.
func leadingNumber(text string) (number, rest string) {
	i := 0
	for i < len(text) && (text[i] >= '0' && text[i] <= '9' || i > 0 && (text[i] == '.' || text[i] == ',')) {
		i++
	}
	for i > 0 && (text[i-1] == '.' || text[i-1] == ',') {
		i--
	}
	return text[:i], text[i:]
}

func says(number string, d schema.Decimal) bool {
	v, err := schema.ParseDecimal(strings.ReplaceAll(number, ",", ""))
	return err == nil && v.Equal(d)
}

func word(n int) string { return loadMakerTables().number[n] }
