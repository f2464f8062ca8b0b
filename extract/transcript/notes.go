package transcript

import (
	"bytes"
	"unicode/utf8"
)

// readNotes reads untimed text. A paragraph is a cue, and so is a heading, a
// list item and a table row. Markdown (CommonMark, with tables and task lists
// as commonly extended) loses its marks and keeps its words; cells stay apart
// by their "|". Marks that could be part of what was noted stay:
//
//  3. 25 amps     a list number only where the numbers run on 1, 2, 3
//     -5 volts       a bullet only with a space after it
//     > 5 volts      a quotation only before a word
//     ~5 V  2*3      not marks
//     HX_65_T3       an underscore inside a word
func readNotes(b *builder) {
	b.t.Timed = false
	r := notesReader{builder: b, apart: b.t.Taken}
	for i := range b.src.starts {
		r.line(i)
	}
}

type notesReader struct {
	*builder
	apart  bool // every line is a paragraph of its own
	inside bool // a paragraph, which the next line may go on with
	item   int  // number of the last item of an ordered list, 0 outside
	from   int  // of the line at hand
}

func (r *notesReader) line(i int) {
	from, to := r.src.line(i)
	start := from + len(r.text[from:to]) - len(bytes.TrimLeft(r.text[from:to], " \t\f\ufeff"))
	end := from + len(bytes.TrimRight(r.text[from:to], " \t\f"))
	r.from = from
	if start >= end {
		r.inside = false
		return
	}
	line := r.text[start:end]
	switch {
	case isRuler(line), isFence(line):
		r.inside = false
		return
	case isTableRule(line):
		return
	}
	if n := quoteMark(line); n > 0 {
		start += n
		line = line[n:]
	}
	if n := headingMark(line); n > 0 {
		r.item = 0
		r.block(i, start+n, trimClosing(r.text, start+n, end))
		r.inside = false
		return
	}
	if line[0] == '|' {
		if len(line) > 1 && line[len(line)-1] == '|' {
			end--
		}
		for end > start+1 && isBlank(r.text[end-1]) {
			end--
		}
		r.block(i, start+1, end)
		r.inside = false
		return
	}
	if n := bulletMark(line); n > 0 {
		r.block(i, start+n, end)
		return
	}
	if n, number := itemMark(line); n > 0 && r.isItem(i, number) {
		r.item = number
		r.block(i, start+n, end)
		return
	}
	if !r.inside || r.apart {
		if from == start { // not indented: the list is over
			r.item = 0
		}
		r.block(i, start, end)
		return
	}
	r.newline()
	r.inline(start, end)
	r.extend(end)
}

// block begins a cue with the words in [from, to) of line i.
func (r *notesReader) block(i, from, to int) {
	r.open("", 0, 0, i, r.from)
	r.para, r.inside = true, true
	from = skipBlank(r.text[:to], min(from, to))
	r.inline(from, to)
	r.extend(to)
}

// isItem reports whether a line with this number before it is a list item: it
// goes on with a list, or begins one.
func (r *notesReader) isItem(i, number int) bool {
	if number == r.item+1 && number > 1 {
		return true
	}
	if number != 1 {
		return false
	}
	for next := i + 1; next < len(r.src.starts) && next <= i+8; next++ {
		from, to := r.src.line(next)
		from += skipBlank(r.text[from:to], 0)
		if n, v := itemMark(r.text[from:to]); n > 0 && v == 2 {
			return true
		}
	}
	return false
}

// inline adds the words in [from, to), without emphasis, code marks, link
// targets and escapes.
func (r *notesReader) inline(from, to int) {
	text := r.text
	lit := from
	for i := from; i < to; {
		end, words := i, ""
		switch c := text[i]; c {
		case '*', '_', '`', '~':
			end = i + 1
			for end < to && text[end] == c {
				end++
			}
			if !isMark(c, end-i, before(text, from, i), after(text, end, to)) {
				i = end
				continue
			}
		case '\\':
			if i+1 < to && bytes.IndexByte([]byte("\\`*_{}[]()#+-.!|<>~"), text[i+1]) >= 0 {
				r.literal(lit, i)
				lit = i + 1
				i += 2
				continue
			}
		case ']':
			if n := linkTarget(text[i+1 : to]); n > 0 {
				i++
				end = i + n
			}
		case '&':
			words, end = reference(text[i:to], false)
			end += i
			if words == "" {
				end = i
			}
		case '<':
			if name, n := tagName(text[i+1 : to]); name == "br" {
				if close := bytes.IndexByte(text[i:min(to, i+n+4)], '>'); close >= 0 {
					r.literal(lit, i)
					r.newline()
					i += close + 1
					lit = i
					continue
				}
			}
		case 0:
			words, end = "\ufffd", i+1
		}
		if end == i {
			i++
			continue
		}
		r.literal(lit, i)
		r.replace(i, end, words)
		i, lit = end, end
	}
	r.literal(lit, to)
}

