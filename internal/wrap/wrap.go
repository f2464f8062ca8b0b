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

// Cut puts a blank behind every n characters of words that are longer, so that
// Lines can break them too.
func Cut(text string, n int) string {
	var b strings.Builder
	in := 0 // characters of the word
	for _, c := range text {
		switch {
		case unicode.IsSpace(c):
			in = 0
		case in == n:
			b.WriteByte(' ')
			in = 1
		default:
			in++
		}
		b.WriteRune(c)
	}
	return b.String()
}
