package byear

import (
	"slices"
	"strconv"
	"strings"

	"saywatt/internal/narration"
)

// How many digits a whole number has at the most that is said below a million,
// and in millions; longer ones are said digit by digit.
const (
	digitsBelowMillion = 6
	digitsOfMillions   = 9
)

// number appends the words of a number in digits, with a point where it has one.
func (m *manner) number(dst []string, text string) []string {
	whole, fraction, point := strings.Cut(text, ".")
	if whole != "" {
		dst = m.whole(dst, whole)
	}
	if !point {
		return dst
	}
	return m.each(append(dst, loadTables().parts.point), fraction)
}

// whole appends the words of a whole number.
func (m *manner) whole(dst []string, text string) []string {
	if len(text) > 1 && text[0] == '0' || len(text) > digitsOfMillions {
		return m.each(dst, text)
	}
	if k := len(text) - digitsBelowMillion; k > 0 {
		dst = append(m.small(dst, text[:k]), loadTables().parts.million)
		if text = strings.TrimLeft(text[k:], "0"); text == "" {
			return dst
		}
	}
	return m.small(dst, text)
}

// small appends the words of a whole number below a million.
func (m *manner) small(dst []string, text string) []string {
	n, err := strconv.Atoi(text)
	if err != nil {
		panic(err) // it has digits only, and few
	}
	return append(dst, strings.Fields(narration.InWords(n, m.and))...)
}

// each appends the digits one by one.
func (m *manner) each(dst []string, text string) []string {
	for i := range len(text) {
		if text[i] == '0' && m.oh {
			dst = append(dst, loadTables().parts.zero)
			continue
		}
		dst = m.small(dst, text[i:i+1])
	}
	return dst
}

// inDigits writes the number words of a text in digits, as recognisers do: "nine
// point five volts" is "9.5 volts", "two five" is "2 5". Other words stay.
func inDigits(words []string) []string {
	t := loadTables()
	var out []string
	for i := 0; i < len(words); {
		if _, ok := t.value[words[i]]; !ok {
			out = append(out, words[i])
			i++
			continue
		}
		text, n := t.readNumber(words[i:])
		out = append(out, text)
		i += n
	}
	return out
}

// readNumber reads the number that words begin with, and how many words it has.
func (t *wordTables) readNumber(words []string) (text string, n int) {
	value, n := t.readHundreds(words)
	if n < len(words) && words[n] == t.parts.thousand && value > 0 {
		value, n = value*1000, n+1
		if k := n + t.skipAnd(words[n:]); k < len(words) && t.value[words[k]] > 0 {
			rest, more := t.readHundreds(words[k:])
			value, n = value+rest, k+more
		}
	}
	text = strconv.Itoa(value)
	if n+1 < len(words) && words[n] == t.parts.point && t.digitWord(words[n+1]) != "" {
		text += "."
		for n++; n < len(words) && t.digitWord(words[n]) != ""; n++ {
			text += t.digitWord(words[n])
		}
	}
	return text, n
}

// readHundreds reads the number below a thousand that words begin with.
func (t *wordTables) readHundreds(words []string) (value, n int) {
	value, n = t.readTens(words)
	if n == len(words) || words[n] != t.parts.hundred || value == 0 || value >= 10 {
		return value, n
	}
	value, n = value*100, n+1
	if k := n + t.skipAnd(words[n:]); k < len(words) && t.value[words[k]] > 0 {
		rest, more := t.readTens(words[k:])
		value, n = value+rest, k+more
	}
	return value, n
}

// readTens reads the number below a hundred that words begin with.
func (t *wordTables) readTens(words []string) (value, n int) {
	value = t.value[words[0]]
	if value >= 20 && len(words) > 1 {
		if one := t.value[words[1]]; one > 0 && one < 10 {
			return value + one, 2
		}
	}
	return value, 1
}

// skipAnd is 1 where words begin with and.
func (t *wordTables) skipAnd(words []string) int {
	if len(words) > 0 && words[0] == t.parts.and {
		return 1
	}
	return 0
}

// digitWord is the digit that a word says, "" for another word.
func (t *wordTables) digitWord(word string) string {
	if word == t.parts.zero {
		return "0"
	}
	if v, ok := t.value[word]; ok && v < 10 {
		return strconv.Itoa(v)
	}
	return ""
}

// hasNumeral reports whether words have one of a number.
func hasNumeral(words []string) bool { return slices.ContainsFunc(words, loadTables().numeral) }