// before and after are the characters at the sides of a run of marks, by kind:
// a space (or the line's end), a word character, or punctuation.
func before(text []byte, from, i int) byte {
	if i == from {
		return ' '
	}
	return sideOf(text[i-1])
}

func after(text []byte, i, to int) byte {
	if i >= to {
		return ' '
	}
	return sideOf(text[i])
}

func sideOf(c byte) byte {
	switch {
	case isBlank(c):
		return ' '
	case isWord(c) && c != '_', c >= utf8.RuneSelf:
		return 'w'
	}
	return '.'
}

// isMark reports whether n of c between two sides are a mark of emphasis or
// code, not part of what is written.
func isMark(c byte, n int, before, after byte) bool {
	switch {
	case c == '`':
		return true
	case before == ' ' && after == ' ':
		return false
	case c == '~':
		return n == 2
	case n >= 2 && c == '*':
		return true
	}
	return before != 'w' || after != 'w'
}

// linkTarget returns the length of "(address)" at the start of s, 0 where there
// is none.
func linkTarget(s []byte) int {
	if len(s) < 3 || s[0] != '(' {
		return 0
	}
	end := bytes.IndexByte(s[:min(len(s), 2048)], ')')
	if end < 0 {
		return 0
	}
	address := s[1:end]
	if bytes.Contains(address, []byte("://")) || bytes.HasPrefix(address, []byte("mailto:")) ||
		len(address) > 0 && (address[0] == '/' || address[0] == '#' || address[0] == '.') {
		return end + 1
	}
	return 0
}

// isRuler reports a thematic break or the line under a heading.
func isRuler(line []byte) bool {
	c, n := line[0], 0
	if c != '-' && c != '=' && c != '*' && c != '_' {
		return false
	}
	for _, d := range line {
		switch {
		case d == c:
			n++
		case !isBlank(d):
			return false
		}
	}
	return n >= 3
}

func isFence(line []byte) bool {
	return bytes.HasPrefix(line, []byte("```")) || bytes.HasPrefix(line, []byte("~~~"))
}

// isTableRule reports the line under a table's head, such as |---|:-:|.
func isTableRule(line []byte) bool {
	dashes, pipes := 0, 0
	for _, c := range line {
		switch c {
		case '-':
			dashes++
		case '|':
			pipes++
		case ':', ' ', '\t':
		default:
			return false
		}
	}
	return dashes > 0 && pipes > 0
}

// The mark functions return the length of a mark at the start of a line, with
// the space after it; 0 where there is none.

func headingMark(line []byte) int {
	n := 0
	for n < len(line) && line[n] == '#' {
		n++
	}
	if n == 0 || n > 6 || n < len(line) && !isBlank(line[n]) {
		return 0
	}
	return n
}

// trimClosing drops the marks that may close a heading.
func trimClosing(text []byte, from, to int) int {
	end := to
	for end > from && text[end-1] == '#' {
		end--
	}
	if end == to || end > from && !isBlank(text[end-1]) {
		return to
	}
	for end > from && isBlank(text[end-1]) {
		end--
	}
	return end
}

func quoteMark(line []byte) int {
	n := 0
	for n < len(line) && line[n] == '>' {
		n = skipBlank(line, n+1)
	}
	if n >= len(line) || isDigit(line[n]) || line[n] == '.' || line[n] == '=' {
		return 0
	}
	return n
}

func bulletMark(line []byte) int {
	r, n := utf8.DecodeRune(line)
	switch r {
	case '-', '*', '+', '•', '–':
	default:
		return 0
	}
	if n >= len(line) || !isBlank(line[n]) {
		return 0
	}
	n = skipBlank(line, n)
	if n+3 < len(line) && line[n] == '[' && line[n+2] == ']' && isBlank(line[n+3]) {
		switch line[n+1] { // a task
		case ' ', 'x', 'X':
			n = skipBlank(line, n+3)
		}
	}
	return n
}

func itemMark(line []byte) (n, number int) {
	number, n = digits(line)
	if n == 0 || n > 3 || n+1 >= len(line) || line[n] != '.' && line[n] != ')' || !isBlank(line[n+1]) {
		return 0, 0
	}
	return skipBlank(line, n+1), number
}
