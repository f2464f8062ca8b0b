package export

import (
	"fmt"
	"strings"

	"saywatt/schema"
)

// Plural writes a number of things: "1 name", "2 names".
func Plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func joinNonEmpty(parts []string, sep string) string {
	var kept []string
	for _, s := range parts {
		if s != "" {
			kept = append(kept, s)
		}
	}
	return strings.Join(kept, sep)
}

// padded fills s with blanks to n columns.
func padded(s string, n int) string { return s + strings.Repeat(" ", max(n-columns(s), 0)) }

// longestSymbol bounds the unit symbols that are kept beside their numbers.
const longestSymbol = len("Mbit/s")

// together keeps numbers and their units on one line (SI Brochure 9, 5.4.3):
// a blank after a digit and before a short word does not break.
func together(s string) string {
	words := strings.Split(s, " ")
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			last := words[i-1]
			if last != "" && last[len(last)-1] >= '0' && last[len(last)-1] <= '9' && len(w) > 0 &&
				len(w) <= longestSymbol && w[0] > '9' {
				b.WriteString(nbsp)
			} else {
				b.WriteByte(' ')
			}
		}
		b.WriteString(w)
	}
	return b.String()
}

// modeWords puts an operating mode in words: "mains/output-shared" into
// "shared output, mains mode".
func modeWords(mode string) string {
	product, flow := "", mode
	if i := strings.LastIndexByte(mode, '/'); i >= 0 {
		product, flow = mode[:i], mode[i+1:]
	}
	if flow == "output-shared" {
		flow = "shared output"
	}
	if product != "" {
		flow = joinNonEmpty([]string{flow, words(product) + " mode"}, ", ")
	}
	return flow
}

// sourceWords says where a rule is from and, where that was not read in a
// published text, how firm it is.
func sourceWords(source, standing string) string {
	s := schema.PlainSource(source)
	if standing == "unverified" && !strings.Contains(s, "memory") {
		s += " (from memory)"
	}
	return s
}

// quote writes words heard between quotation marks, on one line, clipped.
func quote(words string, most int) string {
	return "“" + clip(strings.Join(strings.Fields(Printable(words)), " "), most) + "”"
}

// words turns a property, role or kind name into words: "no_load_power" into
// "no load power".
func words(name string) string {
	return strings.NewReplacer("_", " ", ".", " ").Replace(name)
}
