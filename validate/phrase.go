package validate

import (
	"strconv"
	"strings"

	"saywatt/schema"
)

// amount writes a computed number with its unit to four significant digits:
// "70.4 W". What was said is printed from its exact Quantity instead.
func amount(x float64, unit schema.Unit) string {
	s := strconv.FormatFloat(x/unit.Scale(), 'g', 4, 64)
	if strings.ContainsRune(s, 'e') {
		s = strconv.FormatFloat(x/unit.Scale(), 'f', -1, 64)
	}
	if symbol := unit.Symbol(); symbol != "" {
		s += " " + symbol
	}
	return s
}

// list joins numbers for people: "5, 9 and 12 V".
func list(xs []float64, unit schema.Unit) string {
	var b strings.Builder
	for i, x := range xs {
		switch {
		case i == 0:
		case i == len(xs)-1:
			b.WriteString(" and ")
		default:
			b.WriteString(", ")
		}
		b.WriteString(strconv.FormatFloat(x/unit.Scale(), 'g', 6, 64))
	}
	b.WriteString(" " + unit.Symbol())
	return b.String()
}
