package transcript

import (
	"bytes"
	"html"
	"strings"
	"unicode/utf8"
)

// A dialect is how a format marks text up inside its cues.
type dialect struct {
	vtt bool // WebVTT cue text; otherwise SubRip's few tags and {\an8}
}

// tagNames are the elements of WebVTT cue text (W3C WebVTT, section 3.5) and
// those SubRip players know (common practice, no source).
var tagNames = [...]string{"c", "i", "b", "u", "v", "ruby", "rt", "lang", "s", "font", "span", "br"}

// special marks the bytes cueText must look at.
var special = [256]bool{'\n': true, '\r': true, '<': true, '&': true, 0: true, '{': true}

// cueText adds a cue's text, given by its span in the decoded source, to the
// open cue: line breaks, tags and character references resolved.
//
// It follows the WebVTT cue text tokenizer but for one thing: the standard
// swallows what follows a "<" to the next ">" or the end of the cue, whatever
// it is, which loses the words of "it drew <5 watts". Here a "<" that opens
// nothing like a tag stays as text, and a tag never closed loses its name only.
// Both are reported.
func (b *builder) cueText(from, to int, d dialect) {
	text := b.text
	lit, i := from, from
	unclosed := false // no ">" from here to the end
	for i < to {
		c := text[i]
		if !special[c] {
			i++
			continue
		}
		end, words := i+1, ""
		switch c {
		case '\n', '\r':
			b.literal(lit, i)
			if c == '\r' && end < to && text[end] == '\n' {
				end++
			}
			b.newline()
			i, lit = end, end
			continue
		case 0:
			words = "\ufffd"
		case '&':
			words, end = reference(text[i:to], d.vtt)
			end += i
			if words == "" {
				i++
				continue
			}
		case '{':
			if d.vtt || end >= to || text[end] != '\\' {
				i++
				continue
			}
			n := bytes.IndexByte(text[i:min(to, i+256)], '}')
			if n < 0 {
				i++
				continue
			}
			end = i + n + 1
		case '<':
			close := -1
			if !unclosed {
				if close = bytes.IndexByte(text[i:to], '>'); close < 0 {
					unclosed = true
				}
			}
			n := b.tag(i, to, close, d, lit)
			if n == 0 {
				i++
				continue
			}
			i += n
			lit = i
			continue
		}
		b.literal(lit, i)
		b.replace(i, end, words)
		i, lit = end, end
	}
	b.literal(lit, to)
}

// tag deals with the "<" at i; close is where its ">" stands relative to i, or
// -1. It writes the text that waits from lit on, and returns how many bytes
// the tag takes, 0 when the "<" is text.
func (b *builder) tag(i, to, close int, d dialect, lit int) int {
	text := b.text
	body := text[i+1 : to]
	closed := close > 0
	if closed {
		body = text[i+1 : i+close]
		if bytes.IndexByte(body, '<') >= 0 {
			closed = false
		}
	}
	size := 0
	switch {
	case closed && b.clockTag(body, i, lit):
		return close + 1
	case closed && isTag(body, d):
		size = close + 1
	case !d.vtt:
		return 0 // SubRip has no escape for "<", so a stray one is no fault
	case closed:
		b.add(i, ErrTag, "kept as text")
		return 0
	default:
		b.add(i, ErrTag, "its text kept")
		if at, n, ok := strictClock(body); ok {
			b.literal(lit, i)
			b.at(at)
			return n + 1
		}
		if size = openName(body); size == 0 {
			return 0
		}
		size++
	}
	b.literal(lit, i)
	if name, _ := tagName(body); name == "br" {
		b.newline()
	}
	return size
}

// clockTag reads a word time such as <00:00:01.520>.
func (b *builder) clockTag(body []byte, i, lit int) bool {
	trimmed := bytes.Trim(body, " \t\f\r\n")
	if len(trimmed) == 0 || !isDigit(trimmed[0]) {
		return false
	}
	at, n, ok := strictClock(trimmed)
	strict := ok && n == len(body)
	if !ok || n != len(trimmed) {
		at, n, ok = looseClock(trimmed)
		ok = ok && n == len(trimmed)
	}
	if !ok && bytes.IndexByte(trimmed, ':') < 0 {
		return false
	}
	if !ok && bytes.IndexFunc(trimmed,
		func(r rune) bool { return !strings.ContainsRune("0123456789:.,\x00", r) }) >= 0 {
		return false
	}
	if !strict {
		b.add(i, ErrStamp, "irregular")
	}
	b.literal(lit, i)
	if ok {
		b.at(at)
	}
	return true
}

// isTag reports whether what stands between "<" and ">" is a tag.
func isTag(body []byte, d dialect) bool {
	name, n := tagName(body)
	rest := body[n:]
	if isKnown(name) {
		return true
	}
	if !d.vtt {
		return false
	}
	switch {
	case len(body) == 0, body[0] == '/' && !bytes.ContainsAny(body, "0123456789"):
		return true
	case name == "":
		return body[0] == '.' && !bytes.ContainsAny(body, " \t\r\n") && (len(body) == 1 || !isDigit(body[1]))
	}
	// An unknown tag goes, as the standard wants, unless it is plainly words.
	return !bytes.ContainsAny(rest, " \t\r\n") || bytes.IndexByte(rest, '=') >= 0
}

// tagName returns the lower-case name in "name", "/name" or "name.class", and
// where it ends. The name is "" where there is none.
func tagName(body []byte) (string, int) {
	n := 0
	if n < len(body) && body[n] == '/' {
		n++
	}
	start := n
	for n < len(body) && n-start < 32 && isWord(body[n]) {
		n++
	}
	if n < len(body) && (body[n] == '-' || body[n] >= utf8.RuneSelf) || start < n && isDigit(body[start]) {
		return "", start
	}
	for _, known := range tagNames {
		if len(known) == n-start && strings.EqualFold(known, string(body[start:n])) {
			return known, n
		}
	}
	return string(body[start:n]), n
}

func isKnown(name string) bool {
	for _, known := range tagNames {
		if name == known {
			return true
		}
	}
	return false
}

// openName returns the length of a known tag's name and classes at the start
// of body, 0 where there is none.
func openName(body []byte) int {
	name, n := tagName(body)
	if !isKnown(name) {
		return 0
	}
	for n < len(body) && (body[n] == '.' || isWord(body[n]) || body[n] == '-') {
		n++
	}
	return n
}

// longestReference is room for the longest name HTML has, with "&" and ";".
const longestReference = 34

// reference reads the character reference at s[0] = '&' and returns what it
// stands for, "" where it is none, and its length. HTML also knows some names
// without the semicolon ("&notit;" is "¬it;"); they count where legacy is set.
func reference(s []byte, legacy bool) (string, int) {
	n := 1
	for n < len(s) && n < longestReference && (isWord(s[n]) && s[n] != '_' || n == 1 && s[n] == '#') {
		n++
	}
	if n == 1 {
		return "", 1
	}
	if n < len(s) && s[n] == ';' {
		n++
	} else if !legacy {
		return "", 1
	}
	in := string(s[:n])
	out := html.UnescapeString(in)
	if out == in {
		return "", 1
	}
	if !strings.HasSuffix(in, ";") || strings.HasSuffix(out, ";") && out != ";" {
		// A legacy name: what follows it was left as it is.
		for k := range len(out) {
			if k > 0 && strings.HasSuffix(in, out[k:]) && utf8.RuneStart(out[k]) {
				if !legacy {
					return "", 1
				}
				return out[:k], n - len(out[k:])
			}
		}
	}
	return out, n
}
