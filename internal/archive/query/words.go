package query

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A token is one word of a text, folded, with its bytes in the text.
type token struct {
	text       string
	start, end int
}

// Tokens cuts a text into words: letters and digits, lower case; a point
// between digits belongs to the number. Micro sign and Greek mu are u, since
// that is what keyboards have, and the ohm sign is Omega.
func Tokens(s string) []token {
	all := make([]token, 0, len(s)/5+1)
	start, plain := -1, true
	for at := 0; at < len(s); {
		r, size := rune(s[at]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(s[at:])
		}
		inside := false
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			inside = true
		case r >= 'A' && r <= 'Z':
			inside, plain = true, false
		case r == '.':
			inside = at > 0 && at+1 < len(s) && IsDigit(rune(s[at-1])) && IsDigit(rune(s[at+1]))
		case r >= utf8.RuneSelf && (r != utf8.RuneError || size > 1):
			inside, plain = unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r), false
		}
		switch {
		case inside && start < 0:
			start = at
		case !inside && start >= 0:
			all = append(all, token{foldUnless(plain, s[start:at]), start, at})
			start = -1
		}
		if start < 0 {
			plain = true
		}
		at += size
	}
	if start >= 0 {
		all = append(all, token{foldUnless(plain, s[start:]), start, len(s)})
	}
	return all
}

// IsDigit reports whether a letter is one of 0 to 9.
func IsDigit(r rune) bool { return r >= '0' && r <= '9' }

func foldUnless(plain bool, s string) string {
	if plain {
		return s
	}
	return fold(s)
}

// fold is the form in which words are compared.
func fold(s string) string {
	s = strings.ToLower(s)
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return strings.Map(foldSign, s)
		}
	}
	return s
}

func foldSign(r rune) rune {
	switch r {
	case 'µ', 'μ':
		return 'u'
	case 'Ω':
		return 'ω'
	}
	return r
}

// Words are the texts of the tokens.
func Words(s string) []string {
	all := Tokens(s)
	w := make([]string, len(all))
	for i := range all {
		w[i] = all[i].text
	}
	return w
}

// Folded is a text as its words, one blank between.
func Folded(s string) string { return strings.Join(Words(s), " ") }

// Runs gives every run of neighbouring words to f, up to most words long.
func Runs(s string, most int, f func(string)) {
	all := Tokens(s)
	var b strings.Builder
	b.Grow(len(s) + 1)
	for i := range all {
		if i > 0 {
			b.WriteByte(' ')
		}
		start := b.Len()
		b.WriteString(all[i].text)
		all[i].start, all[i].end = start, b.Len()
	}
	joined := b.String()
	for i := range all {
		for k := i; k < len(all) && k-i < most; k++ {
			f(joined[all[i].start:all[k].end])
		}
	}
}
