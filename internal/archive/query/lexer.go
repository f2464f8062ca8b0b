package query

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"saywatt/internal/typed"
	"saywatt/schema"
)

// lexer walks over the bytes of a query.
type lexer struct {
	text string
	at   int
}

// blanks skips white space and commas.
func (l *lexer) blanks() {
	for l.at < len(l.text) {
		r, n := utf8.DecodeRuneInString(l.text[l.at:])
		if !unicode.IsSpace(r) && r != ',' && r != ';' {
			return
		}
		l.at += n
	}
}

// peek is the next byte, 0 at the end.
func (l *lexer) peek() byte {
	if l.at < len(l.text) {
		return l.text[l.at]
	}
	return 0
}

// accept takes s where it is next.
func (l *lexer) accept(s string) bool {
	if strings.HasPrefix(l.text[l.at:], s) {
		l.at += len(s)
		return true
	}
	return false
}

// run is the word that starts here: everything up to white space or a sign of
// the language. It does not move on.
func (l *lexer) run() string {
	i := l.at
	for i < len(l.text) {
		r, n := utf8.DecodeRuneInString(l.text[i:])
		if unicode.IsSpace(r) || strings.ContainsRune(`",;:()<>=`, r) {
			break
		}
		i += n
	}
	return l.text[l.at:i]
}

// keyword takes one of the words and, or, not, in any case.
func (l *lexer) keyword(word string) bool {
	if r := l.run(); strings.EqualFold(r, word) && !strings.HasPrefix(l.text[l.at+len(r):], ":") {
		l.at += len(r)
		return true
	}
	return false
}

// number reads a number. It does not move where there is none.
func (l *lexer) number() (schema.Decimal, bool) {
	d, size := typed.Number(l.text[l.at:])
	l.at += size
	return d, size > 0
}

// longestUnit is how many words a unit's name may have: watt hours per kilogram.
const longestUnit = 5

// unit reads a unit, right here or behind blanks, the longest there is. It
// does not move where there is none.
func (l *lexer) unit() (schema.Unit, bool) {
	from := l.at
	var found schema.Unit
	end := -1
	name := ""
	for n := range longestUnit {
		l.spaces()
		r := l.unitRun()
		if r == "" {
			break
		}
		l.at += len(r)
		if n > 0 {
			name += " "
		}
		name += r
		if u, ok := typed.Unit(name); ok {
			found, end = u, l.at
		}
	}
	l.at = from
	if end < 0 {
		return "", false
	}
	l.at = end
	return found, true
}

// unitRun is run, cut before "..", which stands between the ends of a range.
func (l *lexer) unitRun() string {
	r, _, _ := strings.Cut(l.run(), "..")
	return r
}

// spaces skips white space.
func (l *lexer) spaces() {
	for l.at < len(l.text) {
		r, n := utf8.DecodeRuneInString(l.text[l.at:])
		if !unicode.IsSpace(r) {
			return
		}
		l.at += n
	}
}

// quoted reads a text in quotation marks, the first of which is next.
func (l *lexer) quoted() (string, bool) {
	var b strings.Builder
	for i := l.at + 1; i < len(l.text); i++ {
		switch c := l.text[i]; {
		case c == '"':
			l.at = i + 1
			return b.String(), true
		case c == '\\' && i+1 < len(l.text) && (l.text[i+1] == '"' || l.text[i+1] == '\\'):
			i++
			b.WriteByte(l.text[i])
		default:
			b.WriteByte(c)
		}
	}
	return "", false
}
