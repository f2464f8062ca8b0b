package archive

import (
	"strings"
	"unicode"
)

// A token is one word of a text, folded, with its bytes in the text.
type token struct {
	text       string
	start, end int
}

// tokens cuts a text into words: letters and digits, lower case; a point
// between digits belongs to the number. Micro sign and Greek mu are u, since
// that is what keyboards have, and the ohm sign is Omega.
func tokens(s string) []token {
	var all []token
	start := -1
	runes := []rune(s)
	at := 0
	for i, r := range runes {
		size := len(string(r))
		inside := unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r) ||
			r == '.' && i > 0 && i+1 < len(runes) && digit(runes[i-1]) && digit(runes[i+1])
		if r == unicode.ReplacementChar && !strings.HasPrefix(s[at:], string(r)) {
			size, inside = 1, false // a byte that is no UTF-8
		}
		switch {
		case inside && start < 0:
			start = at
		case !inside && start >= 0:
			all = append(all, token{fold(s[start:at]), start, at})
			start = -1
		}
		at += size
	}
	if start >= 0 {
		all = append(all, token{fold(s[start:]), start, len(s)})
	}
	return all
}

func digit(r rune) bool { return r >= '0' && r <= '9' }

var foldSigns = strings.NewReplacer("µ", "u", "μ", "u", "Ω", "ω")

func fold(s string) string { return foldSigns.Replace(strings.ToLower(s)) }

// words are the texts of the tokens.
func words(s string) []string {
	all := tokens(s)
	w := make([]string, len(all))
	for i := range all {
		w[i] = all[i].text
	}
	return w
}

// folded is a text as its words, one blank between.
func folded(s string) string { return strings.Join(words(s), " ") }

// runs gives every run of neighbouring words to f, up to most words long.
func runs(w []string, most int, f func(string)) {
	for i := range w {
		run := w[i]
		f(run)
		for k := i + 1; k < len(w) && k-i < most; k++ {
			run += " " + w[k]
			f(run)
		}
	}
}
