// Package word makes words for people of what a record holds: text that cannot
// steer a terminal, cut to columns ([Printable], [Clip], [ASCII]), quantities and
// probabilities ([Quantity], [Qualified], [Percent]), and the small phrases that
// sheets, tables and messages share ([Plural], [Words], [Mode]).
//
// It writes nothing and knows of no format: each function takes a value and
// returns text. Blanks that must not break are no-break spaces ([NBSP]); who writes
// for a terminal or a table makes plain ones of them. All that is said of a record
// in words is worded here or in package schema, so that a quantity reads the same
// wherever it stands.
package word

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Printable returns s as one line that cannot steer a terminal: white space
// of any kind becomes a blank, and what has no shape of its own (control
// characters of C0 and C1, direction marks, invisible separators, bytes that
// are not UTF-8) becomes an escape such as \x1b or \u{202e}. A no-break space
// stays, since wrapping respects it.
func Printable(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] >= 0x7F {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case r == '\u00a0':
			b.WriteRune(r)
		case r == '\t' || r == '\n' || r == '\r' || unicode.Is(unicode.Zs, r):
			b.WriteByte(' ')
		case unicode.IsGraphic(r):
			b.WriteRune(r)
		case r < 0x100:
			fmt.Fprintf(&b, `\x%02x`, r)
		default:
			fmt.Fprintf(&b, `\u{%x}`, r)
		}
		i += n
	}
	return b.String()
}

// plainSigns spells in ASCII the signs that sheets and unit symbols use.
var plainSigns = strings.NewReplacer(
	"“", `"`, "”", `"`, "‘", "'", "’", "'", "–", "-", "—", "-", "−", "-", "…", "...",
	"×", "x", "·", ".", "→", "->", "†", "^", "‡", "^^", "≤", "<=", "≥", ">=", "≈", "~", "±", "+/-", "✓", "+",
	"µ", "u", "μ", "u", "Ω", "Ohm", "Ω", "Ohm", "°", "deg", "²", "2", "³", "3", "⁻", "-", "¹", "1",
	"½", "1/2", "¼", "1/4", "¾", "3/4", "≠", "!=", "√", "sqrt", "Δ", "delta ", "φ", "phi", "π", "pi", "σ", "sigma",
	"█", "#", "▌", "|", "─", "-")

// ASCII spells printable text in ASCII: known signs by their usual stand-ins,
// anything else as an escape. No-break spaces stay.
func ASCII(s string) string {
	s = plainSigns.Replace(s)
	var b strings.Builder
	for _, r := range s {
		switch {
		case r < utf8.RuneSelf || r == '\u00a0':
			b.WriteRune(r)
		case r < 0x100:
			fmt.Fprintf(&b, `\x%02x`, r)
		default:
			fmt.Fprintf(&b, `\u{%x}`, r)
		}
	}
	return b.String()
}

// Columns returns how many terminal columns printable text takes.
func Columns(s string) int {
	n := 0
	for _, r := range s {
		n += runeColumns(r)
	}
	return n
}

// wideBlocks are the ranges of East Asian Wide and Fullwidth characters and
// of the pictographs shown two columns wide (Unicode Standard Annex 11,
// EastAsianWidth.txt; rounded to whole blocks, unassigned code points included).
var wideBlocks = [...][2]rune{
	{0x1100, 0x115F}, {0x231A, 0x231B}, {0x23E9, 0x23EC}, {0x25FD, 0x25FE}, {0x2614, 0x2615}, {0x2648, 0x2653},
	{0x26A1, 0x26A1}, {0x2E80, 0x303E}, {0x3041, 0x33FF}, {0x3400, 0x4DBF}, {0x4E00, 0xA4CF}, {0xA960, 0xA97F},
	{0xAC00, 0xD7A3}, {0xF900, 0xFAFF}, {0xFE30, 0xFE6F}, {0xFF01, 0xFF60}, {0xFFE0, 0xFFE6},
	{0x1F300, 0x1F64F}, {0x1F680, 0x1F6FF}, {0x1F900, 0x1F9FF}, {0x20000, 0x3FFFD},
}

func runeColumns(r rune) int {
	if r < 0x300 {
		return 1
	}
	if unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
		return 0
	}
	for _, b := range wideBlocks {
		if r >= b[0] && r <= b[1] {
			return 2
		}
	}
	return 1
}

// CutMiddle shortens printable text to n columns by its middle, so that the
// folder and the end of a path both stay.
func CutMiddle(s string, n int) string {
	if Columns(s) <= n {
		return s
	}
	head := Fitting(s, n/3)
	tail := s[len(head):]
	for Columns(tail) > n-Columns(head)-1 {
		_, size := utf8.DecodeRuneInString(tail)
		tail = tail[size:]
	}
	return head + "…" + tail
}

// Clip shortens a text to n columns and makes it printable on one line.
func Clip(s string, n int) string {
	const widest = 4 // bytes of a letter
	if len(s) > n*widest*2 {
		s = strings.ToValidUTF8(s[:n*widest*2], "")
	}
	return Cut(Printable(s), n)
}

// Cut shortens printable text to n columns, at a blank where one is near, and
// says so with an ellipsis.
func Cut(s string, n int) string { return CutWith(s, n, "…") }

func CutWith(s string, n int, ellipsis string) string {
	if len(s) <= n || Columns(s) <= n {
		return s
	}
	used, end := 0, 0
	for i, r := range s {
		if used += runeColumns(r); used > n-len([]rune(ellipsis)) {
			break
		}
		end = i + utf8.RuneLen(r)
	}
	if blank := strings.LastIndexByte(s[:end], ' '); blank > end*3/4 {
		end = blank
	}
	return strings.TrimRight(s[:end], " ") + ellipsis
}

// Fitting returns the longest head of s that takes at most n columns.
func Fitting(s string, n int) string {
	if len(s) <= n {
		return s
	}
	used := 0
	for i, r := range s {
		if used += runeColumns(r); used > n {
			return s[:i]
		}
	}
	return s
}
