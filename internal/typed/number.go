package typed

import (
	"strings"

	"saywatt/schema"
)

// Number reads the number that a text begins with, with a sign or not, and
// returns how many bytes it takes, 0 where there is none. A comma counts where
// three digits follow it.
func Number(text string) (d schema.Decimal, size int) {
	i := 0
	if text != "" && (text[0] == '-' || text[0] == '+') {
		i++
	}
	start, point := i, false
	for ; i < len(text); i++ {
		switch c := text[i]; {
		case digit(c):
			continue
		case c == '.' && !point && i+1 < len(text) && digit(text[i+1]):
			point = true
			continue
		case c == ',' && !point && i > start && groupOfThree(text[i+1:]):
			continue
		}
		break
	}
	if i == start {
		return schema.Decimal{}, 0
	}
	d, err := schema.ParseDecimal(strings.TrimPrefix(strings.ReplaceAll(text[:i], ",", ""), "+"))
	if err != nil {
		return schema.Decimal{}, 0
	}
	return d, i
}

// groupOfThree reports whether a text begins with three digits and no more.
func groupOfThree(s string) bool {
	for i := range 3 {
		if i >= len(s) || !digit(s[i]) {
			return false
		}
	}
	return len(s) == 3 || !digit(s[3])
}

func digit(c byte) bool { return c >= '0' && c <= '9' }
