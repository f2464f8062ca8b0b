package word

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

func Join(parts []string, sep string) string {
	var kept []string
	for _, s := range parts {
		if s != "" {
			kept = append(kept, s)
		}
	}
	return strings.Join(kept, sep)
}

// Padded fills s with blanks to n columns.
func Padded(s string, n int) string { return s + strings.Repeat(" ", max(n-Columns(s), 0)) }

// longestSymbol bounds the unit symbols that are kept beside their numbers.
const longestSymbol = len("Mbit/s")

// KeepUnits keeps numbers and their units on one line (SI Brochure 9, 5.4.3):
// a blank after a digit and before a short word does not break.
func KeepUnits(s string) string {
	words := strings.Split(s, " ")
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			last := words[i-1]
			if last != "" && last[len(last)-1] >= '0' && last[len(last)-1] <= '9' && len(w) > 0 &&
				len(w) <= longestSymbol && w[0] > '9' {
				b.WriteString(NBSP)
			} else {
				b.WriteByte(' ')
			}
		}
		b.WriteString(w)
	}
	return b.String()
}

// Mode puts an operating mode in words: "mains/output-shared" into
// "shared output, mains mode".
func Mode(mode string) string {
	product, flow := "", mode
	if i := strings.LastIndexByte(mode, '/'); i >= 0 {
		product, flow = mode[:i], mode[i+1:]
	}
	if flow == "output-shared" {
		flow = "shared output"
	}
	if product != "" {
		flow = Join([]string{flow, Words(product) + " mode"}, ", ")
	}
	return flow
}

// Source says where a rule is from and, where that was not read in a
// published text, how firm it is.
func Source(source, standing string) string {
	s := schema.PlainSource(source)
	if standing == "unverified" && !strings.Contains(s, "memory") {
		s += " (from memory)"
	}
	return s
}

// Quote writes words heard between quotation marks, on one line, clipped.
func Quote(words string, most int) string {
	return "“" + Cut(strings.Join(strings.Fields(Printable(words)), " "), most) + "”"
}

// Words turns a property, role or kind name into words: "no_load_power" into
// "no load power".
func Words(name string) string {
	return strings.NewReplacer("_", " ", ".", " ").Replace(name)
}
