// Package wrap breaks text into lines: for terminals, where a line has so many
// columns, and for pictures, where it has a width in points.
package wrap

import (
	"cmp"
	"strings"
	"unicode"
)

// Lines breaks a text at its blanks into lines that are no wider than room, as
// width measures them. A word that is wider has a line of its own and is left
// whole. A text without words has no lines.
func Lines[N cmp.Ordered](text string, room N, width func(string) N) []string {
	var all []string
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case width(line+" "+word) <= room:
			line += " " + word
		default:
			all, line = append(all, line), word
		}
	}
	if line != "" {
		all = append(all, line)
	}
	return all
}

// Cut puts a blank behind every n characters of words that are longer, or behind a
// sign that joins names within the last half of them, so that Lines can break them too.
func Cut(text string, n int) string {
	var b strings.Builder
	var word []rune
	end := func() {
		for len(word) > n {
			k := joint(word, n)
			b.WriteString(string(word[:k]))
			b.WriteByte(' ')
			word = word[k:]
		}
		b.WriteString(string(word))
		word = word[:0]
	}
	for _, c := range text {
		if unicode.IsSpace(c) {
			end()
			b.WriteRune(c)
			continue
		}
		word = append(word, c)
	}
	end()
	return b.String()
}

// joint is where a word of more than n characters is broken.
func joint(word []rune, n int) int {
	for i := n; i > n/2; i-- {
		if strings.ContainsRune("-_/.+", word[i-1]) {
			return i
		}
	}
	return n
}
